package check

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
	"matchmark/procedure/say"
)

var eyeUnjudged = rule{
	Rule: diagnostic.Rule{
		Code: "eye-unjudged", Severity: diagnostic.Advice, Title: "Eye bolt that nobody can judge",
		Wrong: "A sling hooks into an eye bolt whose rating is not stated; or its leg pulls at an angle, and how the eye bolt is made is not stated.",
		Why:   "At an angle an eye bolt keeps nothing to seven tenths of its rating, by its make. What nobody stated is not checked, and the lift sheet says so.",
		Do:    "Fill in the columns rated and eye of its row; the eye has both stamped on it or on its tag.",
	},
	lift: func(l lifts.Lift, report func(diagnostic.Diagnostic)) {
		for _, eye := range l.UnjudgedEyes() {
			d := diagnostic.Diagnostic{
				Span: eye.Span, Wrong: say.That("%part is lifted by fastener %number, and how it is made is not stated: what it keeps of its rating at an angle was not judged", say.Name(l.Part.Name), say.Name(eye.ID)),
				Advice: say.That("Fill in the eye column: plain, collar, shoulder or swivel."), See: []diagnostic.Related{{Span: l.Action.Span, Says: say.That("the lift")}},
			}
			if _, rated := lifting.Kilograms(eye.Rated); !rated {
				d.Wrong = say.That("%part is lifted by fastener %number, and what it is rated for is not stated: it was not judged", say.Name(l.Part.Name), say.Name(eye.ID))
				d.Advice = say.That("Fill in the rated column: the load that is stamped on the eye.")
			}
			report(d)
		}
	},
}
