package check

import (
	"math"
	"regexp"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// gaugeShare is the share of a tolerance that the tool which reads it may be uncertain by.
//
// Source: a fourth to a tenth, common practice of inspection, no source.
const gaugeShare = 0.25

// gauges are measuring tools by their names, and what each can be trusted to in mm; those that a name fits first come first.
//
// Source: common practice, no source; a caliper's 0.05 mm is from memory of ISO 13385-1.
var gauges = []struct {
	is    *regexp.Regexp
	trust float64
}{
	{regexp.MustCompile(`(?i)bore gauge|plug gauge|innenmessger|lehrdorn`), 0.005},
	{regexp.MustCompile(`(?i)micrometer|bügelmessschraube|messschraube`), 0.005},
	{regexp.MustCompile(`(?i)dial (?:gauge|indicator|test indicator)|messuhr|feinzeiger`), 0.01},
	{regexp.MustCompile(`(?i)feeler|fühler(?:blatt)?lehre|fühlerlehre`), 0.01},
	{regexp.MustCompile(`(?i)calipers?\b|depth gauge|messschieber|schieblehre|tiefenma`), 0.05},
	{regexp.MustCompile(`(?i)(?:steel|folding) rule\b|ruler\b|stahlma|massstab|maßstab|zollstock`), 0.5},
	{regexp.MustCompile(`(?i)tape measure|measuring tape|bandma`), 1},
}

// trustOf is what a tool can be trusted to in mm, by its name; 0 for one that measures no length.
func trustOf(t *procedure.Tool) float64 {
	for _, g := range gauges {
		if g.is.MatchString(t.Name) {
			return g.trust
		}
	}
	return 0
}

var gaugeCoarse = rule{
	Rule: diagnostic.Rule{
		Code: "gauge-coarse", Severity: diagnostic.Advice, Title: "Limit that no tool of the step can read",
		Wrong: "An inspection has limits in mm, and no measuring tool of its step is exact enough for them, or the step has none and the machine's register has some. What a tool can do is known from its name: a caliper 0.05 mm, a dial gauge or feeler gauges 0.01 mm, a bore gauge or a micrometer 0.005 mm, a rule 0.5 mm; a fourth of the tolerance is asked for.",
		Why:   "Who reads 0.03 mm by caliper reads the caliper: good parts are thrown away, and worn ones go back.",
		Do:    "List a tool that can read it, or state what can be seen or felt instead.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, b := range s.Blocks {
			looks := b.Shows().Looks
			if looks == nil {
				continue
			}
			finest, tool := finestOf(m, s)
			if tool == nil && !hasGauge(m) {
				return
			}
			for _, x := range looks.Items {
				band := bandOf(x.Limits)
				if band == 0 || tool != nil && finest <= gaugeShare*band {
					continue
				}
				d := diagnostic.Diagnostic{Span: x.Span, Advice: say.That("List a tool that reads to %wanted mm, or say what is seen or felt instead.", shortest(gaugeShare*band))}
				if tool == nil {
					d.Wrong = say.That("%look has limits in mm, and no tool of step %step measures a length", say.Quote(x.Look), say.Name(s.ID))
				} else {
					d.Wrong = say.That("%look has a tolerance of %band mm, and the finest tool of step %step is exact to %finest mm only: %tool", say.Quote(x.Look), shortest(band), say.Name(s.ID), shortest(finest), say.Name(tool.ID))
					d.See = []diagnostic.Related{{Span: tool.Row.Span, Says: say.That("registered here")}}
				}
				report(d)
			}
		}
	}),
}

// finestOf returns the measuring tool of a step that reads a length most exactly; nil for none.
func finestOf(m *procedure.Machine, s *procedure.Step) (finest float64, tool *procedure.Tool) {
	for _, r := range s.Tools {
		t := m.Thing(r.ID)
		if t == nil || t.Tool == nil {
			continue
		}
		if trust := trustOf(t.Tool); trust > 0 && (tool == nil || trust < finest) {
			finest, tool = trust, t.Tool
		}
	}
	return finest, tool
}

func hasGauge(m *procedure.Machine) bool {
	for _, t := range m.Tools {
		if trustOf(t) > 0 {
			return true
		}
	}
	return false
}

// bandOf is the width of limits on a length in mm. Below an upper limit alone lies all down to zero; how wide a
// lower limit alone leaves it is not known: 0.
func bandOf(l *procedure.Limits) float64 {
	if l == nil || l.High == nil || l.High.Dimension() != measure.Length {
		return 0
	}
	low := 0.0
	if l.Low != nil {
		low = l.Low.Float("mm")
	}
	return math.Round((l.High.Float("mm")-low)*1e4) / 1e4
}
