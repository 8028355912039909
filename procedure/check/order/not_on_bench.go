package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var notOnBench = Check{
	Rule: diagnostic.Rule{
		Code: "not-on-bench", Severity: diagnostic.Error, Title: "Work on the bench before the unit stands there",
		Wrong: "Something is taken off, put on, turned or drained while the unit that its row names under `on-bench` is in its place in the machine.",
		Why:   "It can be reached or is safe only once the unit is off and set down. In its place nobody gets there.",
		Do:    "Set the unit down first. On the way back do it before the unit is lifted again.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			row, unit := benched(e)
			if unit == nil || unit.Base {
				return // bench-never tells of a base part
			}
			if e.Before.Part(unit).Is != state.InPlace {
				return // work-under-load tells of one in the air
			}
			down := find(f, e.Index, func(x *state.Event) bool { return slices.Contains(x.Moved, unit) && onBench(x.After, unit) })
			up := lastMoved(f, e, unit)
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%thing is worked on only while %unit stands on the bench, and %unit is in its place in step %step", name(e), the(unit.ID), number(e)),
				Advice: say.That("Do it while %unit is set down: before it is lifted to go back, after it has come off.", the(unit.ID)),
				See:    append(append(see(down, say.That("it is set down only here")), see(up, say.That("it left the bench here"))...), registered(row)),
			})
		})
	},
}

// onBench reports whether the part is off its place and set down, or put away by hand.
func onBench(s *state.State, p *state.Part) bool {
	is := s.Part(p).Is
	return is == state.Down || is == state.Off
}

// lastMoved is the event before e that took the unit from the bench, nil for none: it has not been there.
func lastMoved(f *Facts, e *state.Event, unit *state.Part) *state.Event {
	for i := e.Index - 1; i >= 0; i-- {
		if x := &f.Trace.Events[i]; slices.Contains(x.Moved, unit) && onBench(x.Before, unit) && !onBench(x.After, unit) {
			return x
		}
	}
	return nil
}

// benched is what an event works on, with the unit that must stand on the bench for it; nil for nothing.
func benched(e *state.Event) (*procedure.Row, *state.Part) {
	if row, _ := touched(e); row != nil {
		switch {
		case e.Fastener != nil:
			return row, e.Fastener.Bench
		case e.Connection != nil:
			return row, e.Connection.Bench
		}
		return row, e.Fluid.Bench
	}
	if e.Part != nil && (e.Departs() || e.Action.Verb == procedure.Fit) {
		return &e.Part.Row, e.Part.Bench
	}
	return nil, nil
}

var unitIncomplete = Check{
	Rule: diagnostic.Rule{
		Code: "unit-incomplete", Severity: diagnostic.Warning, Title: "Unit goes back before it is put together",
		Wrong: "A unit is fitted while a part that was taken off it on the bench is not on it again, and is put on only later.",
		Why:   "What came off on the bench was taken off there because it is better reached, or lighter, there. In the machine it is often not reached at all.",
		Do:    "Put the unit together first. Where the part does go on in the machine, allow this with the reason.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.Fit || e.After.Part(e.Part).Is != state.InPlace {
				return
			}
			for _, q := range f.Trace.Assembly.Parts {
				at := e.Before.Part(q)
				if q.Bench != nil || at.Aboard || !slices.Contains(e.Moved, at.Rides) {
					continue
				}
				on := find(f, e.Index, func(x *state.Event) bool { return x.Part == q && x.Action.Verb == procedure.Fit })
				if on == nil {
					continue // left-out and not-returned tell what never goes back
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%unit goes back in step %step without %part, which came off it on the bench", the(e.Part.ID), number(e), the(q.ID)),
					Advice: say.That("Put %part on first, while %unit stands on the bench.", the(q.ID), the(e.Part.ID)),
					See:    see(on, say.That("it is put on only here")),
				})
			}
		})
	},
}
