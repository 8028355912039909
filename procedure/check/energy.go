package check

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var energyUnstated = rule{
	Rule: diagnostic.Rule{
		Code: "energy-unstated", Severity: diagnostic.Warning, Title: "Machine without a source of energy, and no reason",
		Wrong: "No condition of a machine keeps energy away, it has no register of sources, and nothing says why.",
		Why:   "Every rule on isolating and proving is silent, and nobody sees that.",
		Do:    "List the sources in a register, `::: register sources`, or mark the conditions that keep energy away in the column energy. Where there is none, say why in the front matter: `no-energy: ...`.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			if m.NoEnergy != "" || len(m.Energies) > 0 || len(m.Parts)+len(m.Fasteners)+len(m.Connections) == 0 {
				continue
			}
			d := diagnostic.Diagnostic{
				Span: m.Span, Wrong: say.That("the machine %machine names no source of energy, and no reason why", say.Quote(m.ID)),
				Advice: say.That("Add `::: register sources`, write yes in the column energy of the conditions that keep energy away, or say why there is none: `no-energy: ...` in the front matter."),
			}
			marked := false
			for _, c := range m.Conditions {
				marked = marked || c.Energy
				d.See = append(d.See, diagnostic.Related{Span: c.Span, Says: say.That("a condition of it")})
			}
			if !marked {
				report(d)
			}
		}
	},
}

var energyUnmarked = rule{
	Rule: diagnostic.Rule{
		Code: "energy-unmarked", Severity: diagnostic.Warning, Title: "Condition speaks of isolating, and keeps no energy away",
		Wrong: "The name of a condition speaks of isolating, of a lock or of proving dead, and neither its column energy nor a source says that it keeps energy away.",
		Why:   "Work before it is not found.",
		Do:    "Write yes in its column energy, or name it in the column isolated of a source.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			some := false // else energyUnstated says it
			for _, c := range m.Conditions {
				energy, _ := m.KeepsAway(c, nil)
				some = some || energy
			}
			for _, c := range m.Conditions {
				if energy, _ := m.KeepsAway(c, nil); !some || energy || !isolatingWords.MatchString(c.ID+" "+c.Name) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: c.Span, Wrong: say.That("%condition (%name) speaks of isolating, and keeps no energy away", say.Name(c.ID), say.Name(c.Name)),
					Advice: say.That("Write yes in its column energy, or name it in the column isolated of a source."),
				})
			}
		}
	},
}

// isolatingWords are what conditions are called that keep electric energy away.
var isolatingWords = regexp.MustCompile(`(?i)\bisolat(?:ed|ion)\b|own lock|lock and tag|locked and tagged|main switch off|proved dead|freigeschaltet|spannungsfrei`)

var sourceIncomplete = rule{
	Rule: diagnostic.Rule{
		Code: "source-incomplete", Severity: diagnostic.Error, Title: "Source of energy that nothing isolates or proves",
		Wrong: "A row of the register of sources names no condition that keeps the source away, or none by which that is proved.",
		Why:   "A source that is listed and left on hurts like one that nobody knew.",
		Do:    "Name the conditions in the columns isolated and proved.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, x := range m.Energies {
				d := diagnostic.Diagnostic{Span: x.Span}
				switch {
				case len(x.Isolated) == 0:
					d.Wrong = say.That("nothing isolates the source %source", say.Name(x.ID))
					d.Advice = say.That("Name the condition that keeps it away in the column isolated.")
				case len(x.Proved) == 0:
					d.Wrong = say.That("nothing proves that the source %source is kept away", say.Name(x.ID))
					d.Advice = say.That("Name the condition by which it is proved in the column proved: one of %isolated, as a rule.", say.Name(names(x.Isolated)))
				default:
					continue
				}
				report(d)
			}
		}
	},
}

var sourceUnguarded = rule{
	Rule: diagnostic.Rule{
		Code: "source-unguarded", Severity: diagnostic.Warning, Title: "Source of energy that no guard stands against",
		Wrong: "A row of the register of sources names no guard, and no reason why there is none.",
		Why:   "When the source comes back, nothing says what must be on before.",
		Do:    "Name the parts in the column guards, or say why there is none in the column no-guards.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, x := range m.Energies {
				if len(x.Guards) > 0 || x.NoGuards != "" {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: x.Span, Wrong: say.That("no guard is said to stand against the source %source, nor why there is none", say.Name(x.ID)),
					Advice: say.That("Name the guards in the column guards, or say why there is none in the column no-guards."),
				})
			}
		}
	},
}

func names(refs []procedure.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, r.ID)
	}
	return strings.Join(out, ", ")
}

var ownLock = rule{
	Rule: diagnostic.Rule{
		Code: "own-lock", Severity: diagnostic.Warning, Title: "Too few locks or tags for the people of a job",
		Wrong: "A step that keeps energy away takes the only padlock or danger tag, and several people do the job; or takes none though its condition speaks of a lock, and one is registered.",
		Why:   "One person, one lock, one key: the lock of another comes off when that one goes home.",
		Do:    "State as many in the register of tools as people work on the machine, and name them at the step.",
	},
	run: eachStepOfCrew(locks),
}

// eachStepOfCrew gives a rule each step with the most people that a step of its procedure needs.
func eachStepOfCrew(judge func(m *procedure.Machine, s *procedure.Step, people int, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			people := 1
			for _, s := range p.Steps {
				people = max(people, s.People)
			}
			for _, s := range p.Steps {
				judge(p.Machine, s, people, report)
			}
		}
	}
}

// keeping returns the condition that an act of a verb makes or proves, when it keeps energy away; nil otherwise.
func keeping(m *procedure.Machine, a *procedure.Action, verb procedure.Verb) *procedure.Condition {
	t := m.Thing(a.Object.ID)
	if a.Verb != verb || t == nil || t.Condition == nil {
		return nil
	}
	if energy, _ := m.KeepsAway(t.Condition, nil); !energy {
		return nil
	}
	return t.Condition
}

// locks judges the locks and tags of a step that makes a condition which keeps energy away.
func locks(m *procedure.Machine, s *procedure.Step, people int, report func(diagnostic.Diagnostic)) {
	for _, a := range s.Actions() {
		c := keeping(m, a, procedure.Establish)
		if c == nil {
			continue
		}
		brought := false
		for _, r := range s.Tools {
			tool := m.Thing(r.ID)
			if tool == nil || tool.Tool == nil {
				continue
			}
			text := tool.Row.ID + " " + tool.Row.Name
			brought = brought || lockWords.MatchString(text)
			if !lockWords.MatchString(text) && !tagWords.MatchString(text) || tool.Tool.Quantity.IsZero() && !tool.Tool.Single {
				continue
			}
			// Who only watches from outside needs none, so that two do for three.
			if pieces := max(int(tool.Tool.Quantity.Float("pcs")), 1); people < 2 || pieces >= 2 {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: r.Span, Wrong: say.That("there is one %tool for the %people people of this job, and each needs one of their own", say.Name(r.ID), say.Count(people)),
				Advice: say.That("State quantity %people pcs in its row.", say.Count(people)), See: []diagnostic.Related{{Span: tool.Row.Span, Says: say.That("registered here")}},
			})
		}
		if !brought && hasLock(m) && lockWords.MatchString(c.Name) {
			report(diagnostic.Diagnostic{
				Span: a.Object.Span, Wrong: say.That("%condition (%name) needs a lock, and the step brings none", say.Name(a.Object.ID), say.Name(c.Name)),
				Advice: say.That("Name the padlock among the tools of the step."), See: []diagnostic.Related{{Span: s.Span, Says: say.That("the step")}, {Span: c.Span, Says: say.That("registered here")}},
			})
		}
	}
}

// hasLock reports whether a lock is among a machine's tools.
func hasLock(m *procedure.Machine) bool {
	return slices.ContainsFunc(m.Tools, func(x *procedure.Tool) bool { return lockWords.MatchString(x.ID + " " + x.Name) })
}

// What locks and tags are called. The lock nut of a screw is none.
var (
	lockWords = regexp.MustCompile(`(?i)\bpadlocks?\b|\bown lock\b|\block and tag\b|\blocked and tagged\b|vorhängeschloss|eigenes schloss`)
	tagWords  = regexp.MustCompile(`(?i)\bdanger tags?\b|\btags?\b|warnschild|anhängeschild`)
)

var testerMissing = rule{
	Rule: diagnostic.Rule{
		Code: "tester-missing", Severity: diagnostic.Warning, Title: "Measured, and no tester brought",
		Wrong: "A step that proves energy away says to measure, and takes no tester, gauge or meter, though the machine's tools have a tester.",
		Why:   "Who has no tester at hand proves nothing and ticks the box.",
		Do:    "Name the tester among the tools of the step.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		var proof *procedure.Action
		for _, a := range s.Actions() {
			if keeping(m, a, procedure.Verify) != nil {
				proof = a
			}
		}
		measures := false
		s.EachProse(func(p procedure.Prose) { measures = measures || measureWords.MatchString(p.Plain()) })
		if proof == nil || !measures {
			return
		}
		var testers []*procedure.Tool
		for _, x := range m.Tools {
			if testerWords.MatchString(x.ID + " " + x.Name) {
				testers = append(testers, x)
			}
		}
		for _, r := range s.Tools {
			if t := m.Thing(r.ID); t == nil || testerWords.MatchString(t.Row.ID+" "+t.Row.Name) {
				return
			}
		}
		if len(testers) > 0 {
			report(diagnostic.Diagnostic{
				Span: proof.Object.Span, Wrong: say.That("the step measures to prove %condition, and brings no tester", say.Name(proof.Object.ID)),
				Advice: say.That("Name %tester among the tools of the step.", say.Name(testers[0].ID)),
				See:    []diagnostic.Related{{Span: s.Span, Says: say.That("the step")}, {Span: testers[0].Span, Says: say.That("registered here")}},
			})
		}
	}),
}

var (
	measureWords = regexp.MustCompile(`(?i)(?:^|[.!:]\s*)measure\b|(?:^|[.!:]\s*)(?:miss|messen sie)\b`)
	testerWords  = regexp.MustCompile(`(?i)tester|\bgauge|meter\b|prüfer`)
)
