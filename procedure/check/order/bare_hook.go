package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var bareHook = Check{
	Rule: diagnostic.Rule{
		Code: "bare-hook", Severity: diagnostic.Advice, Title: "Lifted with a hook and nothing between",
		Wrong: "A part is lifted with a hoist alone: no sling, shackle or eye bolt is named between the hook and the part.",
		Why:   "A hook holds only what has an eye. What is between must be rated, looked over and on the list too.",
		Do:    "Name the sling or the eye bolts. Where the hook goes into an eye of the part itself, leave it as it is.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.Lift || !slices.ContainsFunc(e.Supports, func(x *state.Support) bool { return x.Kind == procedure.Hoist }) {
				return
			}
			between := func(x *state.Support) bool { return x.Ability().Between }
			if slices.ContainsFunc(e.Supports, between) || slices.ContainsFunc(e.Before.Carriers(e.Part), between) {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("nothing is named between the hook and the %part", say.Name(e.Part.ID)),
				Advice: say.That("Name the sling or the eye bolts: lift %part with %supports, sling.", say.Name(e.Part.ID), say.Each[say.Name](say.Commas, ids(e.Supports))),
			})
		})
	},
}

func ids(list []*state.Support) (out []string) {
	for _, x := range list {
		out = append(out, x.ID)
	}
	return out
}
