package generate

import (
	"strings"
	"unicode"

	"matchmark/procedure"
)

// told is what a question says aloud and what it keeps to itself, in plain words.
type told struct {
	// stem is the question; aloud is the stem with what is said after the answer.
	stem, aloud string
	secrets     []string
}

func newTold(q *procedure.Question, secrets []string) told {
	t := told{stem: plain(q.Stem.Plain())}
	t.aloud = t.stem + plain(q.Why.Plain())
	for _, c := range q.Choices {
		t.aloud += plain(c.Feedback.Plain())
	}
	for _, s := range secrets {
		if words := plain(s); strings.TrimSpace(words) != "" {
			t.secrets = append(t.secrets, words)
		}
	}
	return t
}

// secretsOf are an author's right answers in words: the right choices, or the
// number. Neither true nor false, nor the order of lines, can be told in passing.
func secretsOf(q *procedure.Question) []string {
	var out []string
	switch q.Kind {
	case procedure.NumberAnswer:
		out = append(out, q.Number.String())
	case procedure.SingleChoice, procedure.SeveralChoice:
		for _, c := range q.Choices {
			if c.Right {
				out = append(out, c.Prose.Plain())
			}
		}
	}
	return out
}

// tells reports whether a question says another's answer aloud.
func (t told) tells(other told) bool { return says(t.aloud, other.secrets) }

// tellsItself reports whether a question holds its own answer.
func (t told) tellsItself() bool { return says(t.stem, t.secrets) }

func says(aloud string, secrets []string) bool {
	for _, s := range secrets {
		if strings.Contains(aloud, s) {
			return true
		}
	}
	return false
}

// plain returns the words in small letters with one space before, between and
// behind them, so that whole words are found in other words.
func plain(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return " " + strings.Join(words, " ") + " "
}
