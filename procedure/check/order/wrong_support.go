package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var wrongSupport = Check{
	Rule: diagnostic.Rule{
		Code: "wrong-support", Severity: diagnostic.Error, Title: "Support cannot do what it is used for",
		Wrong: "A load is set down on what it hangs from, or lifted with what only stands; or it is lifted with a sling that hangs on no hook.",
		Why:   "A sling lifts nothing without a hook, a pallet and chocks lift nothing at all, and nothing stands on a hoist.",
		Do:    "Name what does it: hoists, with slings, shackles and eye bolts between, jacks and hands lift; jacks, stands, pallets, trays and cradles take what is set down. The kind of a support says which it is.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil {
				return
			}
			for _, x := range e.Supports {
				can := x.Ability()
				d := diagnostic.Diagnostic{Span: object(e), See: []diagnostic.Related{registered(&x.Row)}}
				switch {
				case e.Action.Verb == procedure.SetDown && (can.Hands || (can.Hangs || can.Between) && !can.Below):
					d.Wrong = say.That("the %part is set down on the %thing in step %step, but nothing stands on a support of the kind %kind", say.Name(e.Part.ID), say.Name(x.ID), number(e), say.Quote(x.Kind))
					d.Advice = say.That("Name what it stands on: a stand, a pallet, a jack, a tray.")
				case e.Action.Verb == procedure.Lift && !can.Raises && !can.Between:
					d.Wrong = say.That("the %part is lifted with the %thing in step %step, but a support of the kind %kind lifts nothing", say.Name(e.Part.ID), say.Name(x.ID), number(e), say.Quote(x.Kind))
					d.Advice = say.That("Name what lifts it: a hoist with its sling, a jack, hands.")
				case e.Action.Verb == procedure.Lift && can.Between && !hooked(e):
					d.Wrong = say.That("the %part is lifted with the %thing in step %step, but that hangs on no hook", say.Name(e.Part.ID), say.Name(x.ID), number(e))
					d.Advice = say.That("Put the hoist on too: support %part with hoist, %thing.", say.Name(e.Part.ID), say.Name(x.ID))
				case e.Action.Verb == procedure.SetDown && !slices.ContainsFunc(e.Supports, func(y *state.Support) bool { return y.Ability().Below }):
					d.Wrong = say.That("the %part is set down on the %thing in step %step, but a support of the kind %kind carries nothing", say.Name(e.Part.ID), say.Name(x.ID), number(e), say.Quote(x.Kind))
					d.Advice = say.That("Name what it stands on as well: a stand, a pallet, a tray.")
				default:
					continue
				}
				report(d)
				return
			}
		})
	},
}

// hooked reports whether the slings of a lift hang on a hook, or in hands.
func hooked(e *state.Event) bool {
	hook := func(x *state.Support) bool { return x.Ability().Hangs || x.Ability().Hands }
	return slices.ContainsFunc(e.Supports, hook) || slices.ContainsFunc(e.Before.Carriers(e.Part), hook)
}
