package itemanalysis

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
	// Unclear: it surely does not tell strong learners from weak ones.
	Unclear Verdict = "unclear"
	// Hard: most learners like these would miss it.
	Hard Verdict = "hard"
	// Weak: it tells strong from weak a little.
	Weak Verdict = "weak"
	// EverybodyRight: it says nothing about who knows more, only that all know it.
	EverybodyRight Verdict = "everybody-right"
	// TooFew: nothing can be said from so few learners.
	TooFew Verdict = "too-few"
	// Good: strong learners have it right more often than weak ones, or nearly all have.
	Good Verdict = "good"
)

// Verdicts lists the verdicts, the worst first.
var Verdicts = []Verdict{CheckKey, NobodyRight, Unclear, Hard, Weak, EverybodyRight, TooFew, Good}

// The classes for which figures are shown with a warning, and those in which
// strong and weak learners are not told apart at all.
//
// Source: common practice, no source.
const (
	SmallClass = 50
	TinyClass  = 10
)

const (
	// poorCorrelation is the correlation with the rest of the quiz that a question reaches at least.
	//
	// Source: 0.20: Ebel and Frisbie, Essentials of Educational Measurement, 1991, chapter 13 (from memory).
	poorCorrelation = 0.20
	// leastEach is how many learners have a question right, and how many do not, before an interval of its
	// correlation is believed: below, one learner makes it. Common practice, no source.
	leastEach = 5
	// easyDifficulty is where nearly all have a question right, and hardDifficulty where most miss it. Common practice, no source.
	easyDifficulty = 0.90
	hardDifficulty = 0.50
)

// judge sets the verdict of a question that so many learners answered, in a quiz of so many questions.
// What chance could have done is no ground for one: where nothing can be said, nothing is.
func (it *Item) judge(learners, questions int) {
	_, mostRight := Wilson(it.Right, learners)
	unclear := min(it.Right, learners-it.Right) >= leastEach && atMost(it.Corrected, learners, questions) < poorCorrelation
	if learners >= TinyClass {
		it.Tempting = it.tempting()
	}
	switch {
	case it.Right == learners:
		it.Verdict = EverybodyRight
	case it.Tempting != "" || learners >= TinyClass && it.backward(learners):
		it.Verdict = CheckKey
	case it.Right == 0:
		it.Verdict = NobodyRight
	case learners < TinyClass:
		it.Verdict = TooFew
	case unclear && it.More > Level:
		it.Verdict = Unclear
	case mostRight < hardDifficulty:
		it.Verdict = Hard
	case unclear:
		it.Verdict = Weak
	case it.More <= Level || it.Difficulty >= easyDifficulty:
		it.Verdict = Good
	default:
		it.Verdict = TooFew
	}
}

// tempting finds the wrong option that looks like the right one: more learners take it than any other wrong one
// and at least as many as the key, and they know the rest better than chance makes them. One option of
// each question is looked at, and it is chosen without regard to who took it, so the test's level is its own.
func (it *Item) tempting() Option {
	var rival OptionCount
	for _, o := range it.Options {
		if !o.Key && o.Count > rival.Count {
			rival = o
		}
	}
	if rival.Count > 0 && rival.Count >= it.Right && rival.More <= Level {
		return rival.Option
	}
	return ""
}

// backward reports whether at least half of the learners miss a question whose options are not known, and the weak
// have it right more often than the strong by more than chance.
func (it *Item) backward(learners int) bool {
	known := slices.ContainsFunc(it.Options, func(o OptionCount) bool { return o.Count > 0 })
	return !known && 2*it.Right <= learners && it.Less <= Level
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
