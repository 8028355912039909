package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
				d.See = append(d.See, see(f.Trace.Event(e.After.Fastener(x).Last), "fastener "+x.ID+" comes out here")...)
			}
		}
	}
	because := ""
	if len(out) > 0 {
		because = fasteners(out) + " " + is(out) + " out, "
	}
	switch {
	case e.Fastener != nil && because != "":
		because += e.Fastener.ID + " is taken here"
	case e.Fastener != nil:
		because += "fastener " + e.Fastener.ID + " is taken here"
	case e.Action.Verb == procedure.Release:
		because += supports(e.Supports) + " " + is(e.Supports) + " taken away here"
	default:
		because += "it is fitted here"
	}
	hang := find(f, e.Index, func(x *state.Event) bool { return x.Part != nil && g.Has(x.Part) && x.Action.Verb == procedure.Hang })
	if hang == nil {
		because += ", and no support is put on"
		d.Do = "Put a support on before " + step(e) + ", or keep a fastener in."
	} else {
		because += ", and " + supports(hang.Supports) + " " + is(hang.Supports) + " put on only in " + step(hang)
		d.See = append(see(hang, "the support is put on here"), d.See...)
		d.Do = "Put " + supports(hang.Supports) + " on before " + step(e) + ", or keep a fastener in until then."
	}
	d.Message = parts(g.Parts) + " (" + kg(g.Kg) + ") " + plural(g.Parts, "hangs", "hang") + " on nothing after " + step(e) + ": " + because
	return d
}
