package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var overCapacity = Check{
	Rule: diagnostic.Rule{
		Code: "over-capacity", Severity: diagnostic.Error, Title: "Support carries more than its rated capacity",
		Wrong: "What hangs or stands on a support is heavier than its rated capacity.",
		Why:   "Lifting gear that is overloaded fails without a warning.",
		Do:    "Use a support that is rated for the load, or take parts off before.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			var concerned []*state.Part
			switch {
			case e.Fastener != nil:
				concerned = e.Fastener.Parts
			case e.Part != nil:
				concerned = []*state.Part{e.Part}
			}
			for _, p := range concerned {
				o := overloaded(e.After, p)
				if o == nil || overloaded(e.Before, p) != nil && e.Before.Part(p).Is == e.After.Part(p).Is {
					continue
				}
				d := diagnostic.Diagnostic{Span: object(e), Do: "Use supports that are rated for " + kg(o.load) + " or more."}
				for _, x := range o.supports {
					d.See = append(d.See, registered(&x.Row))
				}
				d.Message = supports(o.supports) + " " + plural(o.supports, "carries", "carry") + " " + kg(o.load) + " after " + step(e) + ", but " + is(o.supports) + " rated for " + kg(o.capacity)
				report(d)
				return
			}
		})
	},
}
