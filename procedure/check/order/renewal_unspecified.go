package order

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var renewalUnspecified = Check{
	Rule: diagnostic.Rule{
		Code: "renewal-unspecified", Severity: diagnostic.Warning, Title: "Single-use item that nobody can fetch",
		Wrong: "A single-use fastener or fluid is used up, and its row does not say which new one must lie ready.",
		Why:   "The consumables list is made from the register. \"A bolt\" or \"some oil\" gets the wrong one, or the old one goes back in.",
		Do:    "State thread and length of the fastener, what it fits (M20, 10 x 8 x 40) in the column thread, in its name or in its note, or the quantity of the fluid.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]bool{}
		each(f, func(e *state.Event) {
			missing, row := say.Word(""), (*procedure.Row)(nil)
			switch x, y := e.Fastener, e.Fluid; {
			case x != nil && e.Works() && x.SingleUse && x.Kind.Threaded() && x.Thread == "":
				missing, row = "thread", &x.Row
			case x != nil && e.Works() && x.SingleUse && (x.Kind == procedure.Bolt || x.Kind == procedure.Screw) && x.Length.IsZero():
				missing, row = "length", &x.Row
			case x != nil && e.Works() && x.SingleUse && !x.Kind.Threaded() && !sized(x):
				missing, row = "size", &x.Row
			case y != nil && e.Works() && y.SingleUse && y.Quantity.IsZero():
				missing, row = "quantity", &y.Row
			}
			if missing == "" || told[row] {
				return
			}
			told[row] = true
			report(diagnostic.Diagnostic{
				Span: row.Span, Wrong: say.That("%thing is renewed, but its row states no %missing", name(e), missing),
				Advice: say.That("State the %missing.", missing), See: see(e, say.That("the old one is used up here")),
			})
		})
	},
}

// sized reports whether a washer, circlip, pin, key or clamp can be ordered: by the thread or the length, or by a number in its name or note.
func sized(x *state.Fastener) bool {
	return x.Thread != "" || !x.Length.IsZero() || strings.ContainsAny(x.Name+x.Note, "0123456789")
}
