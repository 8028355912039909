package order

import (
	"regexp"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var usuallyRenewed = Check{
	Rule: diagnostic.Rule{
		Code: "usually-renewed", Severity: diagnostic.Advice, Title: "Commonly used once, and not by its row",
		Wrong: "A tab washer, circlip, split pin, self-locking nut, seal or gasket, or a bolt that is turned on by an angle, comes out, and its row does not say whether a new one goes in.",
		Why:   "A tab that is bent a second time breaks, and a stretched bolt has lost its force. Nobody orders what nobody lists.",
		Do:    "Write yes into the column single-use, or no where the old one may go back in.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]bool{}
		each(f, func(e *state.Event) {
			if e.Action.Verb != procedure.Remove && e.Action.Verb != procedure.Loosen {
				return
			}
			row, why := spent(e)
			if row == nil || told[row] {
				return
			}
			told[row] = true
			report(diagnostic.Diagnostic{
				Span: row.Span, Wrong: say.That("%thing is commonly renewed: %why; its row does not say whether a new one goes in", name(e), why),
				Advice: say.That("Write yes into the column single-use, or no where the old one may go back in."), See: see(e, say.That("it comes out here")),
			})
		})
	},
}

// onceOnly are names of what is commonly used once, with the reason. Common practice, no source.
var onceOnly = []struct {
	is  *regexp.Regexp
	why say.Text
}{
	{regexp.MustCompile(`(?i)split pin|cotter pin|splint`), say.That("a split pin is not bent twice")},
	{regexp.MustCompile(`(?i)self-?\s?locking|nyloc|prevailing torque|nylon insert|selbstsichernd|stopmutter`), say.That("its locking ring holds once")},
	{regexp.MustCompile(`(?i)\bgasket|\bo-?ring|\bseals?\b|sealing (?:ring|washer)|crush washer|copper washer|dichtung|dichtring`), say.That("what seals takes the shape of its seat")},
	{regexp.MustCompile(`(?i)\brivet|\bniet`), say.That("a rivet is drilled out")},
	{regexp.MustCompile(`(?i)stretch|dehnschraube`), say.That("it is stretched when it is tightened")},
}

// spent says of a fastener or a part why it is commonly renewed; a nil row when it is not, or when its row speaks of it.
func spent(e *state.Event) (*procedure.Row, say.Text) {
	var row *procedure.Row
	switch x, p := e.Fastener, e.Part; {
	case x != nil && !x.SingleUse && !x.Reused:
		row = &x.Row
		switch {
		case x.Kind == procedure.TabWasher:
			return row, say.That("a tab that is bent twice breaks")
		case x.Kind == procedure.Circlip && e.Action.Verb == procedure.Remove:
			return row, say.That("a circlip that was spread has lost its grip")
		case !x.Angle.IsZero():
			return row, say.That("what is turned on by an angle is stretched")
		}
	case p != nil && !p.SingleUse && !p.Base:
		row = &p.Row
	}
	if row != nil {
		for _, o := range onceOnly {
			if o.is.MatchString(row.Name) {
				return row, o.why
			}
		}
	}
	return nil, say.Text{}
}
