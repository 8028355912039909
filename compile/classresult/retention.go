package classresult

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
	"matchmark/procedure/quiz/retention"
)

// Retention is the report on what comes back to whom on a day, as a short quiz for each learner of at most so many
// questions, and what was forgotten in how long; and all that is due, for a spreadsheet.
// The error is about the theme, or a language without words.
func Retention(lib *procedure.Library, from *collect.Collection, on time.Time, most int) (*report.Page, [][]string, error) {
	p, w, err := begin(lib, from.Quiz)
	if err != nil {
		return nil, nil, err
	}
	p.Title = w.words.T("retention.title")
	all, undated := retention.Memories(from)
	today := retention.DayOf(on)
	table := [][]string{{"learner", "question", "step", "missed", "due", "held"}}
	overview := report.Section{Heading: w.words.T("retention.overview"), Columns: report.Columns(w.words.T("result.col.learner"), "#"+w.words.T("retention.now"), "#"+w.words.T("retention.later"), w.words.T("retention.next"))}
	var sheets []report.Section
	due := 0
	for _, m := range all {
		var now []retention.Due
		later, next := 0, "–"
		for _, d := range retention.Plan(m.Answers) {
			table = append(table, []string{report.Cell(m.Name), report.Cell(d.Question), report.Cell(w.asked(d.Question).Step.ID), d.Missed.String(), d.On.String(), strconv.Itoa(d.Held)})
			if d.On <= today {
				now = append(now, d)
				continue
			}
			if later == 0 {
				next = d.On.String()
			}
			later++
		}
		overview.Rows = append(overview.Rows, []string{m.Name, strconv.Itoa(len(now)), strconv.Itoa(later), next})
		if len(now) > 0 {
			due++
			sheets = append(sheets, w.short(m.Name, on, now, most))
		}
	}
	p.Summary = []string{w.words.T("retention.due", due, len(all), on.Format(time.DateOnly)), w.words.T("retention.rule")}
	p.Summary = append(p.Summary, w.leftOut(missing{undated: undated, learners: len(from.NotMarked), files: from.Unread})...)
	if len(all) > 0 {
		p.Sections = append([]report.Section{overview, w.forgotten(all)}, sheets...)
	}
	if due > 0 {
		p.Sections = append(p.Sections, w.answers())
	}
	return p, table, nil
}

// asked finds a present question.
func (w *writer) asked(id string) *procedure.Question {
	return w.quiz.Questions[slices.IndexFunc(w.quiz.Questions, func(q *procedure.Question) bool { return q.ID == id })]
}

// short is the short quiz of one learner: first what fails the quiz, then what has waited longest.
func (w *writer) short(name string, on time.Time, due []retention.Due, most int) report.Section {
	due = slices.Clone(due)
	slices.SortStableFunc(due, func(a, b retention.Due) int {
		return rank(w.asked(a.Question)) - rank(w.asked(b.Question))
	})
	if len(due) > most {
		due = due[:most]
	}
	s := report.Section{Heading: name, Own: true, Columns: report.Columns(w.words.T("result.number"), w.words.T("result.col.question"), w.words.T("retention.choices"), w.words.T("retention.answer"))}
	head := w.quiz.ID + " " + quiz.Edition(w.quiz) + " again,date"
	for _, d := range due {
		q := w.asked(d.Question)
		number := strconv.Itoa(w.numbers[slices.Index(w.quiz.Questions, q)])
		head += "," + number
		s.Rows = append(s.Rows, []string{number, q.Stem.Plain(), w.choices(q), ""})
	}
	s.Lead = w.words.T("retention.sheet", on.Format(time.DateOnly), head)
	return s
}

func rank(q *procedure.Question) int {
	if q.Critical {
		return 0
	}
	return 1
}

// choices are what can be answered, with the letters of form A.
func (w *writer) choices(q *procedure.Question) string {
	switch q.Kind {
	case procedure.NumberAnswer:
		return q.Number.Unit()
	case procedure.PointAnswer:
		return w.words.T("retention.figure")
	case procedure.TrueFalse:
		return "A " + w.words.T("quiz.true") + " · B " + w.words.T("quiz.false")
	}
	lettered := make([]string, 0, len(q.Choices))
	for i, c := range q.Choices {
		lettered = append(lettered, collect.LetterOf(w.quiz, q, i+1)+" "+c.Prose.Plain())
	}
	slices.SortFunc(lettered, func(a, b string) int {
		x, _, _ := strings.Cut(a, " ")
		y, _, _ := strings.Cut(b, " ")
		return cmpLetters(x, y)
	})
	return strings.Join(lettered, " · ")
}

// answers is the key to all short quizzes.
func (w *writer) answers() report.Section {
	s := report.Section{Heading: w.words.T("retention.key"), Own: true, Columns: report.Columns(w.words.T("result.number"), w.words.T("cut.right"))}
	for _, i := range w.byNumber() {
		s.Rows = append(s.Rows, []string{strconv.Itoa(w.numbers[i]), w.key(w.quiz.Questions[i])})
	}
	return s
}

// forgotten says by step how much of what was right is not right any more, by the time that lies between.
func (w *writer) forgotten(all []retention.Memory) report.Section {
	s := report.Section{Heading: w.words.T("retention.forgotten"), Lead: w.words.T("retention.forgotten.lead"), Columns: report.Columns(w.words.T("retention.step"))}
	for i := range len(retention.Spans) + 1 {
		s.Columns = append(s.Columns, report.Column{Name: w.words.T("retention.span." + strconv.Itoa(i)), Number: true})
	}
	byStep := map[string][]retention.Kept{}
	var steps []string
	for _, q := range w.quiz.Questions {
		if !slices.Contains(steps, q.Step.ID) {
			steps = append(steps, q.Step.ID)
			byStep[q.Step.ID] = make([]retention.Kept, len(retention.Spans)+1)
		}
	}
	for _, m := range all {
		for id, kept := range retention.Forgetting(m.Answers) {
			sum := byStep[w.asked(id).Step.ID]
			for i, k := range kept {
				sum[i].Asked, sum[i].Forgotten = sum[i].Asked+k.Asked, sum[i].Forgotten+k.Forgotten
			}
		}
	}
	for _, id := range steps {
		row := []string{w.words.T("retention.no-step")}
		if id != "" {
			row[0] = w.step(id)
		}
		for _, k := range byStep[id] {
			cell := "–"
			if k.Asked > 0 {
				low, high := itemanalysis.Wilson(k.Forgotten, k.Asked)
				cell = w.words.T("retention.share", k.Forgotten, k.Asked, w.percent(low), w.percent(high))
			}
			row = append(row, cell)
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}
