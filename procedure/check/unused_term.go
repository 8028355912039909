package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var unusedTerms = rule{
	Rule: diagnostic.Rule{
		Code: "unused-term", Severity: diagnostic.Advice, Title: "Term never used",
		Wrong: "No step uses a term of the glossary.",
		Why:   "It may be written otherwise in the steps, and then nobody is shown its meaning.",
		Do:    "Write the form that the steps use beside it, or take the term out.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		if lib.Glossary == nil {
			return
		}
		used := map[string]bool{}
		for _, p := range lib.Procedures {
			for _, name := range TermsOf(p, lib.Glossary) {
				used[name] = true
			}
		}
		unusedTermsOf(lib.Glossary, used, report)
	},
}

// TermsOf are the names of the terms that the steps of a procedure use, as its author wrote them, there and back.
func TermsOf(p *procedure.Procedure, g *procedure.Glossary) (out []string) {
	if g == nil {
		return nil
	}
	seen := map[string]bool{}
	for _, s := range p.WrittenSteps() {
		for _, t := range g.UsedIn(procedure.StepView, p.Machine, s) {
			if name := t.Name(); !seen[name] {
				seen[name] = true
				out = append(out, name)
			}
		}
	}
	return out
}

// UnusedTerms reports the terms that no procedure uses; used holds what TermsOf gives of each.
func UnusedTerms(g *procedure.Glossary, used [][]string, log *diagnostic.Log) {
	names := map[string]bool{}
	for _, some := range used {
		for _, name := range some {
			names[name] = true
		}
	}
	unusedTerms.guard(g.Span, log, func(report func(diagnostic.Diagnostic)) { unusedTermsOf(g, names, report) })
}

func unusedTermsOf(g *procedure.Glossary, used map[string]bool, report func(diagnostic.Diagnostic)) {
	for _, t := range g.Terms {
		if !used[t.Name()] {
			report(diagnostic.Diagnostic{
				Span: t.Forms[0].Span, Wrong: say.That("no step uses the term %term", say.Quote(t.Name())), Advice: say.That("Write the form that the steps use beside it, or take the term out."),
			})
		}
	}
}
