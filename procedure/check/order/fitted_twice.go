package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var fittedTwice = Check{
	Rule: diagnostic.Rule{
		Code: "fitted-twice", Severity: diagnostic.Error, Title: "Put back twice",
		Wrong: "A fastener, part or connection is fitted, or a fluid filled in, that is there already.",
		Why:   "A second filling overflows, and a bolt that is in cannot be put in. The action that should stand here is missing.",
		Do:    "Take one of the two actions out, or correct the name.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) { twice(f, report, there, say.That("it came here")) },
}

// there says how a thing is already there that the event puts back; empty when it is not.
func there(e *state.Event) say.Text {
	switch {
	case e.Fastener != nil && e.Action.Verb == procedure.Fit && e.Before.Fastener(e.Fastener).Gone == 0:
		return say.That("already in")
	case e.Fastener != nil && e.Action.Verb == procedure.Tighten && e.Before.Fastener(e.Fastener).Is == state.Tight:
		if e.Fastener.TightAtOnce() && !e.Fastener.Rigid() || e.Fastener.Retorque != "" {
			return say.Text{} // pressing a clip home is no second tightening, and a row may ask for one
		}
		return say.That("already tight")
	case e.Part != nil && e.Action.Verb == procedure.Fit && e.Before.Part(e.Part).Is == state.InPlace:
		return say.That("already in place")
	case e.Connection != nil && e.Action.Verb == procedure.Connect && !e.Before.Connection(e.Connection).Apart:
		return say.That("already connected")
	case e.Fluid != nil && e.Action.Verb == procedure.Fill && e.Before.Fluid(e.Fluid).Is == state.Full:
		return say.That("already full")
	}
	return say.Text{}
}
