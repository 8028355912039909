package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var fittedTwice = Check{
	Rule: diagnostic.Rule{
		Code: "fitted-twice", Severity: diagnostic.Error, Title: "Put back twice",
		Wrong: "A fastener, part or connection is fitted, or a fluid filled in, that is there already.",
		Why:   "A second filling overflows, and a bolt that is in cannot be put in. The action that should stand here is missing.",
		Do:    "Take one of the two actions out, or correct the name.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) { twice(f, report, there, "it came here") },
}

// there says how a thing is already there that the event puts back; empty when it is not.
func there(e *state.Event) string {
	switch {
	case e.Fastener != nil && e.Action.Verb == procedure.Fit && e.Before.Fastener(e.Fastener).In():
		return "already in"
	case e.Fastener != nil && e.Action.Verb == procedure.Tighten && e.Before.Fastener(e.Fastener).Is == state.Tight:
		if e.Fastener.TightAtOnce() && !e.Fastener.Rigid() {
			return "" // pressing a clip home is no second tightening
		}
		return "already tight"
	case e.Part != nil && e.Action.Verb == procedure.Fit && e.Before.Part(e.Part).Is == state.InPlace:
		return "already in place"
	case e.Connection != nil && e.Action.Verb == procedure.Connect && !e.Before.Connection(e.Connection).Apart:
		return "already connected"
	case e.Fluid != nil && e.Action.Verb == procedure.Fill && e.Before.Fluid(e.Fluid).Is == state.Full:
		return "already full"
	}
	return ""
}
