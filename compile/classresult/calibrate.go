package classresult

import (
	"fmt"
	"math"
	"strconv"

	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/calibrate"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
)

// Group is what one class handed in.
type Group struct {
	Name string
	From *collect.Collection
}

// calibration is what several classes tell about the present wording of a quiz.
type calibration struct {
	quiz   *procedure.Quiz
	groups []Group
	// of and right are by class, and right by question.
	of    []int
	right [][]int
	all   itemanalysis.Class
	// open is how many learners could not be marked, older how many first answered another wording, and unread how many files say nothing.
	open, older, unread int
}

func newCalibration(q *procedure.Quiz, groups []Group) calibration {
	c := calibration{quiz: q, groups: groups}
	var answers []map[string]quiz.Answer
	var exact []bool
	for _, g := range groups {
		c.open, c.unread = c.open+len(g.From.NotMarked), c.unread+g.From.Unread
		of, right := 0, make([]int, len(q.Questions))
		for _, l := range g.From.Learners {
			first := l.First()
			if len(first.Missing) > 0 {
				c.older++
				continue
			}
			of++
			answers, exact = append(answers, first.Answers), append(exact, first.Exact)
			for i, x := range q.Questions {
				if quiz.Right(x, first.Answers[x.ID]) {
					right[i]++
				}
			}
		}
		c.of, c.right = append(c.of, of), append(c.right, right)
	}
	c.all = itemanalysis.NewClass(q, answers, exact)
	return c
}

// learners is how many count.
func (c calibration) learners() int { return len(c.all.Answers) }

// enough reports whether there are learners enough for more than counts and their intervals.
func (c calibration) enough() bool { return c.learners() >= calibrate.LeastLearners }

// question is what the classes say of one question.
func (c calibration) question(i int) calibrate.Pooled {
	var counts []calibrate.Count
	for g := range c.groups {
		counts = append(counts, calibrate.Count{Right: c.right[g][i], Of: c.of[g]})
	}
	return calibrate.Pool(counts)
}

// Calibration is the report on how hard the questions of a quiz are, over all classes, and the same for a spreadsheet.
// The error is about the theme, or a language without words.
func Calibration(lib *procedure.Library, q *procedure.Quiz, groups []Group) (*report.Page, [][]string, error) {
	p, w, err := begin(lib, q)
	if err != nil {
		return nil, nil, err
	}
	p.Title = w.words.T("calibrate.title")
	c := newCalibration(q, groups)
	n := c.learners()
	p.Summary = append(p.Summary, w.words.T("calibrate.from", n, len(groups)))
	p.Summary = append(p.Summary, w.leftOut(missing{learners: c.open, older: c.older, files: c.unread})...)
	table := [][]string{{"question", "learners", "right", "difficulty", "low", "high", "between_classes", "logit", "se"}}
	if n == 0 {
		p.Summary = append(p.Summary, w.words.T("result.nobody"))
		return p, table, nil
	}
	var scale calibrate.Scale
	switch {
	case !c.enough():
		p.Summary = append(p.Summary, w.words.T("calibrate.few", n, calibrate.LeastLearners))
	default:
		var words string
		scale, words = w.scale(c.all)
		p.Summary = append(p.Summary, words)
	}
	questions := report.Section{
		Heading: w.words.T("result.questions"), Lead: w.words.T("calibrate.lead.few"),
		Columns: report.Columns(w.words.T("result.number"), w.words.T("result.col.question"), "#"+w.words.T("result.col.right"), "#"+w.words.T("calibrate.share"), "#"+w.words.T("calibrate.limits")),
	}
	if c.enough() {
		questions.Lead = w.words.T("calibrate.lead")
		questions.Columns = append(questions.Columns, report.Columns("#"+w.words.T("calibrate.between"), "#"+w.words.T("calibrate.logit"))...)
	}
	for _, i := range w.byNumber() {
		x := c.question(i)
		if !c.enough() {
			x.Low, x.High = itemanalysis.Wilson(x.Right, x.Of)
			x.Between = math.NaN()
		}
		row := []string{strconv.Itoa(w.numbers[i]), q.Questions[i].Stem.Plain(), w.words.T("result.of", x.Right, x.Of), w.percent(x.Difficulty) + " %", w.percent(x.Low) + "–" + w.percent(x.High) + " %"}
		logit, se := math.NaN(), math.NaN()
		if scale.Difficulty != nil {
			logit, se = scale.Difficulty[i], scale.SE[i]
		}
		if c.enough() {
			place := "–"
			if itemanalysis.Known(logit) {
				place = w.number(logit, 2) + " ± " + w.number(se, 2)
			}
			row = append(row, "±"+w.percent(x.Between)+" %", place)
		}
		questions.Rows = append(questions.Rows, row)
		table = append(table, []string{report.Cell(q.Questions[i].ID), strconv.Itoa(x.Of), strconv.Itoa(x.Right), figure(x.Difficulty), figure(x.Low), figure(x.High), figure(x.Between), figure(logit), figure(se)})
	}
	p.Sections = []report.Section{questions, c.classes(w)}
	return p, table, nil
}

// scale is the Rasch scale, and what there is to say about it; nothing when too few learners tell anything.
func (w *writer) scale(all itemanalysis.Class) (calibrate.Scale, string) {
	s, err := calibrate.Rasch(all)
	switch {
	case s.Learners < calibrate.LeastLearners:
		return calibrate.Scale{}, w.words.T("calibrate.unscaled", s.Learners, calibrate.LeastLearners)
	case err != nil:
		return calibrate.Scale{}, w.words.T("calibrate.apart")
	}
	return s, w.words.T("calibrate.scale", s.Learners)
}

// classes is what each class had right.
func (c calibration) classes(w *writer) report.Section {
	s := report.Section{Heading: w.words.T("calibrate.classes"), Columns: report.Columns(w.words.T("calibrate.class"), "#"+w.words.T("result.learners"))}
	if c.enough() {
		s.Lead = w.words.T("calibrate.classes.lead")
	}
	order := w.byNumber()
	for _, i := range order {
		s.Columns = append(s.Columns, report.Column{Name: strconv.Itoa(w.numbers[i]), Number: true})
	}
	for g := range c.groups {
		row := []string{c.groups[g].Name, strconv.Itoa(c.of[g])}
		for _, i := range order {
			cell := strconv.Itoa(c.right[g][i])
			if c.enough() && c.of[g] > 0 {
				cell = fmt.Sprintf("%s (%s %%)", cell, w.percent(c.question(i).Classes[g]))
			}
			row = append(row, cell)
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}
