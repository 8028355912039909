package order

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
	var joints []string
	d := diagnostic.Diagnostic{Span: object(e), Do: "Undo what still joins it before " + step(e) + "."}
	for _, t := range ties {
		if t.Fastener != nil {
			bolts = append(bolts, t.Fastener)
			if keep := f.Trace.Event(e.Before.Fastener(t.Fastener).Kept); keep != nil {
				d.See = append(d.See, see(keep, "fastener "+t.Fastener.ID+" is kept here")...)
			}
			d.See = append(d.See, see(find(f, e.Index, func(x *state.Event) bool {
				return x.Fastener == t.Fastener && x.Action.Verb == procedure.Remove
			}), "fastener "+t.Fastener.ID+" comes out only here")...)
		} else {
			joints = append(joints, "the "+t.Connection.ID)
			d.See = append(d.See, see(find(f, e.Index, func(x *state.Event) bool {
				return x.Connection == t.Connection && x.Action.Verb == procedure.Disconnect
			}), "the "+t.Connection.ID+" comes off only here")...)
		}
	}
	var still []string
	if len(bolts) > 0 {
		still = append(still, fasteners(bolts)+" "+is(bolts)+" still in")
	}
	if len(joints) > 0 {
		still = append(still, and(joints)+" "+is(joints)+" still connected")
	}
	d.Message = "the " + e.Part.ID + " leaves in " + step(e) + " while " + strings.Join(still, " and ")
	return d
}
