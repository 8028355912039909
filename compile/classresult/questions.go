package classresult

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
)

// Question is what the class's answers tell about a question.
type Question struct {
	// Number is that on the form.
	Number   int
	ID, Stem string
	Critical bool
	// Verdict is one of itemanalysis.Verdicts, Word says it, Advice what to do.
	Verdict      string
	Word, Advice string
	// Look says that the question needs a look.
	Look bool
	// Right is such as "12 of 30"; the others are figures in words.
	Right, Percent, Upper, Lower, Discrimination, Corrected, PointBiserial, AlphaIfDeleted string
	Options                                                                                []Option
	// Open is how many left it open.
	Open int

	item     itemanalysis.Item
	learners int
}

// Option is how often an option was taken.
type Option struct {
	// Letter is that on the form; empty for what was typed.
	Letter, Text string
	Key          bool
	Count        int
	Upper, Lower string
}

// questions returns all questions by number, and those that need a look, the worst first.
func (w *writer) questions() (all, look []Question) {
	byID := map[string]Question{}
	worst := w.analysis.Worst()
	for i, it := range w.analysis.Items {
		q := w.question(i, it)
		q.Look = slices.ContainsFunc(worst, func(other itemanalysis.Item) bool { return other.ID == it.ID })
		all = append(all, q)
		byID[q.ID] = q
	}
	for _, it := range worst {
		look = append(look, byID[it.ID])
	}
	slices.SortFunc(all, func(a, b Question) int { return cmp.Compare(a.Number, b.Number) })
	return all, look
}

func (w *writer) question(i int, it itemanalysis.Item) Question {
	from := w.quiz.Questions[i]
	q := Question{
		Number: w.numbers[i], ID: it.ID, Stem: from.Stem.Plain(), Critical: it.Critical, Open: it.Open,
		Verdict: string(it.Verdict), Word: w.words.T("result.verdict." + string(it.Verdict)),
		Advice: w.words.T("result.advice." + string(it.Verdict)),
		Right:  w.words.T("result.of", it.Right, w.analysis.Learners), Percent: w.percent(it.Difficulty) + " %",
		Upper: w.percent(it.Upper) + " %", Lower: w.percent(it.Lower) + " %",
		Discrimination: w.number(it.Discrimination, 2), Corrected: w.number(it.Corrected, 2),
		PointBiserial: w.number(it.PointBiserial, 2), AlphaIfDeleted: w.number(it.AlphaIfDeleted, 2),
		item: it, learners: w.analysis.Learners,
	}
	if w.exact == 0 {
		return q // nobody's choices are known to be those of the present wording
	}
	for _, o := range it.Options {
		shown := w.option(from, o)
		q.Options = append(q.Options, shown)
		if o.Option == it.Tempting {
			name := shown.Text
			if shown.Letter != "" {
				name = shown.Letter + ", " + shown.Text
			}
			q.Advice += " " + w.words.T("result.tempting", strings.TrimSuffix(name, "."))
		}
	}
	slices.SortStableFunc(q.Options, func(a, b Option) int {
		return cmpLetters(a.Letter, b.Letter)
	})
	return q
}

// option says what an option is.
func (w *writer) option(q *procedure.Question, o itemanalysis.OptionCount) Option {
	out := Option{Text: string(o.Option), Key: o.Key, Count: o.Count, Upper: w.percent(o.Upper) + " %", Lower: w.percent(o.Lower) + " %"}
	switch q.Kind {
	case procedure.NumberAnswer:
		return out
	case procedure.PointAnswer:
		if p := w.quiz.Procedure; p != nil && p.Machine != nil {
			if thing := p.Machine.Thing(string(o.Option)); thing != nil {
				out.Text = thing.Row.Name
				if thing.Fastener != nil {
					out.Text = thing.Row.ID + " " + thing.Row.Name
				}
			}
		}
		return out
	}
	chosen, err := strconv.Atoi(string(o.Option))
	if err != nil {
		return out
	}
	out.Letter = collect.LetterOf(w.quiz, q, chosen)
	switch {
	case q.Kind == procedure.TrueFalse && chosen == 1:
		out.Text = w.words.T("quiz.true")
	case q.Kind == procedure.TrueFalse:
		out.Text = w.words.T("quiz.false")
	case chosen >= 1 && chosen <= len(q.Choices):
		out.Text = q.Choices[chosen-1].Prose.Plain()
	}
	return out
}

// cmpLetters sorts letters as forms count: AA stands behind Z.
func cmpLetters(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) }
