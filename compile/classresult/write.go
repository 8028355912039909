package classresult

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/compile/report"
	"matchmark/procedure/quiz/itemanalysis"
)

// Page writes the result as a self-contained page.
func (v *View) Page(w io.Writer) error {
	styles, err := v.theme.Styles("result.css")
	if err != nil {
		return fmt.Errorf("result: %w", err)
	}
	words, err := v.theme.Words(v.lang)
	if err != nil {
		return err
	}
	return page.Render(w, resultPage(words, v, styles))
}

// columns of the table of item statistics. They are the same in every language.
var columns = []string{
	"number", "question", "step", "points", "critical", "learners", "right", "open", "difficulty", "upper", "lower", "discrimination",
	"point_biserial", "corrected_point_biserial", "alpha_if_deleted", "verdict", "options", "p_right_have_fewer_points", "p_right_have_more_points",
}

// Table writes the item statistics as CSV by RFC 4180, one line a question, to six
// decimals; a statistic that there is not is an empty cell. The options are such as
// "12 A*; 3 B": twelve took A, which is right.
func (v *View) Table(w io.Writer) error {
	rows := [][]string{columns}
	for _, q := range v.Questions {
		it := q.item
		rows = append(rows, []string{
			strconv.Itoa(q.Number), report.Cell(it.ID), report.Cell(it.Step), strconv.Itoa(it.Points), yes(it.Critical), strconv.Itoa(q.learners), strconv.Itoa(it.Right), strconv.Itoa(it.Open),
			figure(it.Difficulty), figure(it.Upper), figure(it.Lower), figure(it.Discrimination),
			figure(it.PointBiserial), figure(it.Corrected), figure(it.AlphaIfDeleted), report.Cell(q.Verdict), report.Cell(q.taken()), figure(it.Less), figure(it.More),
		})
	}
	return report.CSV(w, rows)
}

func yes(is bool) string {
	if is {
		return "yes"
	}
	return ""
}

func figure(x float64) string {
	if !itemanalysis.Known(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', 6, 64)
}

// taken lists how often each option was taken.
func (q Question) taken() string {
	var out []string
	for _, o := range q.Options {
		name := o.Letter
		if name == "" {
			name = o.Text
		}
		if o.Key {
			name += "*"
		}
		out = append(out, strconv.Itoa(o.Count)+" "+name)
	}
	return strings.Join(out, "; ")
}
