package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var broughtLeft = Check{
	Rule: diagnostic.Rule{
		Code: "brought-left", Severity: diagnostic.Error, Title: "Left behind in the machine",
		Wrong: "What is brought for the job is put on, is still on at the end of it, and nothing says that it stays.",
		Why:   "A lifting eye or a bracket that was forgotten turns with the shaft, or is trusted by the next who lifts.",
		Do:    "Take it off once it is not needed any more, or say why it stays: keep it, with a reason.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		if f.Out != nil {
			return // that all is as it was at the start is proved there
		}
		end := f.Trace.End()
		left := func(row *procedure.Row, what, verb say.Text) {
			put := lastFit(f, row.ID)
			if put == nil {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(put), Wrong: say.That("%thing is brought for the job and put on in step %step, and nothing takes it off again", what, number(put)),
				Advice: verb, See: []diagnostic.Related{registered(row)},
			})
		}
		for _, x := range f.Trace.Assembly.Fasteners {
			if x.Brought && end.Fastener(x).In() && end.Fastener(x).Kept == state.None {
				left(&x.Row, say.That("fastener %number", say.Name(x.ID)), say.That("Add: remove %thing. Where it stays, say why: keep %thing: why.", say.Name(x.ID)))
			}
		}
		for _, p := range f.Trace.Assembly.Parts {
			kept := func(x *state.Fastener) bool {
				return end.Fastener(x).In() && (!x.Brought || end.Fastener(x).Kept != state.None)
			}
			if p.Brought && end.Part(p).Is != state.Off && !slices.ContainsFunc(p.Fasteners, kept) {
				left(&p.Row, the(p.ID), say.That("Add: remove %thing. Where it stays, keep what joins it.", say.Name(p.ID)))
			}
		}
	},
}

// lastFit is the last event that puts a thing on; nil when none does.
func lastFit(f *Facts, id string) (put *state.Event) {
	each(f, func(e *state.Event) {
		if e.Action.Verb == procedure.Fit && e.Action.Object.ID == id {
			put = e
		}
	})
	return put
}
