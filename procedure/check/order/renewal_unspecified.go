package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var renewalUnspecified = Check{
	Rule: diagnostic.Rule{
		Code: "renewal-unspecified", Severity: diagnostic.Warning, Title: "Single-use item that nobody can fetch",
		Wrong: "A single-use fastener or fluid is used up, and its row does not say which new one must lie ready.",
		Why:   "The consumables list is made from the register. \"A bolt\" or \"some oil\" gets the wrong one, or the old one goes back in.",
		Do:    "State thread and length of the fastener, or the quantity of the fluid.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]bool{}
		each(f, func(e *state.Event) {
			missing, row := "", (*procedure.Row)(nil)
			switch x, y := e.Fastener, e.Fluid; {
			case x != nil && e.Works() && x.SingleUse && x.Kind.Threaded() && x.Thread == "":
				missing, row = "thread", &x.Row
			case x != nil && e.Works() && x.SingleUse && (x.Kind == procedure.Bolt || x.Kind == procedure.Screw) && x.Length.IsZero():
				missing, row = "length", &x.Row
			case y != nil && e.Works() && y.SingleUse && y.Quantity.IsZero():
				missing, row = "quantity", &y.Row
			}
			if missing == "" || told[row] {
				return
			}
			told[row] = true
			report(diagnostic.Diagnostic{
				Span: row.Span, Message: name(e) + " is renewed, but its row states no " + missing,
				Do: "State the " + missing + ".", See: see(e, "the old one is used up here"),
			})
		})
	},
}
