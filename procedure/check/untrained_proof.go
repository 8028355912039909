package check

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var untrainedProof = rule{
	Rule: diagnostic.Rule{
		Code: "untrained-proof", Severity: diagnostic.Warning, Title: "Voltage measured by somebody of another trade",
		Wrong: "A step measures that electric energy is gone, the library lists an electrical trade, and the step names only others.",
		Why:   "Measuring at terminals that may be live is electrical work. Whoever has not learnt it burns or believes a false 0 V.",
		Do:    "Give the proof to the electrical trade: who= at the act or the step.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		electrical := electricalTrades(lib.Trades)
		if len(electrical) == 0 {
			return
		}
		eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
			if !measuresVoltage(m, s) {
				return
			}
			for _, a := range s.Actions() {
				who := a.Who
				if len(who) == 0 {
					who = s.Who
				}
				if !provesDead(m, a) || len(who) == 0 || slices.ContainsFunc(who, func(r procedure.Ref) bool { return slices.Contains(electrical, r.ID) }) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: who[0].Span, Wrong: say.That("step %step measures that %condition holds, and %trade does it", say.Name(s.ID), say.Name(a.Object.ID), say.Name(who[0].ID)),
					Advice: say.That("Write who=%trade: measuring a voltage takes that trade.", say.Name(electrical[0])), See: []diagnostic.Related{{Span: a.Object.Span, Says: say.That("the proof")}},
				})
				return
			}
		})(lib, report)
	},
}

// electricalTrades are the trades and tickets of a library whose names speak of electricity.
func electricalTrades(all []procedure.Trade) (out []string) {
	for _, t := range all {
		if electricalWords.MatchString(t.Name) {
			out = append(out, t.ID)
		}
	}
	return out
}

// measuresVoltage reports whether a step tells to measure a voltage or takes a voltage tester.
func measuresVoltage(m *procedure.Machine, s *procedure.Step) bool {
	for _, r := range s.Tools {
		if t := m.Thing(r.ID); t != nil && t.Tool != nil && voltageTester.MatchString(t.Row.Name) {
			return true
		}
	}
	return slices.ContainsFunc(s.Blocks, func(b procedure.Block) bool {
		shown := b.Shows()
		return shown.Text != nil && voltageWords.MatchString(shown.Text.Plain())
	})
}

var (
	electricalWords = regexp.MustCompile(`(?i)electri|elektr`)
	voltageTester   = regexp.MustCompile(`(?i)voltage|multimeter|spannungsprüf`)
)
