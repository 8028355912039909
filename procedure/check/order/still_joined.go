package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var stillJoined = Check{
	Rule: diagnostic.Rule{
		Code: "still-joined", Severity: diagnostic.Error, Title: "Part leaves while something still joins it",
		Wrong: "A part is taken off or lifted while a fastener or connection still ties it to what stays.",
		Why:   "A hoist pulls on until something gives: the bolt, the cable, the sling, or the machine comes along.",
		Do:    "Undo what still joins it before the part leaves.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if !e.Departs() || e.Part.Base {
				return
			}
			if ties := e.Before.Ties(e.Moved); len(ties) > 0 {
				report(tied(f, e, ties))
			}
		})
	},
}

func tied(f *Facts, e *state.Event, ties []state.Tie) diagnostic.Diagnostic {
	var bolts []*state.Fastener
	joints := say.List{Join: say.And}
	d := diagnostic.Diagnostic{Span: object(e), Advice: say.That("Undo what still joins it before step %step.", number(e))}
	for _, t := range ties {
		if t.Fastener != nil {
			bolts = append(bolts, t.Fastener)
			if keep := f.Trace.Event(e.Before.Fastener(t.Fastener).Kept); keep != nil {
				d.See = append(d.See, see(keep, say.That("fastener %fastener is kept here", say.Name(t.Fastener.ID)))...)
			}
			d.See = append(d.See, see(find(f, e.Index, func(x *state.Event) bool {
				return x.Fastener == t.Fastener && x.Action.Verb == procedure.Remove
			}), say.That("fastener %fastener comes out only here", say.Name(t.Fastener.ID)))...)
		} else {
			joints.Parts = append(joints.Parts, the(t.Connection.ID))
			d.See = append(d.See, see(find(f, e.Index, func(x *state.Event) bool {
				return x.Connection == t.Connection && x.Action.Verb == procedure.Disconnect
			}), say.That("the %connection comes off only here", say.Name(t.Connection.ID)))...)
		}
	}
	still := say.List{Join: say.EachAnd}
	if len(bolts) > 0 {
		still.Parts = append(still.Parts, say.That("%numbers(fastener|fasteners) %numbers %numbers(is|are) still in", numbers(bolts)))
	}
	if len(joints.Parts) > 0 {
		still.Parts = append(still.Parts, say.That("%joints %joints(is|are) still connected", joints))
	}
	d.Wrong = say.That("the %part leaves in step %step while %still", say.Name(e.Part.ID), number(e), still)
	return d
}
