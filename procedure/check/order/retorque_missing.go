package order

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var retorqueMissing = Check{
	Rule: diagnostic.Rule{
		Code: "retorque-missing", Severity: diagnostic.Advice, Title: "Nobody tightens it again",
		Wrong: "A row says when its torque is tried once more, and after it is tightened no step tightens it again and no step or hold point speaks of it in those words.",
		Why:   "A gasket settles with the first heat. The second round is forgotten as soon as the machine runs.",
		Do:    "Write a step of the refitting that tightens it again, or say it in its last hold point, in the words of the row.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			x := e.Fastener
			if x == nil || x.Retorque == "" || e.Action.Verb != procedure.Tighten || e.Before.Fastener(x).Is != state.Loose || spokenOf(f, e, x.Retorque) {
				return
			}
			if find(f, e.Index+1, func(y *state.Event) bool { return y.Fastener == x && y.Action.Verb == procedure.Tighten }) != nil {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("fastener %fastener is tightened in step %step; its row asks for the torque to be tried again, %when, and nothing does that", say.Name(x.ID), number(e), say.Word(x.Retorque)),
				Advice: say.That("Write a step that tightens %fastener again, or say it in the last hold point.", say.Name(x.ID)), See: []diagnostic.Related{registered(&x.Row)},
			})
		})
	},
}

// spokenOf reports whether a step, from that of an event on, holds the words.
func spokenOf(f *Facts, e *state.Event, words string) bool {
	found := false
	for _, s := range f.Job.Steps[e.Step.Number-1:] {
		s.EachProse(func(p procedure.Prose) {
			found = found || strings.Contains(strings.ToLower(p.Plain()), strings.ToLower(words))
		})
	}
	return found
}
