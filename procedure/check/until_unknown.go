package check

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
)

var untilUnknown = rule{
	Rule: diagnostic.Rule{
		Code: "until-unknown", Severity: diagnostic.Error, Title: "Kept until a step that is not there",
		Wrong: "The reason why a fastener is kept names in code marks, after the word until, neither a step nor a condition.",
		Why:   "Nothing compares the order of work with the reason, and the learner waits for a step that never comes.",
		Do:    "Correct the name, or take the code marks off.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			names := stepNames(p)
			for _, c := range p.Machine.Conditions {
				names = append(names, c.ID)
			}
			for _, s := range p.WrittenSteps() {
				for _, a := range s.Actions() {
					if a.Verb != procedure.Keep || !strings.Contains(strings.ToLower(a.Reason.Plain()), "until") {
						continue
					}
					for _, r := range a.Reason.Mentions() {
						known := slices.Contains(names, r.ID) || p.Machine.Thing(r.ID) != nil || strings.ContainsAny(r.ID, ". ") ||
							p.RefitFile != nil && slices.ContainsFunc(p.RefitFile.Steps, func(s *procedure.Step) bool { return s.ID == r.ID }) || strings.HasSuffix(r.ID, refit.Suffix)
						if !known {
							unknownName(r, names, report, say.That("there is no step and no condition %name", say.Quote(r.ID)), say.That("Correct the name, or take the code marks off."))
						}
					}
				}
			}
		}
	},
}

var derivedUnknown = rule{
	Rule: diagnostic.Rule{
		Code: "derived-unknown", Severity: diagnostic.Warning, Title: "Step of a refitting that takes no derived step's place",
		Wrong: "A hand-written step of a refitting has a name like that of a derived step, and no derived step has it.",
		Why:   "It is put in besides the derived step, which stays: the work is done twice.",
		Do:    "Correct the name, or give a step that is put in a name that does not end in -back.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil || p.RefitFile == nil || len(p.RefitFile.Steps) == 0 {
				continue
			}
			var names []string
			for _, s := range refit.Derive(p, refit.Additions{Out: p.RefitFile.Out}, func(key string, _ ...any) string { return key }).Steps {
				names = append(names, s.ID)
			}
			for _, s := range p.RefitFile.Steps {
				like := strings.HasSuffix(s.ID, refit.Suffix) || strings.HasPrefix(s.ID, "refit-") || s.Differs
				if slices.Contains(names, s.ID) || !like && diagnostic.Nearest(s.ID, names) == "" {
					continue
				}
				if near := diagnostic.Nearest(s.ID, names); near != "" || s.Differs || strings.HasSuffix(s.ID, refit.Suffix) && len(s.After) == 0 {
					unknownName(procedure.Ref{ID: s.ID, Span: s.Span}, names, report, say.That("no derived step is called %name, so this one is put in besides them", say.Quote(s.ID)),
						say.That("Correct the name, or give it one that does not end in -back."))
				}
			}
		}
	},
}
