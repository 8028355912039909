package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
)

// benchProcedure is a procedure with a refitting: a hub that comes off, a hold point, belts that are measured.
func benchProcedure() *procedure.Procedure {
	ref := func(id string) procedure.Ref { return procedure.Ref{ID: id} }
	m := &procedure.Machine{
		Variants:    []*procedure.Variant{{Row: procedure.Row{ID: "belt"}}, {Row: procedure.Row{ID: "chain"}}},
		Parts:       []*procedure.Part{{Row: procedure.Row{ID: "hub", Name: "Hub"}}, {Row: procedure.Row{ID: "sprocket", Variants: []procedure.Ref{ref("chain")}}}},
		Fasteners:   []*procedure.Fastener{{Row: procedure.Row{ID: "3"}, Number: 3, Count: 1}},
		Connections: []*procedure.Connection{{Row: procedure.Row{ID: "belts", Name: "Belts"}}},
	}
	m.Index()
	act := func(verb procedure.Verb, thing string) *procedure.Action {
		return &procedure.Action{Verb: verb, Object: ref(thing)}
	}
	p := &procedure.Procedure{ID: "mixer-gearbox-out", Machine: m, Steps: []*procedure.Step{
		{ID: "isolate"},
		{ID: "hub-off", Blocks: []procedure.Block{
			&procedure.Callout{Actions: []*procedure.Action{act(procedure.Remove, "3"), act(procedure.Remove, "3")}},
			&procedure.ActionList{Actions: []*procedure.Action{act(procedure.SetDown, "hub")}},
		}},
		{ID: "belts", Blocks: []procedure.Block{&procedure.Inspection{Of: ref("belts"), Items: []procedure.InspectionItem{{Look: "Belt width"}, {Look: "Cracks"}}}}},
		{ID: "lift", Blocks: []procedure.Block{&procedure.Hold{Signature: "trainer", Confirmations: make([]procedure.Prose, 2)}}},
	}}
	p.Refitting = &procedure.Procedure{ID: "mixer-gearbox-out-back", Machine: m, Removal: p, Steps: []*procedure.Step{{ID: "hub-off-back"}}}
	return p
}

// lostIn writes down what a placement has lost.
func lostIn(p *Placement) string {
	var out []string
	for _, l := range p.Lost {
		out = append(out, fmt.Sprintf("%s %s: %s %s", l.Map, l.Key, l.Name, l.Reason))
	}
	return strings.Join(out, "\n")
}

func TestPlace(t *testing.T) {
	p := benchProcedure()
	r := sample(t)
	r.Content = Content(p)
	at := Place(r, p)
	if at.Older || len(at.Lost) > 0 {
		t.Errorf("older: %v, lost:\n%s", at.Older, lostIn(at))
	}
	f := at.Findings[findingX]
	if f.Step != at.Out.Step("hub-off") || f.Thing == nil || f.Thing.Part.Name != "Hub" || f.Before != at.Back.Step("hub-off-back") {
		t.Errorf("%+v", f)
	}
	var ids []string
	for id := range at.Rows {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	// The ids as the step page has them: see compile/site.
	want := "out/belts--inspect-belts out/belts--inspect-belts_2 out/hub-off--remove-3 out/hub-off--remove-3_2 out/hub-off--set-down-hub out/lift--confirm out/lift--confirm_2 out/lift--sign"
	if got := strings.Join(ids, " "); got != want {
		t.Errorf("rows\n%s\nwant\n%s", got, want)
	}
}

func TestPlaceInANewEdition(t *testing.T) {
	r := sample(t)
	r.Ticks["out/hub-off--remove-9"] = Entry[bool]{true, Stamp{At: 1, Tablet: tabletA}}
	r.Ticks["out/hub-off--remove-8"] = Entry[bool]{false, Stamp{At: 1, Tablet: tabletA}} // not ticked: nothing to lose
	r.Repairs["y0000000000000000000000000"] = Repair{Done: true}
	withdrawn := r.Findings[findingX]
	withdrawn.Withdrawn, withdrawn.Step = true, "gone"
	r.Findings["z0000000000000000000000000"] = withdrawn
	p := benchProcedure()
	p.Steps = slices.DeleteFunc(p.Steps, func(s *procedure.Step) bool { return s.ID == "isolate" || s.ID == "lift" })
	p.Machine.Parts, p.Machine.Connections = p.Machine.Parts[1:], nil
	p.Machine.Index()
	p.Refitting.Steps = nil
	at := Place(r, p)
	want := `confirmed out/lift--confirm: lift--confirm row-gone
confirmed out/lift--sign: lift--sign row-gone
findings m-out/belts--inspect-belts: belts thing-gone
findings x0000000000000000000000000: hub-off-back gate-gone
findings x0000000000000000000000000: hub thing-gone
passed out/isolate: isolate step-gone
repairs y0000000000000000000000000: y0000000000000000000000000 finding-gone
signed out/lift--sign: lift--sign row-gone
ticks out/hub-off--remove-9: hub-off--remove-9 row-gone
work out/isolate: isolate step-gone`
	if got := lostIn(at); got != want {
		t.Errorf("lost\n%s\nwant\n%s", got, want)
	}
	if f := at.Findings[findingX]; f.Step == nil || f.Thing != nil || f.Before != nil {
		t.Errorf("%+v", f)
	}
	if !at.Older {
		t.Error("a record of another text is not called older")
	}
	p.Refitting = nil
	if at := Place(r, p); at.Back != nil || at.Step(Refitting, "hub-off-back") != nil {
		t.Error("there is a refitting where none is")
	}
	r.Variant = "gears"
	if Place(r, p) != nil {
		t.Error("a variant that the machine does not have is placed")
	}
}
