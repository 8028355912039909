package analysis

import (
	"cmp"
	"math"
	"slices"
)

// Verdict is what to make of a question's figures.
type Verdict string

// The verdicts, the worst first. A good question needs no look.
const (
	// CheckKey: strong learners miss it, or take another option than the key.
	CheckKey Verdict = "check-key"
	// NobodyRight: no learner had it right.
	NobodyRight Verdict = "nobody-right"
	// Unclear: it does not tell strong learners from weak ones, though many miss it.
	Unclear Verdict = "unclear"
	// Hard: most learners miss it, the strong ones less than the weak.
	Hard Verdict = "hard"
	// Weak: it tells strong from weak a little.
	Weak Verdict = "weak"
	// EverybodyRight: it says nothing about who knows more, only that all know it.
	EverybodyRight Verdict = "everybody-right"
	// TooFew: no verdict from so few learners.
	TooFew Verdict = "too-few"
	// Good: strong learners have it right more often than weak ones.
	Good Verdict = "good"
)

// Verdicts lists the verdicts, the worst first.
var Verdicts = []Verdict{CheckKey, NobodyRight, Unclear, Hard, Weak, EverybodyRight, TooFew, Good}

// The classes for which figures are shown with a warning, and those for which
// strong and weak learners are not told apart at all.
//
// Source: common practice, no source.
const (
	SmallClass = 50
	TinyClass  = 10
)

// The least discrimination that is good, and the least that is not poor. Below
// half of a class right, a question is hard.
//
// Source: 0.30 and 0.20: Ebel and Frisbie, Essentials of Educational Measurement, 1991, chapter 13 (from memory); the others: common practice, no source.
const (
	goodDiscrimination = 0.30
	poorDiscrimination = 0.20
	// poorCorrelation is for questions that look better than they are: in a short
	// quiz a question's own points lift its learners into the upper group.
	poorCorrelation = 0.10
	hardDifficulty  = 0.50
	// easyDifficulty is where so few miss a question that discrimination says little.
	easyDifficulty = 0.90
	mostOfUpper    = 0.50
)

// judge sets the verdict of a question that so many learners answered.
func (it *Item) judge(learners int) {
	switch {
	case it.Right == learners:
		it.Verdict = EverybodyRight
		return
	case learners < TinyClass && it.Right > 0:
		it.Verdict = TooFew
		return
	case learners >= TinyClass:
		it.Tempting = it.tempting(learners)
	}
	switch {
	case it.Tempting != "" || it.backward(learners):
		it.Verdict = CheckKey
	case it.Right == 0:
		it.Verdict = NobodyRight
	case it.Difficulty >= easyDifficulty && it.Discrimination >= 0:
		it.Verdict = Good
	case it.Discrimination < poorDiscrimination || it.Corrected < poorCorrelation:
		it.Verdict = Unclear
	case it.Difficulty < hardDifficulty:
		it.Verdict = Hard
	case it.Discrimination < goodDiscrimination:
		it.Verdict = Weak
	default:
		it.Verdict = Good
	}
}

// backward reports whether the weak have it right more often than the strong, by more than chance does.
func (it *Item) backward(learners int) bool {
	return Known(it.Corrected) && it.Discrimination < 0 && it.Corrected < -chance(learners)
}

// tempting finds the wrong option that strong learners take more often than the
// key: more than half of them take it and the key does not go with the rest of the
// quiz either, or those who take it score higher on the rest by more than chance does.
func (it *Item) tempting(learners int) Option {
	best := OptionCount{Upper: it.Upper}
	sound := Known(it.Corrected) && it.Corrected > chance(learners)
	for _, o := range it.Options {
		drawn := o.Upper > mostOfUpper && !sound || Known(o.Corrected) && o.Corrected > chance(learners)
		if !o.Key && drawn && o.Upper > best.Upper {
			best = o
		}
	}
	return best.Option
}

// Worst lists the questions that need a look, the worst first.
func (a Analysis) Worst() []Item {
	var out []Item
	for _, it := range a.Items {
		if it.Verdict != Good && it.Verdict != EverybodyRight && it.Verdict != TooFew {
			out = append(out, it)
		}
	}
	slices.SortStableFunc(out, func(x, y Item) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Verdicts, x.Verdict), slices.Index(Verdicts, y.Verdict)),
			cmp.Compare(known(x.Corrected), known(y.Corrected)),
		)
	})
	return out
}

// known puts what has no value before all else.
func known(x float64) float64 {
	if !Known(x) {
		return math.Inf(-1)
	}
	return x
}
