package check

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var haspMissing = rule{
	Rule: diagnostic.Rule{
		Code: "hasp-missing", Severity: diagnostic.Advice, Title: "Several locks, and nothing to hang them in",
		Wrong: "Several people do a job, each has a padlock, and neither the tools nor the words of the step that locks the machine speak of a hasp or a lock box.",
		Why:   "A handle takes one padlock. Whoever comes second works under the lock of another.",
		Do:    "Add a hasp to the register of tools and name it at the step; or say in its words where the second lock goes.",
	},
	run: eachStepOfCrew(func(m *procedure.Machine, s *procedure.Step, people int, report func(diagnostic.Diagnostic)) {
		if lock := severalLocks(m, s); people > 1 && lock != nil && !speaksOfHasp(m, s) {
			report(diagnostic.Diagnostic{
				Span: s.Span, Wrong: say.That("%people people do this job, and step %step has nothing to hang a second lock in", say.Count(people), say.Name(s.ID)),
				Advice: say.That("Add a hasp to the tools, or say where the second lock goes."), See: []diagnostic.Related{{Span: lock.Row.Span, Says: say.That("registered here")}},
			})
		}
	}),
}

// severalLocks returns the padlocks of a step that takes more than one to keep energy away; nil for none.
func severalLocks(m *procedure.Machine, s *procedure.Step) *procedure.Tool {
	if !slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return keeping(m, a, procedure.Establish) != nil }) {
		return nil
	}
	for _, r := range s.Tools {
		t := m.Thing(r.ID)
		if t != nil && t.Tool != nil && lockWords.MatchString(t.Row.ID+" "+t.Row.Name) && t.Tool.Quantity.Float("pcs") > 1 {
			return t.Tool
		}
	}
	return nil
}

// haspWords are what several locks hang in.
var haspWords = regexp.MustCompile(`(?i)\bhasps?\b|\block ?box|\bgroup lock|mehrfachschlie|schließbügel|sammelschlie|schlüsselkasten|(?:second|other|each|every) (?:person'?s? )?(?:own )?(?:pad)?lock`)

func speaksOfHasp(m *procedure.Machine, s *procedure.Step) bool {
	for _, r := range s.Tools {
		if t := m.Thing(r.ID); t != nil && t.Tool != nil && haspWords.MatchString(t.Row.ID+" "+t.Row.Name) {
			return true
		}
	}
	for _, b := range s.Blocks {
		if shown := b.Shows(); shown.Text != nil {
			for _, q := range shown.Text.Paragraphs() {
				if haspWords.MatchString(q.Text) {
					return true
				}
			}
		}
	}
	return false
}
