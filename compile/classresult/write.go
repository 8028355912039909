package classresult

import (
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"matchmark/procedure/quiz/analysis"
)

// pageView is the result as a page of its own: it lies somewhere by itself, so it
// carries its styles.
type pageView struct {
	*View
	Styles template.CSS
}

// Page writes the result as a self-contained page.
func (v *View) Page(w io.Writer) error {
	styles, err := fs.ReadFile(v.theme.Assets(), "base.css")
	if err != nil {
		return fmt.Errorf("styles of the result: %w", err)
	}
	return v.theme.Render(w, "result/page", pageView{v, template.CSS(styles)})
}

// columns of the table of item statistics. They are the same in every language.
var columns = []string{
	"number", "question", "step", "points", "critical", "learners", "right", "open", "difficulty", "upper", "lower", "discrimination",
	"point_biserial", "corrected_point_biserial", "alpha_if_deleted", "verdict", "options",
}

// Table writes the item statistics as CSV by RFC 4180, one line a question, to six
// decimals; a statistic that there is not is an empty cell. The options are such as
// "12 A*; 3 B": twelve took A, which is right.
func (v *View) Table(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{columns}
	for _, q := range v.Questions {
		it := q.item
		rows = append(rows, []string{
			strconv.Itoa(q.Number), it.ID, it.Step, strconv.Itoa(it.Points), yes(it.Critical), strconv.Itoa(q.learners), strconv.Itoa(it.Right), strconv.Itoa(it.Open),
			figure(it.Difficulty), figure(it.Upper), figure(it.Lower), figure(it.Discrimination),
			figure(it.PointBiserial), figure(it.Corrected), figure(it.AlphaIfDeleted), q.Verdict, q.taken(),
		})
	}
	return out.WriteAll(rows)
}

func yes(is bool) string {
	if is {
		return "yes"
	}
	return ""
}

func figure(x float64) string {
	if !analysis.Known(x) {
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
