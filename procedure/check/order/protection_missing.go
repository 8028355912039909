package order

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/contact"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
	"matchmark/procedure/text"
)

var protectionMissing = Check{
	Rule: diagnostic.Rule{
		Code: "protection-missing", Severity: diagnostic.Warning, Title: "No protection from what a step touches",
		Wrong: "A step touches what is hot, sharp or corrosive by its row, lifts a load on a hoist where the register has helmets, or tells to wear something, and none of its tools protects from that.",
		Why:   "What does not lie there is not worn: the lye is in the eyes before somebody has fetched the goggles.",
		Do:    "List the protection in the step, or say in its row what it protects from (column against): then it is filled in.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		out := writtenOut(f.Out)
		for i, s := range f.Job.Steps {
			g := &guarded{f: f, step: s, report: report, told: map[string]bool{}, out: out}
			for j := range f.Trace.Step(i) {
				g.event(&f.Trace.Step(i)[j])
			}
			g.words()
		}
	},
}

// guarded is a step whose protection is looked for.
type guarded struct {
	f      *Facts
	step   *procedure.Step
	report func(diagnostic.Diagnostic)
	told   map[string]bool
	// out are the places of the removal, whose acts and cautions a derived step takes over: they are judged there.
	out map[text.Span]bool
}

// writtenOut are the places of the acts and cautions of a removal; none for a job that is no refitting.
func writtenOut(out *state.Trace) map[text.Span]bool {
	if out == nil {
		return nil
	}
	places := map[text.Span]bool{}
	for _, s := range out.Job.Steps {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Warning != nil {
				places[shown.Warning.Span] = true
			}
			for _, a := range shown.Actions {
				places[a.Object.Span] = true
			}
		}
	}
	return places
}

func (g *guarded) event(e *state.Event) {
	if g.out[object(e)] {
		return
	}
	for _, c := range contact.Of(g.f.Job.Machine, g.step, e.Action) {
		if c.Fluid != nil && !c.Out && flushed(e, c.Fluid) {
			continue
		}
		for _, n := range c.Needs {
			g.need(c.Row.ID, n, object(e), say.That("%thing (%hazard) is touched in step %step", the(c.Row.ID), say.Quote(c.Words), number(e)), registered(c.Row))
		}
	}
	if e.Part != nil && (e.Action.Verb == procedure.Lift || e.Action.Verb == procedure.SetDown) && g.helmets() {
		for _, x := range e.Before.Part(e.Part).Carriers {
			if x.Kind == procedure.Hoist {
				g.need(e.Part.ID, contact.Overhead, object(e),
					say.That("%thing hangs from %support in step %step", the(e.Part.ID), the(x.ID), number(e)), registered(&x.Row))
			}
		}
	}
}

// helmets reports whether the shop has helmets at all: a small load on a low hook is lifted without, and only the author knows.
func (g *guarded) helmets() bool {
	return slices.ContainsFunc(g.f.Job.Machine.Tools, func(t *procedure.Tool) bool { return contact.Protects(t, contact.Overhead) })
}

// flushed reports whether nothing of a fluid is left in its circuit.
func flushed(e *state.Event, x *procedure.Fluid) bool {
	y := e.Before.Assembly.Fluid(x.ID)
	return y != nil && e.Before.Fluid(y).Is == state.Flushed
}

// first reports whether nothing was asked yet of a thing and a place; the words of a step are no thing.
func (g *guarded) first(id string, place hazard.Place) bool {
	key := fmt.Sprint(id, " ", place)
	defer func() { g.told[key] = true }()
	return !g.told[key]
}

// need reports a place that none of the step's tools protects, once for each thing.
func (g *guarded) need(id string, n hazard.Need, at text.Span, because say.Text, see diagnostic.Related) {
	if !g.first(id, n.Place) || g.protects(n) {
		return
	}
	g.first("", n.Place) // the words may say so too
	g.report(diagnostic.Diagnostic{
		Span: at, Wrong: say.That("%because, and none of its tools protects %place", because, say.Word(n.Place)),
		Advice: say.That("List %what in step %step, or write %kind into the column against of what protects from it.", say.Word(gear[n.Place]), say.Name(g.step.ID), say.Word(n.Kind)),
		See:    []diagnostic.Related{see},
	})
}

// gear says what is worn on a place, and what takes up a spill.
var gear = map[hazard.Place]string{
	hazard.Hands: "gloves", hazard.Eyes: "goggles or glasses", hazard.Head: "helmets", hazard.Ears: "hearing protection",
	hazard.Breath: "masks", hazard.Floor: "cloths",
}

func (g *guarded) protects(n hazard.Need) bool {
	return slices.ContainsFunc(g.step.Tools, func(r procedure.Ref) bool {
		t := g.f.Job.Machine.Thing(r.ID)
		return t != nil && t.Tool != nil && contact.Protects(t.Tool, n)
	})
}

// wears reports whether one of the step's tools is worn on a place.
func (g *guarded) wears(p hazard.Place) bool {
	return slices.ContainsFunc(g.step.Tools, func(r procedure.Ref) bool {
		t := g.f.Job.Machine.Thing(r.ID)
		return t != nil && t.Tool != nil && t.Tool.Kind == procedure.Protection && hazard.GearOf(t.Tool.Name).Place == p
	})
}

// words looks for what the words of the step tell to wear.
func (g *guarded) words() {
	for _, b := range g.step.Blocks {
		shown := b.Shows()
		if c := shown.Warning; c != nil && !g.out[c.Span] {
			g.prose(c.Prose)
		}
		if shown.Text != nil {
			g.prose(*shown.Text)
		}
	}
}

func (g *guarded) prose(p procedure.Prose) {
	for _, q := range p.Paragraphs() {
		for _, x := range hazard.Sentences(q.Text) {
			for _, place := range hazard.Told(x) {
				if !g.first("", place) || g.wears(place) {
					continue
				}
				g.report(diagnostic.Diagnostic{
					Span: q.SpanOf(0, len(q.Text)), Wrong: say.That("the words say %words, and its tools have no %what", say.Quote(x), say.Word(gear[place])),
					Advice: say.That("List %what in step %step.", say.Word(gear[place]), say.Name(g.step.ID)),
				})
			}
		}
	}
}
