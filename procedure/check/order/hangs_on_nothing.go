package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var hangsOnNothing = Check{
	Rule: diagnostic.Rule{
		Code: "hangs-on-nothing", Severity: diagnostic.Error, Title: "Heavy part hangs on nothing",
		Wrong: "The last thing that holds a heavy part comes away, and nothing carries the part.",
		Why:   "The part falls, on to feet, hands and the floor.",
		Do:    "Put a support on before the last fastener comes out, or keep a fastener until one is on.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i := range f.Job.Steps {
			events := f.Trace.Step(i)
			var told []*state.Part
			for j := range events {
				e := &events[j]
				for _, p := range letGo(e) {
					if slices.Contains(told, p) || !falls(e.Before, e.After, p) {
						continue
					}
					if g := e.After.Group(p); g.Kg > handsKg(e.Step.People)+rounding {
						told = append(told, g.Parts...)
						report(hanging(f, e, g))
					}
				}
			}
			// What people hold by hand must hang on something again, or be off, when they let go at the end of the step.
			for j := range slices.Backward(events) {
				e := &events[j]
				for _, p := range letGo(e) {
					if slices.Contains(told, p) || !falls(f.Trace.Before(i), f.Trace.After(i), p) {
						continue
					}
					if g := f.Trace.After(i).Group(p); g.Kg >= state.RestKg {
						told = append(told, g.Parts...)
						report(hanging(f, e, g))
					}
				}
			}
		}
	},
}

// letGo returns the parts that the event may leave without a hold.
func letGo(e *state.Event) []*state.Part {
	switch {
	case e.Fastener != nil && e.Action.Verb == procedure.Remove:
		return e.Fastener.Parts
	case e.Part != nil && (e.Action.Verb == procedure.Release || e.Action.Verb == procedure.Fit):
		return []*state.Part{e.Part}
	}
	return nil
}

// falls reports whether a part that was held, or not in its place yet, is in its place now and held by nothing.
func falls(before, after *state.State, p *state.Part) bool {
	if after.Part(p).Is != state.InPlace || after.Held(p) {
		return false
	}
	return before.Part(p).Is != state.InPlace || before.Held(p)
}

func hanging(f *Facts, e *state.Event, g state.Group) diagnostic.Diagnostic {
	d := diagnostic.Diagnostic{Span: object(e)}
	var out []*state.Fastener
	for _, p := range g.Parts {
		for _, x := range p.Fasteners {
			outward := slices.ContainsFunc(x.Parts, func(q *state.Part) bool { return !g.Has(q) })
			if x.Carries() && outward && x != e.Fastener && !e.After.Fastener(x).In() && !slices.Contains(out, x) {
				out = append(out, x)
				d.See = append(d.See, see(f.Trace.Event(e.After.Fastener(x).Last), say.That("fastener %thing comes out here", say.Name(x.ID)))...)
			}
		}
	}
	var because say.Text
	switch {
	case e.Fastener != nil && len(out) > 0:
		because = say.That("%number is taken here", say.Name(e.Fastener.ID))
	case e.Fastener != nil:
		because = say.That("fastener %number is taken here", say.Name(e.Fastener.ID))
	case e.Action.Verb == procedure.Release:
		because = say.That("%supports %supports(is|are) taken away here", supports(e.Supports))
	default:
		because = say.That("it is fitted here")
	}
	if len(out) > 0 {
		because = say.That("%numbers(fastener|fasteners) %numbers %numbers(is|are) out, %because", numbers(out), because)
	}
	hang := find(f, e.Index, func(x *state.Event) bool { return x.Part != nil && g.Has(x.Part) && x.Action.Verb == procedure.Hang })
	if hang == nil {
		because = say.That("%because, and no support is put on", because)
		d.Advice = say.That("Put a support on before step %step, or keep a fastener in.", number(e))
	} else {
		because = say.That("%because, and %supports %supports(is|are) put on only in step %step", because, supports(hang.Supports), number(hang))
		d.See = append(see(hang, say.That("the support is put on here")), d.See...)
		d.Advice = say.That("Put %supports on before step %step, or keep a fastener in until then.", supports(hang.Supports), number(e))
	}
	d.Wrong = say.That("%parts (%mass) %parts(hangs|hang) on nothing after step %step: %because", parts(g.Parts), mass(g.Kg, stated(g.Parts)), number(e), because)
	return d
}
