package order

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var workUnderLoad = Check{
	Rule: diagnostic.Rule{
		Code: "work-under-load", Severity: diagnostic.Error, Title: "Work while a load is in the air",
		Wrong: "While a part hangs on lifting gear, something else is done than setting it down or fitting it.",
		Why:   "A hanging load falls without a warning. Nobody works on it, under it or beside it, and whoever leads the lift looks at nothing else.",
		Do:    "Do the work before the lift, or after the load stands. Looking from outside the zone and steering with a rope are no work on it.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			hanging := inTheAir(e.Before)
			if len(hanging) == 0 || !worksBeside(e, hanging) {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("step %step has %verb %object while %load in the air", number(e), say.Word(e.Action.Verb), say.Name(e.Action.Object.ID), hang(hanging)),
				Advice: say.That("Do it before the lift, or after the load is set down."), See: see(liftOf(f, e.Before, hanging[0]), say.That("it is lifted here")),
			})
		})
	},
}

// hang says that parts hang: "the hub hangs", "the hub and the gearbox hang".
func hang(list []*state.Part) say.Text {
	return say.That("%parts %parts(hangs|hang)", parts(list))
}

// worksBeside reports whether an event is work while parts hang: anything but looking, and what is done to bring them to where they belong.
func worksBeside(e *state.Event, hanging []*state.Part) bool {
	switch e.Action.Verb {
	case procedure.Inspect, procedure.Keep, procedure.Establish, procedure.Verify:
		return false
	case procedure.Undo:
		return e.Condition != nil && e.Condition.BarsZone()
	case procedure.Lift, procedure.SetDown, procedure.Fit, procedure.Hang, procedure.Release, procedure.Remove:
		if e.Part != nil {
			return !slices.Contains(hanging, e.Part)
		}
	}
	return e.Fastener != nil || e.Part != nil || e.Connection != nil || e.Fluid != nil
}

var sentUnderLoad = Check{
	Rule: diagnostic.Rule{
		Code: "sent-under-load", Severity: diagnostic.Warning, Title: "Words send somebody under a load",
		Wrong: "A sentence of a step with a load in the air tells the reader to reach, step or lie under something.",
		Why:   "Learners do what they read.",
		Do:    "Do it before the lift or after the load stands, or say from where it is done.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			hanging := inTheAir(f.Trace.After(i))
			if before := inTheAir(f.Trace.Before(i)); len(hanging) == 0 {
				hanging = before
			}
			if len(hanging) == 0 {
				continue
			}
			s.EachProse(func(p procedure.Prose) {
				for _, sentence := range strings.FieldsFunc(p.Plain(), func(r rune) bool { return r == '.' || r == '!' || r == '\n' }) {
					if !underWords.MatchString(sentence) || notWords.MatchString(sentence) {
						continue
					}
					report(diagnostic.Diagnostic{
						Span: s.Span, Wrong: say.That("step %step says %sentence, and %load in the air", say.Step(s.Number), say.Quote(strings.TrimSpace(sentence)), hang(hanging)),
						Advice: say.That("Say from where it is done without anybody under the load."), See: see(f.Trace.Event(f.Trace.After(i).Part(hanging[0]).Last), say.That("the load")),
					})
				}
			})
		}
	},
}

// What is asked for under a load, and what forbids it; English only, as the advice on words is.
var (
	underWords = regexp.MustCompile(`(?i)^\s*(?:then |now )?(?:reach|crawl|step|stand|lie|get|go|bend|put (?:a|your|one) hand|push your hand)\b.*\b(?:under|underneath|beneath|below)\b`)
	notWords   = regexp.MustCompile(`(?i)\b(?:nobody|nothing|never|not|no)\b`)
)
