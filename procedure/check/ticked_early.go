package check

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var tickedEarly = rule{
	Rule: diagnostic.Rule{
		Code: "ticked-early", Severity: diagnostic.Warning, Title: "Ticked before its proof can have been done",
		Wrong: "A condition that keeps electric energy away is ticked as proved before the words that tell to measure, and no tick stands behind them; or a condition whose name says that it is proved is ticked in one step and proved in a later one.",
		Why:   "Whoever ticks from top to bottom has signed for a reading that nobody has taken.",
		Do:    "Put the tick right behind the words that tell to measure, in the same step.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			early(p.Machine, p.Steps, report)
			if p.RefitFile != nil {
				early(p.Machine, p.RefitFile.Steps, report)
			}
		}
	},
}

// early judges the ticks of one way through a job.
func early(m *procedure.Machine, steps []*procedure.Step, report func(diagnostic.Diagnostic)) {
	beforeMeasuring(m, steps, report)
	for i, s := range steps {
		for _, a := range s.Actions() {
			c := keeping(m, a, procedure.Establish)
			if c == nil || !provedWords.MatchString(c.Name) || ticks(m, s, c) {
				continue
			}
			later := slices.IndexFunc(steps[i+1:], func(x *procedure.Step) bool { return ticks(m, x, c) })
			if later < 0 {
				continue // that nothing proves it is said elsewhere
			}
			report(diagnostic.Diagnostic{
				Span: a.Object.Span, Wrong: say.That("%condition (%name) is ticked in step %step, and it is proved only in step %later", say.Name(c.ID), say.Name(c.Name), say.Name(s.ID), say.Name(steps[i+1+later].ID)),
				Advice: say.That("Establish it where it is proved."), See: []diagnostic.Related{{Span: steps[i+1+later].Span, Says: say.That("here")}},
			})
		}
	}
}

// ticks reports whether a step proves a condition.
func ticks(m *procedure.Machine, s *procedure.Step, c *procedure.Condition) bool {
	return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return keeping(m, a, procedure.Verify) == c })
}

// beforeMeasuring reports the proof that stands before the first words that measure a voltage, when none stands behind them.
func beforeMeasuring(m *procedure.Machine, steps []*procedure.Step, report func(diagnostic.Diagnostic)) {
	var tick *procedure.Action
	var in, measures *procedure.Step
	for _, s := range steps {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Text != nil && voltageWords.MatchString(shown.Text.Plain()) {
				measures = s
			}
			for _, a := range shown.Actions {
				if provesDead(m, a) {
					if measures == nil && triesToStart(m, s, a) {
						continue // that start is its proof
					}
					if measures == s {
						return // ticked where it is measured
					}
					tick, in = a, s
				}
			}
		}
		if measures != nil {
			break
		}
	}
	if measures == nil || tick == nil {
		return
	}
	report(diagnostic.Diagnostic{
		Span: tick.Object.Span, Wrong: say.That("%condition is ticked as proved in step %step, and the words that tell to measure come only behind it, in step %later", say.Name(tick.Object.ID), say.Name(in.ID), say.Name(measures.ID)),
		Advice: say.That("Move the tick behind the measuring."), See: []diagnostic.Related{{Span: measures.Span, Says: say.That("here")}},
	})
}

// provesDead reports whether an act proves that electric energy is away.
func provesDead(m *procedure.Machine, a *procedure.Action) bool {
	c := keeping(m, a, procedure.Verify)
	if c == nil {
		return false
	}
	return len(m.Energies) == 0 || slices.ContainsFunc(m.Energies, func(x *procedure.EnergySource) bool {
		return x.Kind == "electric" && slices.ContainsFunc(x.Proved, func(r procedure.Ref) bool { return r.ID == c.ID })
	})
}

// triesToStart reports whether what a step proves is that the machine does not start, and no more.
func triesToStart(m *procedure.Machine, s *procedure.Step, a *procedure.Action) bool {
	if deadWords.MatchString(m.Thing(a.Object.ID).Row.Name) {
		return false
	}
	return slices.ContainsFunc(s.Blocks, func(b procedure.Block) bool {
		shown := b.Shows()
		return shown.Text != nil && startWords.MatchString(shown.Text.Plain())
	})
}

var (
	// startWords tell to try a start, and deadWords are what conditions are called that only a measurement proves.
	startWords = regexp.MustCompile(`(?i)\bstart button\b|\btry to start\b|starttaste|einschalten versuchen`)
	deadWords  = regexp.MustCompile(`(?i)\bdead\b|\bvoltage\b|\bproved\b|spannungsfrei|nachgewiesen`)
	// voltageWords tell to measure a voltage; a resistance to earth is none.
	voltageWords = regexp.MustCompile(`(?i)(?:^|[.!:]\s*)(?:measure|test for|miss|messen sie|prüfe?n? (?:sie )?(?:die )?spannung)\b[^.]*(?:\bterminals?\b|\btest points?\b|\bphases?\b|\bvoltage\b|\b0 V\b|klemme|spannung|messpunkt|messstelle)`)
	// provedWords are what conditions are called that hold once they are proved.
	provedWords = regexp.MustCompile(`(?i)\bproved\b|\bproven\b|\bverified\b|nachgewiesen|festgestellt`)
)
