package itemanalysis

import "slices"

// Step is what the answers to the questions on one step come to.
type Step struct {
	// ID is the step's name.
	ID string
	// Items are the questions on it, the least often right first.
	Items []Item
	// Missed is how many answers of all to these questions were not right.
	Missed, Of int
}

// Share is which part of the answers was not right.
func (s Step) Share() float64 { return float64(s.Missed) / float64(s.Of) }

// Steps gathers the questions by the steps that they are about, the least
// understood step first, equal ones in the order of the quiz.
func (a Analysis) Steps() []Step {
	var out []Step
	for _, it := range a.Items {
		if it.Step == "" {
			continue
		}
		i := slices.IndexFunc(out, func(s Step) bool { return s.ID == it.Step })
		if i < 0 {
			i, out = len(out), append(out, Step{ID: it.Step})
		}
		s := &out[i]
		s.Items = append(s.Items, it)
		s.Missed += a.Learners - it.Right
		s.Of += a.Learners
	}
	for _, s := range out {
		slices.SortStableFunc(s.Items, func(x, y Item) int { return x.Right - y.Right })
	}
	slices.SortStableFunc(out, func(x, y Step) int {
		return y.Missed*x.Of - x.Missed*y.Of
	})
	return out
}
