package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var dangerWithoutHold = Check{
	Rule: diagnostic.Rule{
		Code: "danger-without-hold", Severity: diagnostic.Warning, Title: "Danger without a hold point",
		Wrong: "A step warns of a danger to life, and work goes on after it without a hold point between them or right before the step.",
		Why:   "A danger is met by something that was done before, and only a hold point makes sure that somebody looked.",
		Do:    "End the step with a hold point on what keeps people alive there.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			var before *procedure.Step
			if i > 0 {
				before = f.Job.Steps[i-1]
			}
			c := dangerOf(s, before)
			if c == nil || state.Hold(s) != nil || i > 0 && state.Hold(f.Job.Steps[i-1]) != nil {
				continue
			}
			for k := i; k < len(f.Job.Steps); k++ {
				if work := works(f.Trace.Step(k)); work != nil {
					report(diagnostic.Diagnostic{
						Span: c.Span, Wrong: say.That("step %this warns of a danger, and no hold point stands between it and the work in step %step", say.Name(s.ID), number(work)),
						Advice: say.That("End step %this with a hold point.", say.Name(s.ID)), See: see(work, say.That("the work begins here")),
					})
					break
				}
				if state.Hold(f.Job.Steps[k]) != nil {
					break
				}
			}
		}
	},
}

// dangerOf is the step's first caution with the signal word danger; nil for none. One that holds for a chapter counts where the chapter begins.
func dangerOf(s, before *procedure.Step) *procedure.Caution {
	for _, b := range s.Blocks {
		if c := b.Shows().Warning; c != nil && c.Signal == procedure.Danger && !c.Repeats(s, before) {
			return c
		}
	}
	return nil
}

// works returns the first of the events that is work on the machine; nil for none.
func works(events []state.Event) *state.Event {
	for i := range events {
		if events[i].Works() {
			return &events[i]
		}
	}
	return nil
}
