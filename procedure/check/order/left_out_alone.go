package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// leftOutAlone is not a Check: it needs what the author declares out.
var leftOutAlone = diagnostic.Rule{
	Code: "left-out-alone", Severity: diagnostic.Warning, Title: "Declared out, and what it holds goes back",
	Wrong: "A refitting file declares out a fastener or a connection, and the parts that it joins, or the fastener that it locks, go back.",
	Why:   "Nothing locks the nut, and nothing holds the pinion: it was there for something.",
	Do:    "Let it go back, or declare out what it holds as well.",
}

// outAlone finds what the author declares out although all that it joins or locks goes back.
func outAlone(out, back *state.Trace, add refit.Additions) []diagnostic.Diagnostic {
	if out == nil {
		return nil
	}
	var all []diagnostic.Diagnostic
	end := back.End()
	for _, r := range add.Out {
		d := diagnostic.Diagnostic{Code: leftOutAlone.Code, Severity: leftOutAlone.Severity, Span: r.Span, Refitting: true,
			Advice: say.That("Let %thing go back, or declare out what it holds as well.", say.Name(r.ID))}
		if f := back.Assembly.Fastener(r.ID); f != nil && out.Start.Fastener(f).In() && !end.Fastener(f).In() {
			d.See = []diagnostic.Related{registered(&f.Row)}
			for _, l := range f.Locked {
				if end.Fastener(l).In() {
					d.Wrong = say.That("fastener %thing is declared out, and fastener %locked, which it locks, goes back", say.Name(f.ID), say.Name(l.ID))
					all = append(all, d)
					break
				}
			}
			if d.Wrong.Empty() && stayed(back, f.Parts) {
				d.Wrong = say.That("fastener %thing is declared out, and what it joins goes back: %parts", say.Name(f.ID), parts(f.Parts))
				all = append(all, d)
			}
		}
		if c := back.Assembly.Connection(r.ID); c != nil && !out.Start.Connection(c).Apart && end.Connection(c).Apart && stayed(back, c.Parts) {
			d.See = []diagnostic.Related{registered(&c.Row)}
			d.Wrong = say.That("%thing is declared out, and what it joins goes back: %parts", the(c.ID), parts(c.Parts))
			all = append(all, d)
		}
	}
	return all
}

// stayed reports whether all the parts are in their place at the end, and none was fitted on the way: left-out tells of those.
func stayed(back *state.Trace, list []*state.Part) bool {
	end := back.End()
	for _, p := range list {
		at := end.Part(p)
		if e := back.Event(at.Last); at.Is != state.InPlace || e != nil && e.Action.Verb == procedure.Fit {
			return false
		}
	}
	return len(list) > 0
}
