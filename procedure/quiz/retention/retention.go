// Package retention says what is to be asked again, and when, and how much is
// forgotten in how long. Pure functions on dated answers.
//
// What was missed comes back by the intervals of SM-2: after a day, after six
// days, and from then on after two and a half times as long as before, rounded up, as long as it
// is right. Missed again, it begins anew. A right answer before its time changes nothing: the wait is
// what it proves.
//
// Source: P. A. Wozniak, Optimization of learning, 1990, algorithm SM-2, with an
// easiness of 2.5 throughout: answers are right (its grade 4, which leaves the easiness) or wrong (which leaves it too).
package retention

import (
	"cmp"
	"slices"
)

// Day counts days from 1 January 1970.
type Day int

// Answer is one answer of one learner.
type Answer struct {
	Question string
	On       Day
	Right    bool
}

// Due is a question that a learner missed, and when it is to be asked again.
type Due struct {
	Question string
	// On is the day on which it is due, Missed the day on which it was last not right.
	On, Missed Day
	// Held is after how many waits in a row it was right since then.
	Held int
}

// Interval is the wait in days after a miss that was followed by so many right answers, each at its time.
func Interval(held int) int {
	switch held {
	case 0:
		return 1
	case 1:
		return 6
	}
	return (Interval(held-1)*5 + 1) / 2 // two and a half times, rounded up
}

// Plan lists what a learner has missed, with the day on which each is due, the earliest first. Of several answers on one day the last one
// counts, unless one of them is wrong: what was seen that day proves nothing.
func Plan(answers []Answer) []Due {
	var out []Due
	for _, a := range daily(answers) {
		i := slices.IndexFunc(out, func(d Due) bool { return d.Question == a.Question })
		switch {
		case !a.Right && i < 0:
			out = append(out, Due{a.Question, a.On + Day(Interval(0)), a.On, 0})
		case !a.Right:
			out[i] = Due{a.Question, a.On + Day(Interval(0)), a.On, 0}
		case i >= 0 && a.On >= out[i].On:
			out[i].Held++
			out[i].On = a.On + Day(Interval(out[i].Held))
		}
	}
	slices.SortStableFunc(out, func(a, b Due) int { return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Question, b.Question)) })
	return out
}

// daily makes one answer of all to a question on one day, wrong when one of them was, and sorts them by day.
func daily(answers []Answer) []Answer {
	var out []Answer
	for _, a := range answers {
		i := slices.IndexFunc(out, func(o Answer) bool { return o.Question == a.Question && o.On == a.On })
		if i < 0 {
			out = append(out, a)
			continue
		}
		out[i].Right = out[i].Right && a.Right
	}
	slices.SortStableFunc(out, func(a, b Answer) int { return cmp.Compare(a.On, b.On) })
	return out
}

// Spans are the spans of time over which forgetting is counted, by the first day that is no longer in each.
// Months of 30 days.
var Spans = []Day{30, 90, 180, 360}

// Kept counts answers to what was right the time before: how many there are, and how many are not right any more.
type Kept struct{ Asked, Forgotten int }

// Forgetting counts, by question, what one learner still has right: by the span of time since it was right the time
// before. Answers of one day are no test of memory and count as one.
func Forgetting(answers []Answer) map[string][]Kept {
	out := map[string][]Kept{}
	last := map[string]Answer{}
	for _, a := range daily(answers) {
		if before, asked := last[a.Question]; asked && before.Right {
			if out[a.Question] == nil {
				out[a.Question] = make([]Kept, len(Spans)+1)
			}
			k := &out[a.Question][span(a.On-before.On)]
			k.Asked++
			if !a.Right {
				k.Forgotten++
			}
		}
		last[a.Question] = a
	}
	return out
}

// span says in which of Spans so many days lie; the number of them for longer.
func span(days Day) int {
	if i := slices.IndexFunc(Spans, func(end Day) bool { return days < end }); i >= 0 {
		return i
	}
	return len(Spans)
}
