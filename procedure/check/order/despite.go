package order

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/guess"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
	"matchmark/procedure/text"
)

// notChecked is not a Check: it says what the checks leave out.
var notChecked = diagnostic.Rule{
	Code: "not-checked", Severity: diagnostic.NotChecked, Title: "Something was not checked",
	Wrong: "An error keeps a part of the order of work from being judged: what depends on a name or a line that cannot be read.",
	Why:   "Once the error is mended, further faults may show.",
	Do:    "Mend the errors that are named, and check again.",
}

// NotChecked documents the code of what the rules leave out.
func NotChecked() diagnostic.Rule { return notChecked }

// RunDespite is Run for a procedure in whose files there are errors; see RunOnDespite.
func RunDespite(p *procedure.Procedure, add refit.Additions, errors []diagnostic.Diagnostic, log *diagnostic.Log) {
	f := analysis.New(p)
	RunOnDespite(f, add, keys, errors, log)
}

// RunOnDespite is RunOn for a procedure in whose files there are errors. It reports
// what is wrong both as the procedure stands and as it was likely meant, which no
// mending of these errors will put right; and in one line that the rest was not judged.
func RunOnDespite(f *analysis.Procedure, add refit.Additions, words refit.Words, errors []diagnostic.Diagnostic, log *diagnostic.Log) {
	if f.Machine == nil {
		if f.MachineRef.ID != "" {
			log.Add(diagnostic.Diagnostic{
				Code: notChecked.Code, Severity: notChecked.Severity, Span: f.Span, Advice: say.That(notChecked.Do),
				Wrong: say.That("the order of work is not judged: the machine %machine could not be read", say.Quote(f.MachineRef.ID)),
				See:   []diagnostic.Related{{Span: f.MachineRef.Span, Says: say.That("the machine is named here")}},
			})
		}
		return
	}
	var sorted diagnostic.Log
	for _, d := range errors {
		sorted.Add(d)
	}
	errors = sorted.Sorted()
	var meant *procedure.Procedure
	var bearing []diagnostic.Diagnostic
	if !diagnostic.GuardWork(say.That("reading on behind an error"), f.Span, log.Add, func() { meant, bearing = guess.Meant(f.Procedure, errors) }) {
		return
	}
	if len(bearing) == 0 {
		RunOn(f, add, words, log)
		return
	}
	var stands, likely diagnostic.Log
	RunOn(f, add, words, &stands)
	Run(meant, refit.AdditionsOf(meant), &likely)
	either := likely.Sorted()
	for _, d := range stands.Sorted() {
		if d.Fault != nil || slices.ContainsFunc(either, func(x diagnostic.Diagnostic) bool { return alike(d, x) }) {
			log.Add(d)
		}
	}
	d := diagnostic.Diagnostic{Code: notChecked.Code, Severity: notChecked.Severity, Span: f.Span, Advice: say.That(notChecked.Do)}
	names := say.List{Join: say.And}
	for _, e := range roots(bearing) {
		d.See = append(d.See, diagnostic.Related{Span: e.Span, Says: say.That("%code", say.Word(e.Code))})
		if code := say.Part(say.Word(e.Code)); !slices.Contains(names.Parts, code) {
			names.Parts = append(names.Parts, code)
		}
	}
	const most = 3
	if more := len(names.Parts) - most; more > 0 {
		names.Parts = append(names.Parts[:most], say.That("%count more", say.Count(more)))
	}
	d.Wrong = say.That("the order of work is judged but for what depends on %faults", names)
	log.Add(d)
}

// roots leaves out names that lead nowhere where a fault of a register may be why.
func roots(bearing []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	nowhere := func(d diagnostic.Diagnostic) bool { return strings.HasPrefix(string(d.Code), "undefined-") }
	if out := slices.DeleteFunc(slices.Clone(bearing), nowhere); len(out) > 0 {
		return out
	}
	return bearing
}

// alike reports whether two readings of a procedure have one fault.
func alike(a, b diagnostic.Diagnostic) bool {
	return a.Code == b.Code && a.Span == b.Span && a.Refitting == b.Refitting
}

// notOf leaves out of the faults of a refitting those of things that the removal gets wrong already.
func notOf(there []diagnostic.Diagnostic, out *state.Trace, back []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	wrong := map[string]bool{}
	for _, d := range there {
		if d.Severity == diagnostic.Error {
			for id := range involved(out, d) {
				wrong[id] = true
			}
		}
	}
	if len(wrong) == 0 {
		return back
	}
	return slices.DeleteFunc(back, func(d diagnostic.Diagnostic) bool {
		if d.Fault != nil {
			return false
		}
		for id := range involved(out, d) {
			if wrong[id] {
				return true
			}
		}
		return false
	})
}

// involved names the things that a message's places speak of, with what is fastened or connected to them.
func involved(t *state.Trace, d diagnostic.Diagnostic) map[string]bool {
	names := map[string]bool{}
	part := func(p *state.Part) {
		names[p.ID] = true
		for _, f := range p.Fasteners {
			names[f.ID] = true
		}
		for _, c := range p.Connections {
			names[c.ID] = true
		}
	}
	at := func(s text.Span) {
		for i := range t.Events {
			e := &t.Events[i]
			if object(e) != s {
				continue
			}
			names[e.Action.Object.ID] = true
			for _, p := range e.Moved {
				part(p)
			}
			switch {
			case e.Part != nil:
				part(e.Part)
			case e.Fastener != nil:
				for _, p := range e.Fastener.Parts {
					if !p.Base {
						part(p)
					}
				}
			}
		}
		for _, x := range t.Job.Machine.Things() {
			if x.Row.Span == s {
				names[x.Row.ID] = true
			}
		}
		for _, s2 := range t.Job.Steps {
			for _, r := range s2.Needs {
				if r.Span == s {
					names[r.ID] = true
				}
			}
		}
	}
	at(d.Span)
	for _, r := range d.See {
		at(r.Span)
	}
	return names
}
