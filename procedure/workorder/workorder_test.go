package workorder

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
	"matchmark/procedure/state/statetest"
)

const (
	job     = "j0000000000000000000000001"
	other   = "k0000000000000000000000001"
	tabletA = "a0000000000000000000000000"
	tabletB = "b0000000000000000000000000"
	minute  = 60_000
)

func name(letter string) string { return letter + strings.Repeat("0", 25) }

var ref, prose = statetest.Ref, statetest.Prose

func act(verb procedure.Verb, thing string) *procedure.Action {
	return &procedure.Action{Verb: verb, Object: ref(thing)}
}

// bench is a procedure of three steps out and two back.
func bench() *procedure.Procedure {
	m := &procedure.Machine{
		Parts:     []*procedure.Part{{Row: procedure.Row{ID: "hub", Name: "Hub"}, Letter: "H"}, {Row: procedure.Row{ID: "foot", Name: "Foot"}}},
		Fasteners: []*procedure.Fastener{{Row: procedure.Row{ID: "3", Name: "Tab washer"}, Number: 3, Count: 2, SingleUse: true}},
		Fluids:    []*procedure.Fluid{{Row: procedure.Row{ID: "oil", Name: "Oil"}, Quantity: measure.Must("3 L"), SingleUse: true}},
	}
	m.Index()
	p := &procedure.Procedure{ID: "hub-out", Machine: m, Steps: []*procedure.Step{
		{ID: "look", Number: 1, Title: "Look", Time: procedure.Estimate{Optimistic: 4, Likely: 6, Pessimistic: 10}, Blocks: []procedure.Block{
			&procedure.Inspection{Of: ref("hub"), Items: []procedure.InspectionItem{{Look: "Play"}, {Look: "Bore"}}},
		}},
		{ID: "hub-off", Number: 2, Title: "Hub off", Time: procedure.Estimate{Optimistic: 5, Likely: 5, Pessimistic: 5}, Blocks: []procedure.Block{
			&procedure.Callout{Actions: []*procedure.Action{act(procedure.Remove, "3")}},
			&procedure.Hold{Title: "Before the lift", Signature: "trainer", Confirmations: []procedure.Prose{prose("Floor is clear"), prose("Hook is shut")}},
		}},
		{ID: "last", Number: 3, Title: "Last", Blocks: []procedure.Block{&procedure.Hold{Confirmations: []procedure.Prose{prose("All bags are closed")}}}},
	}}
	p.Refitting = &procedure.Procedure{ID: "hub-out-back", Machine: m, Removal: p, Steps: []*procedure.Step{
		{ID: "hub-on", Number: 1, Title: "Hub on", Blocks: []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{act(procedure.Fit, "3")}}}},
		{ID: "fill", Number: 2, Title: "Fill", Blocks: []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{act(procedure.Fill, "oil")}}}},
	}}
	return p
}

func empty() *record.Record {
	return &record.Record{Format: record.Format, Version: 1, Job: job, Procedure: "hub-out", Content: record.Content(bench()), Tablets: map[string]record.Tablet{}}
}

func found(severity record.Severity, thing, before string, at int64) record.Finding {
	return record.Finding{Phase: record.Removal, Step: "look", Thing: thing, Name: thing, Kind: record.Worn, Severity: severity, Before: before, Found: at, Stamp: record.Stamp{At: at, Tablet: tabletA}}
}

func TestFindingsAreOrderedByWhatWaits(t *testing.T) {
	r := empty()
	r.Findings = map[string]record.Finding{
		name("a"): found(record.Watch, "hub", "", 1),
		name("b"): found(record.BeforeRefit, "hub", "fill", 2),
		name("c"): found(record.BeforeRefit, "oil", "hub-on", 3),
		name("d"): found(record.BeforeRefit, "", "", 4),
		name("e"): found(record.StopsWork, "foot", "fill", 5),
		name("f"): found(record.BeforeRefit, "foot", "vanished", 3),
		name("g"): found(record.BeforeRefit, "hub", "fill", 1),
		name("h"): {Withdrawn: true},
	}
	r.Repairs = map[string]record.Repair{name("c"): {Done: true}}
	o := New(r, bench())
	var got []string
	for _, f := range o.Findings {
		got = append(got, fmt.Sprintf("%d %c", f.Number, f.Key[0]))
	}
	// Stops the work; then the whole refitting, in the order in which they were found; steps 1 and 2; watched.
	if want := "1 e, 2 f, 3 d, 4 c, 5 g, 6 b, 7 a"; strings.Join(got, ", ") != want {
		t.Errorf("%s, want %s", strings.Join(got, ", "), want)
	}
	if o.Withdrawn != 1 || o.Open() != 5 || !o.OpenStops() || !o.Findings[1].GateGone || o.Findings[0].GateGone {
		t.Errorf("withdrawn %d, open %d, stops %v", o.Withdrawn, o.Open(), o.OpenStops())
	}
	gated := func(s *procedure.Step) string {
		var numbers []string
		for _, f := range o.Gated(s) {
			numbers = append(numbers, fmt.Sprint(f.Number))
		}
		return strings.Join(numbers, " ")
	}
	for step, want := range map[*procedure.Step]string{nil: "1 2 3", o.Back.Steps[0]: "", o.Back.Steps[1]: "5 6"} {
		if got := gated(step); got != want {
			t.Errorf("%v waits for %q, want %q", step, got, want)
		}
	}
	var wants []string
	for _, w := range o.Wants {
		wants = append(wants, fmt.Sprint(w.Name, w.Findings))
	}
	// The oil is repaired; the hub is wanted once, for two findings.
	if got, want := strings.Join(wants, " "), "Foot[1 2] [3] Hub[5 6]"; got != want {
		t.Errorf("wanted %q, want %q", got, want)
	}
}

func TestRenewals(t *testing.T) {
	r := empty()
	r.Findings = map[string]record.Finding{name("a"): found(record.BeforeRefit, "3", "", 1)}
	o := New(r, bench())
	if len(o.Renewals) != 2 || o.Renewals[0].Fastener.ID != "3" || !slices.Equal(o.Renewals[0].Findings, []int{1}) || o.Renewals[1].Fluid.ID != "oil" || o.Renewals[1].Findings != nil {
		t.Errorf("%+v", o.Renewals)
	}
	p := bench()
	p.Refitting = nil
	if o := New(r, p); len(o.Renewals) != 1 { // what the removal uses up
		t.Errorf("without a refitting: %+v", o.Renewals)
	}
}

func TestTimes(t *testing.T) {
	r := empty()
	r.Work = map[string]record.Interval{}
	spell := func(at, tablet string, from, to int64) {
		r.Work[fmt.Sprintf("%s@%s@%d", at, tablet, from)] = record.Interval{From: from, To: to}
	}
	const t0 = 1_770_000_000_000
	spell("out/look", tabletA, t0, t0+4*minute)
	spell("out/look", tabletB, t0+2*minute, t0+7*minute)              // 7 minutes together
	spell("out/look", tabletA, t0+17*minute, t0+22*minute)            // taken up again after 10
	spell("out/hub-off", tabletA, t0+7*minute, t0+11*minute)          // faster than 5
	spell("out/gone", tabletA, t0+30*minute, t0+32*minute)            // a step of an older edition
	spell("out/ui_end", tabletA, t0+32*minute, t0+60*minute)          // the closing page is no work
	spell("back/hub-on", tabletA, t0+100*minute, t0+100*minute+30000) // half a minute
	o := New(r, bench())
	var got []string
	for _, x := range o.Times {
		got = append(got, fmt.Sprintf("%s %s %g%+g slow=%v fast=%v interrupted=%v", x.Way, x.Name, x.Minutes, x.Off, x.Slow, x.Fast, x.Interrupted))
	}
	// Expected: look (4+4·6+10)/6 = 6.333…; hub-off 5; hub-on 0.
	want := []string{
		"out Look 12+5.666666666666667 slow=true fast=false interrupted=true",
		"out Hub off 4-1 slow=false fast=true interrupted=false",
		"out gone 2+0 slow=false fast=false interrupted=false",
		"back Hub on 0.5+0.5 slow=true fast=false interrupted=false",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if len(o.Totals) != 2 || o.Totals[0].Minutes != 18 || o.Totals[0].Steps != 2 || o.Totals[0].Of != 3 || o.Totals[1].Of != 2 {
		t.Errorf("%+v", o.Totals)
	}
	if o.Begun != t0 || o.Ended != t0+100*minute+30000 {
		t.Errorf("from %d to %d", o.Begun-t0, o.Ended-t0)
	}
}

func TestHolds(t *testing.T) {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{3}, ed25519.SeedSize))
	const row = "out/hub-off--sign"
	r := empty()
	r.Confirmed = map[string]record.Confirmation{"out/hub-off--confirm": {Given: true, Stamp: record.Stamp{At: 5, Tablet: tabletA}}}
	o := New(r, bench())
	if len(o.Holds) != 1 { // nobody has come to the last step
		t.Fatalf("%+v", o.Holds)
	}
	h := o.Holds[0]
	if h.Title != "Before the lift" || !h.Confirmations[0].Given || h.Confirmations[1].Given || h.Signature.Who != "trainer" || h.Signature.Given() {
		t.Errorf("%+v", h)
	}
	r.Signed = map[string]record.Signature{row: record.Seal(r, row, record.Signature{Who: "T. Berg", At: 9}, private)}
	if s := New(r, bench()).Holds[0].Signature; !s.Holds || !s.Given() || s.Key() != r.Signed[row].Key[:8] {
		t.Errorf("%+v", s)
	}
	forged := r.Signed[row]
	forged.Who = "A. Nobody"
	r.Signed[row] = forged
	if s := New(r, bench()).Holds[0].Signature; s.Holds || s.Given() {
		t.Errorf("a forged seal holds: %+v", s)
	}
	// Two tablets began one job apart; the trainer signed under the name that does not stand.
	r.Job = other
	r.Signed[row] = record.Seal(r, row, record.Signature{Who: "T. Berg", At: 9}, private)
	r.Job = job
	if New(r, bench()).Holds[0].Signature.Holds || !New(r, bench(), other).Holds[0].Signature.Holds {
		t.Error("a seal under the job's other name")
	}
	r = empty()
	r.Passed = map[string]record.Entry[bool]{"out/last": {Value: true}}
	if o := New(r, bench()); len(o.Holds) != 1 || o.Holds[0].Signature != nil || o.Holds[0].Confirmations[0].Given {
		t.Errorf("a step that is passed without its hold point: %+v", o.Holds)
	}
}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		value, unit, low, high string
		want                   Verdict
	}{
		{"12.5", "mm", "12 mm", "13 mm", Within}, {"12", "mm", "12 mm", "13 mm", Within}, {"13.01", "mm", "12 mm", "13 mm", Beyond}, {"11.9", "mm", "12 mm", "", Beyond},
		{"0.2", "mm", "", "0,1 mm", Beyond}, {"1.2", "cm", "12 mm", "13 mm", Within}, {"-5", "°C", "", "0 °C", Within}, {"5", "%", "", "5 %", Within},
		{"12", "mm", "", "", Unjudged}, {"12", "mm", "3 L", "", Unjudged}, {"12", "mm", "about twelve", "", Unjudged}, {"12", "furlongs", "", "13 mm", Unjudged},
	} {
		m := record.Measurement{Value: c.value, Unit: c.unit, Low: c.low, High: c.high}
		if got := verdict(m); got != c.want {
			t.Errorf("%+v: %s, want %s", c, got, c.want)
		}
	}
	r := empty()
	r.Measured = map[string]record.Measurement{
		"out/gone--inspect-hub":   {Look: "Gone", Value: "1", Unit: "mm"},
		"out/look--inspect-hub_2": {Look: "Bore", Value: "2", Unit: "mm"},
		"out/look--inspect-hub":   {Look: "Play", Value: ""}, // taken back
	}
	f := found(record.BeforeRefit, "hub", "", 1)
	f.Measured = "out/look--inspect-hub_2"
	r.Findings = map[string]record.Finding{"m-out/look--inspect-hub_2": f}
	o := New(r, bench())
	if len(o.Measured) != 2 || o.Measured[0].Look != "Bore" || o.Measured[0].Finding != 1 || o.Measured[0].Step.ID != "look" || o.Measured[1].Step != nil {
		t.Errorf("%+v", o.Measured)
	}
}

func TestAVariantThatIsGone(t *testing.T) {
	r := empty()
	r.Variant = "chain"
	if New(r, bench()) != nil {
		t.Error("there is a work order for a variant that the machine does not have")
	}
}

// pumpSet is a pump whose insert is renewed when it is worn, and whose motor is shimmed until a gap is small enough.
func pumpSet() *procedure.Procedure {
	m := &procedure.Machine{Parts: []*procedure.Part{
		{Row: procedure.Row{ID: "insert", Name: "Insert"}, SingleUse: true}, {Row: procedure.Row{ID: "seal", Name: "Seal"}, SingleUse: true},
	}}
	m.Index()
	high := measure.Must("0.1 mm")
	gap := func(name string) *procedure.Readings {
		return &procedure.Readings{Rows: []procedure.Reading{{Name: name, Words: "Gap", Unit: "mm", Accept: "at most 0.1 mm", Limits: &procedure.Limits{High: &high}}}}
	}
	round := procedure.Round{First: "shim", Until: "not true", Most: 3}
	p := &procedure.Procedure{ID: "pump", Machine: m, Steps: []*procedure.Step{
		{ID: "look", Number: 1, Title: "Look", Blocks: []procedure.Block{gap("gap"), &procedure.Decision{Name: "worn", Question: prose("Is the insert worn?")}}},
		{ID: "insert-off", Number: 2, Title: "Insert off", If: "worn", Blocks: []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{act(procedure.Remove, "insert")}}}},
		{ID: "shim", Number: 3, Title: "Shim", Round: round, Blocks: []procedure.Block{gap("true")}},
		{ID: "more", Number: 4, Title: "More", If: "true"},
	}}
	p.Refitting = &procedure.Procedure{ID: "pump-back", Machine: m, Removal: p, Steps: []*procedure.Step{
		{ID: "insert-on", Number: 1, Title: "Insert on", If: "worn", Blocks: []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{act(procedure.Fit, "insert")}}}},
		{ID: "grind", Number: 2, Title: "Grind", If: "true", Blocks: []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{act(procedure.Clean, "seal")}}}},
		{ID: "close", Number: 3, Title: "Close", Blocks: []procedure.Block{gap("gap"), &procedure.ActionList{Actions: []*procedure.Action{act(procedure.Fit, "seal")}}}},
	}}
	return p
}

// TestTheWayThatWasTaken: what is renewed and what the checklist of the refitting has follows the answers and the values of the last
// round; what nobody wrote down rules nothing out.
func TestTheWayThatWasTaken(t *testing.T) {
	read := func(value string) record.Measurement {
		return record.Measurement{Look: "Gap", Value: value, Unit: "mm", High: "0.1"}
	}
	answer := func(text string) record.Confirmation { return record.Confirmation{Given: true, Text: text} }
	for _, c := range []struct {
		name      string
		measured  map[string]record.Measurement
		confirmed map[string]record.Confirmation
		back, new string
		turns     string
	}{
		{"nothing written down", nil, nil, "insert-on grind close", "insert seal", ""},
		{"worn, true in the second round",
			map[string]record.Measurement{"out/look--read-gap": read("0.3"), "out/shim--read-true": read("0.2"), "out/shim--read-true_r2": read("0.02"), "back/close--read-gap": read("0.05")},
			map[string]record.Confirmation{"out/look--decide-worn": answer("yes"), "out/shim--round": answer("2"), "out/more--skip": answer("it ran true")},
			"insert-on close", "insert seal", "look yes, shim rounds 2, more left out: it ran true"},
		{"sound, never true",
			map[string]record.Measurement{"out/shim--read-true": read("0.02"), "out/shim--read-true_r2": read("0,2")},
			map[string]record.Confirmation{"out/look--decide-worn": answer("no"), "out/insert-off--skip": answer("worn: no"), "out/shim--more": answer("TR")},
			"grind close", "seal", "look no, insert-off left out: worn: no, shim went on: TR"},
		{"an answer that is taken back", nil,
			map[string]record.Confirmation{"out/look--decide-worn": {Text: "no"}}, "insert-on grind close", "insert seal", ""},
	} {
		p := pumpSet()
		r := &record.Record{Format: record.Format, Version: 1, Job: job, Procedure: "pump", Content: record.Content(p), Measured: c.measured, Confirmed: c.confirmed}
		o := New(r, p)
		var back, renewed, turns []string
		for _, s := range o.Taken.Steps {
			back = append(back, s.ID)
		}
		for _, x := range o.Renewals {
			renewed = append(renewed, x.Row().ID)
		}
		for _, turn := range o.Turns {
			says := turn.Step.ID
			switch {
			case turn.Decision != nil && turn.Yes:
				says += " yes"
			case turn.Decision != nil:
				says += " no"
			case turn.Rounds > 0:
				says += fmt.Sprint(" rounds ", turn.Rounds)
			case turn.Note == rows.More:
				says += " went on: " + turn.Words
			default:
				says += " left out: " + turn.Words
			}
			turns = append(turns, says)
		}
		if got := strings.Join(back, " "); got != c.back {
			t.Errorf("%s: back go %q, want %q", c.name, got, c.back)
		}
		if got := strings.Join(renewed, " "); got != c.new {
			t.Errorf("%s: new are %q, want %q", c.name, got, c.new)
		}
		if got := strings.Join(turns, ", "); got != c.turns {
			t.Errorf("%s: the turns are %q, want %q", c.name, got, c.turns)
		}
		if len(o.Lost) > 0 {
			t.Errorf("%s: lost %v", c.name, o.Lost)
		}
		for _, m := range o.Measured {
			wanted := ""
			if m.Way == record.Refitting {
				wanted = "0.3"
			}
			if m.Found != wanted {
				t.Errorf("%s: %s of %s was found as %q, want %q", c.name, m.Look, m.Step.ID, m.Found, wanted)
			}
		}
	}
}
