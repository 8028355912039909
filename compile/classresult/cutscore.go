package classresult

import (
	"strconv"
	"strings"

	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/cutscore"
)

// CutScore is the report on the pass mark that judges propose. The error is about the theme, or a language without words.
func CutScore(lib *procedure.Library, q *procedure.Quiz, s cutscore.Standard) (*report.Page, error) {
	p, w, err := begin(lib, q)
	if err != nil {
		return nil, err
	}
	p.Title = w.words.T("cut.title")
	share := func(points float64) string { return w.number(100*points/float64(s.Of), 1) }
	p.Summary = append(p.Summary, w.words.T("cut.proposed", s.Pass, s.Points, s.Of))
	p.Summary = append(p.Summary, w.words.Count("cut.cut", len(s.Judges), w.number(s.Cut, 2), s.Of, share(s.Cut)))
	if len(s.Judges) > 1 {
		p.Summary = append(p.Summary, w.words.T("cut.interval", w.number(max(s.Low, 0), 2), w.number(min(s.High, float64(s.Of)), 2), w.number(s.SD, 2)))
	} else {
		p.Summary = append(p.Summary, w.words.T("cut.alone"))
	}
	if q.Pass != s.Pass {
		p.Summary = append(p.Summary, w.words.T("cut.now", q.Pass, quiz.PointsToPass(q)))
	}
	judges := report.Section{Heading: w.words.T("cut.judges"), Columns: report.Columns(w.words.T("cut.judge"), "#"+w.words.T("result.col.points"), "#"+w.words.T("result.col.percent"))}
	for _, j := range s.Judges {
		judges.Rows = append(judges.Rows, []string{j.Name, w.number(j.Sum, 2), share(j.Sum)})
	}
	questions := report.Section{
		Heading: w.words.T("result.questions"), Lead: w.words.T("cut.questions.lead"),
		Columns: report.Columns(w.words.T("result.number"), w.words.T("result.col.question"), "#"+w.words.T("cut.mean"), "#"+w.words.T("cut.range"), "#"+w.words.T("cut.sd"), w.words.T("cut.note")),
	}
	for _, i := range w.byNumber() {
		x, note := s.Questions[i], ""
		if x.Most-x.Least >= cutscore.Wide {
			note = w.words.T("cut.wide")
		}
		questions.Rows = append(questions.Rows, []string{
			strconv.Itoa(w.numbers[i]), q.Questions[i].Stem.Plain(), w.percent(x.Mean), w.percent(x.Least) + "–" + w.percent(x.Most), w.number(100*x.SD, 1), note,
		})
	}
	p.Sections = []report.Section{judges, questions}
	return p, nil
}

// CutScoreTable is the same for a spreadsheet: a line for each question.
func CutScoreTable(q *procedure.Quiz, s cutscore.Standard) [][]string {
	rows := [][]string{{"question", "points", "judges", "mean", "least", "most", "sd"}}
	for i, x := range s.Questions {
		rows = append(rows, []string{report.Cell(q.Questions[i].ID), strconv.Itoa(q.Questions[i].Points), strconv.Itoa(len(s.Judges)), figure(x.Mean), figure(x.Least), figure(x.Most), figure(x.SD)})
	}
	return append(rows, []string{"", strconv.Itoa(s.Of), strconv.Itoa(len(s.Judges)), figure(s.Cut), figure(s.Low), figure(s.High), figure(s.SD)})
}

// JudgesSheet is the sheet on which a judge writes down estimates, and how they are typed in afterwards.
func JudgesSheet(lib *procedure.Library, q *procedure.Quiz) (*report.Page, error) {
	p, w, err := begin(lib, q)
	if err != nil {
		return nil, err
	}
	p.Title = w.words.T("cut.sheet")
	p.Summary = []string{w.words.T("cut.sheet.what"), w.words.T("cut.sheet.how"), w.words.T("cut.sheet.rounds")}
	table := report.Section{Columns: report.Columns(w.words.T("result.number"), w.words.T("result.col.question"), w.words.T("cut.right"), "#"+w.words.T("result.col.points"), w.words.T("cut.first"), w.words.T("cut.second"))}
	head := q.ID + " " + quiz.Edition(q)
	for _, i := range w.byNumber() {
		x := q.Questions[i]
		head += "," + strconv.Itoa(w.numbers[i])
		table.Rows = append(table.Rows, []string{strconv.Itoa(w.numbers[i]), x.Stem.Plain(), w.key(x), strconv.Itoa(x.Points), "", ""})
	}
	table.Lead = w.words.T("cut.sheet.table", head)
	p.Sections = []report.Section{table}
	return p, nil
}

// key is the right answer to a question in words.
func (w *writer) key(q *procedure.Question) string {
	switch q.Kind {
	case procedure.NumberAnswer:
		return q.Number.String()
	case procedure.PointAnswer:
		if p := w.quiz.Procedure; p != nil && p.Machine != nil && p.Machine.Thing(q.Target.ID) != nil {
			return p.Machine.Thing(q.Target.ID).Row.Name
		}
		return q.Target.ID
	case procedure.TrueFalse:
		if q.True {
			return w.words.T("quiz.true")
		}
		return w.words.T("quiz.false")
	}
	var right []string
	for _, n := range quiz.RightChoices(q) {
		right = append(right, q.Choices[n-1].Prose.Plain())
	}
	return strings.Join(right, " · ")
}
