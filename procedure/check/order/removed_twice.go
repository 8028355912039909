package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var removedTwice = Check{
	Rule: diagnostic.Rule{
		Code: "removed-twice", Severity: diagnostic.Error, Title: "Taken away twice",
		Wrong: "A fastener, part or connection is taken off, or a fluid drained, that is gone already.",
		Why:   "Whoever looks for a bolt that is not there loses trust in every other number, or takes the wrong one.",
		Do:    "Take one of the two actions out, or correct the name.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) { twice(f, report, gone, say.That("it went here")) },
}

// twice reports events whose thing is already as they would make it.
func twice(f *Facts, report func(diagnostic.Diagnostic), already func(e *state.Event) say.Text, why say.Text) {
	each(f, func(e *state.Event) {
		is := already(e)
		if is.Empty() {
			return
		}
		before := last(f, e)
		report(diagnostic.Diagnostic{
			Span: object(e), Wrong: say.That("%thing is %state %since", name(e), is, since(before)),
			Advice: say.That("Take one of the two actions out, or correct the name."), See: see(before, why),
		})
	})
}

// gone says how a thing is already away that the event takes away; empty when it is not.
func gone(e *state.Event) say.Text {
	switch {
	case e.Fastener != nil && e.Action.Verb == procedure.Remove && !e.Before.Fastener(e.Fastener).In():
		return say.That("already out")
	case e.Part != nil && e.Action.Verb == procedure.Remove:
		// A part that rides on another one comes off it on the bench.
		if !e.Departs() {
			return say.That("already %state", say.Word(e.Before.Part(e.Part).Is.String()))
		}
	case e.Part != nil && e.Action.Verb == procedure.Lift && e.Before.Part(e.Part).Is == state.Lifted:
		return say.That("already lifted")
	case e.Connection != nil && e.Action.Verb == procedure.Disconnect && e.Before.Connection(e.Connection).Apart:
		return say.That("already apart")
	case e.Fluid != nil && e.Action.Verb == procedure.Drain && e.Before.Fluid(e.Fluid).Is != state.Full:
		return say.That("already drained")
	}
	return say.Text{}
}
