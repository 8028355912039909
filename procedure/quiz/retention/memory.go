package retention

import (
	"slices"
	"strings"
	"time"

	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
)

// Memory is the dated answers of one learner to the questions of one quiz as it is now.
type Memory struct {
	Name    string
	Answers []Answer
}

// Memories gathers the dated answers of all learners, sorted by name, and counts the results without a date or a name, of
// which nothing can be said. Whoever has one name is one learner.
func Memories(from *collect.Collection) (out []Memory, undated int) {
	take := func(name string, r collect.Result, asked func(id string) bool) {
		if r.Started.IsZero() || name == "" {
			undated++
			return
		}
		at := slices.IndexFunc(out, func(m Memory) bool { return strings.EqualFold(m.Name, name) })
		if at < 0 {
			at, out = len(out), append(out, Memory{Name: name})
		}
		for _, q := range from.Quiz.Questions {
			if asked(q.ID) {
				out[at].Answers = append(out[at].Answers, Answer{Question: q.ID, On: DayOf(r.Started), Right: quiz.Right(q, r.Answers[q.ID])})
			}
		}
	}
	for _, l := range from.Learners {
		for _, r := range l.Tries {
			take(l.Name, r, func(id string) bool { return !slices.Contains(r.Missing, id) })
		}
	}
	for _, r := range from.Again {
		take(r.Learner, r, func(id string) bool { _, asked := r.Answers[id]; return asked })
	}
	slices.SortStableFunc(out, func(a, b Memory) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return out, undated
}

const seconds = 24 * 60 * 60 // of a day

// DayOf is the day of a time in UTC.
func DayOf(t time.Time) Day { return Day(t.Unix() / seconds) }

// String writes the day as it is written in a table: 2026-03-02.
func (d Day) String() string { return d.time().Format(time.DateOnly) }

// Months is the day so many calendar months later.
func (d Day) Months(n int) Day { return DayOf(d.time().AddDate(0, n, 0)) }

func (d Day) time() time.Time { return time.Unix(int64(d)*seconds, 0).UTC() }

// Latest returns the last answer to each question, wrong where one of that day was wrong.
func Latest(answers []Answer) map[string]Answer {
	out := map[string]Answer{}
	for _, a := range daily(answers) {
		out[a.Question] = a
	}
	return out
}
