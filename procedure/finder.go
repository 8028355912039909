package procedure

import (
	"slices"

	"matchmark/procedure/text"
)

// Finder is what a condition's name stands for: a question, a value with limits, or an inspection.
type Finder struct {
	Name string
	Step *Step
	// Exactly one of these is set. Readings is the block of a single value too, and Reading then the value.
	Decision   *Decision
	Readings   *Readings
	Reading    *Reading
	Inspection *Inspection
	// Chance is how likely the answer is yes, or the value out of its limits, from 0 to 1.
	Chance float64
}

// Finders lists what the steps find out, in the order of the steps.
func Finders(steps []*Step) []Finder {
	var out []Finder
	for _, s := range steps {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if x := shown.Decision; x != nil {
				out = append(out, Finder{Name: x.Name, Step: s, Decision: x, Chance: chance(x.Chance)})
			}
			if x := shown.Looks; x != nil && x.Name != "" {
				out = append(out, Finder{Name: x.Name, Step: s, Inspection: x, Chance: chance(x.Chance)})
			}
			if x := shown.Readings; x != nil {
				if x.Name != "" {
					out = append(out, Finder{Name: x.Name, Step: s, Readings: x, Chance: chance(x.Rows[0].Chance)})
					continue
				}
				for i := range x.Rows {
					out = append(out, Finder{Name: x.Rows[i].Name, Step: s, Readings: x, Reading: &x.Rows[i], Chance: chance(x.Rows[i].Chance)})
				}
			}
		}
	}
	return out
}

func chance(percent int) float64 {
	if percent == 0 {
		percent = UsualChance
	}
	return float64(percent) / 100
}

// Finds reports whether a name of a condition or a sum is this finder's, or that of one of its values.
func (f *Finder) Finds(name string) bool {
	return f.Name == name || f.Readings != nil && slices.ContainsFunc(f.Readings.Rows, func(r Reading) bool { return r.Name == name })
}

// Uses lists the names of what the step goes by: its conditions, the values of its sums and texts, the end of its round.
func (s *Step) Uses() []string {
	out := append(s.If.Names(), s.Round.Until.Names()...)
	for _, b := range s.Blocks {
		out = append(out, b.Base().If.Names()...)
		for _, t := range Texts(b) {
			for _, r := range t.Values() {
				out = append(out, r.ID)
			}
		}
		if x := b.Shows().Readings; x != nil {
			for i := range x.Rows {
				for _, a := range x.Rows[i].Addends() {
					out = append(out, a.Name)
				}
			}
		}
	}
	return out
}

// Place is where it stands in the source.
func (f *Finder) Place() text.Span {
	switch {
	case f.Decision != nil:
		return f.Decision.Span
	case f.Inspection != nil:
		return f.Inspection.Span
	case f.Reading != nil:
		return f.Reading.Span
	}
	return f.Readings.Span
}

// Judges reports whether what is found can decide: a question, an inspection, or a value with limits.
func (f *Finder) Judges() bool {
	switch {
	case f.Reading != nil:
		return f.Reading.Limits != nil
	case f.Readings != nil:
		return slices.ContainsFunc(f.Readings.Rows, func(r Reading) bool { return r.Limits != nil })
	}
	return true
}

// Finders lists what the procedure finds out, that of the procedure which a way back brings back first.
func (p *Procedure) Finders() []Finder {
	if p.Removal != nil {
		return append(Finders(p.Removal.Steps), Finders(p.Steps)...)
	}
	return Finders(p.Steps)
}

// Chances are how likely each name is yes, or out of its limits. Of a name that several finders have, for example on
// several variants, the first counts.
func (p *Procedure) Chances() map[string]float64 { return chancesOf(p.Finders()) }

func chancesOf(finders []Finder) map[string]float64 {
	out := map[string]float64{}
	for _, f := range finders {
		if _, known := out[f.Name]; !known {
			out[f.Name] = f.Chance
		}
	}
	return out
}

// Weigh sets how likely each step of the procedure is left out.
func (p *Procedure) Weigh() { p.weigh(p.Finders) }

// WeighAfter is Weigh for a way back whose Removal is not set yet.
func (p *Procedure) WeighAfter(forth *Procedure) {
	p.weigh(func() []Finder { return append(Finders(forth.Steps), Finders(p.Steps)...) })
}

func (p *Procedure) weigh(finders func() []Finder) {
	var chances map[string]float64
	for _, s := range p.Steps {
		if s.Skips = 0; s.If == "" {
			continue
		}
		if chances == nil {
			chances = chancesOf(finders())
		}
		s.Skips = 1 - s.If.Chance(chances)
	}
}

// Wait is what is waited for at the end of the step; nil for nothing.
func (s *Step) Wait() *Wait {
	for _, b := range s.Blocks {
		if w := b.Shows().Wait; w != nil {
			return w
		}
	}
	return nil
}

// Round is a group of steps that is gone through again until a condition holds. The zero Round is none.
type Round struct {
	// First is the name of its first step.
	First string `word:"round-first"`
	Until When
	// Most is after how many rounds the trainer is called.
	Most int
	// Rounds is how many there are, by three points.
	Rounds Estimate
}

// MostFinders is how many things may decide on what is done to the machine in one procedure. Every combination of
// answers is judged.
const MostFinders = 4
