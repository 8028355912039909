package itemanalysis

import "slices"

// Item is what the class's answers tell about one question.
type Item struct {
	Question
	// Right is how many learners had it right, Open how many left it open.
	Right, Open int
	// Difficulty is the share of learners who had it right, from 0 to 1: the higher, the easier.
	Difficulty float64
	// Upper and Lower are that share in the upper and in the lower group, and
	// Discrimination is their difference, from -1 to 1; see groups for the tie rule.
	//
	// Source: D = U - L: R. L. Ebel and D. A. Frisbie, Essentials of Educational Measurement, 5th ed. 1991, chapter 13 (from memory).
	Upper, Lower, Discrimination float64
	// PointBiserial is the correlation of the question with the score; Corrected
	// that with the score of all other questions, so that it does not count itself.
	PointBiserial, Corrected float64
	// Less and More are how likely chance alone gives those who have it right as few, and as many, points on the other
	// questions as they have: small values say that strong learners have it right less often, or more often, than weak ones.
	Less, More float64
	// AlphaIfDeleted is Cronbach's alpha of the quiz without this question.
	AlphaIfDeleted float64
	// Options are the options offered, or those that were written or pointed at, the most frequent first.
	Options []OptionCount
	// Verdict says in one word what to make of it all, and Tempting which wrong
	// option strong learners take instead of the key; empty for none.
	Verdict  Verdict
	Tempting Option
}

// OptionCount is how often an option was taken.
type OptionCount struct {
	Option Option
	Key    bool
	Count  int
	// Upper and Lower are the shares of the two groups that took it.
	Upper, Lower float64
	// Corrected is the correlation of taking it with the score of all other questions, and More how likely chance
	// alone gives those who took it as many points there.
	Corrected, More float64
}

// items works out the statistics of all questions.
func (c Class) items() []Item {
	totals := c.totals()
	upper, lower, size := groups(totals)
	var out []Item
	for k, q := range c.Questions {
		column := c.column(k)
		rest := minus(totals, column)
		it := Item{
			Question:      q,
			PointBiserial: Correlation(column, totals), Corrected: Correlation(column, rest),
			AlphaIfDeleted: c.without(k).alpha(),
		}
		right := func(i int) bool { return c.Answers[i][k].Right }
		for i := range c.Answers {
			if right(i) {
				it.Right++
			}
			if c.Answers[i][k].Open {
				it.Open++
			}
		}
		it.Difficulty = float64(it.Right) / float64(len(c.Answers))
		it.Upper, it.Lower = share(upper, size, right), share(lower, size, right)
		it.Discrimination = it.Upper - it.Lower
		for _, o := range c.taken(k) {
			it.Options = append(it.Options, c.count(k, o, rest, upper, lower, size))
		}
		if q.Offered == nil {
			slices.SortStableFunc(it.Options, func(a, b OptionCount) int { return b.Count - a.Count })
		}
		it.Less, it.More = association(rest, right)
		it.judge(len(c.Answers), len(c.Questions))
		out = append(out, it)
	}
	return out
}

// taken lists a question's options: those offered, and whatever else was taken, by name.
func (c Class) taken(question int) []Option {
	out := slices.Clone(c.Questions[question].Offered)
	var others []Option
	for _, row := range c.Answers {
		for _, o := range row[question].Options {
			if !slices.Contains(out, o) && !slices.Contains(others, o) {
				others = append(others, o)
			}
		}
	}
	slices.Sort(others)
	return append(out, others...)
}

func (c Class) count(question int, o Option, rest, upper, lower []float64, size float64) OptionCount {
	took := func(i int) bool { return slices.Contains(c.Answers[i][question].Options, o) }
	out := OptionCount{Option: o, Key: slices.Contains(c.Questions[question].Key, o)}
	column := make([]float64, len(c.Answers))
	for i, row := range c.Answers {
		if took(i) {
			out.Count++
			column[i] = 1
			if c.Questions[question].Offered == nil && row[question].Right {
				out.Key = true
			}
		}
	}
	out.Upper, out.Lower = share(upper, size, took), share(lower, size, took)
	out.Corrected = Correlation(column, rest)
	_, out.More = association(rest, took)
	return out
}

// without is the class without one question.
func (c Class) without(question int) Class {
	out := Class{Questions: slices.Delete(slices.Clone(c.Questions), question, question+1)}
	for _, row := range c.Answers {
		out.Answers = append(out.Answers, slices.Delete(slices.Clone(row), question, question+1))
	}
	return out
}
