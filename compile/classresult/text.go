package classresult

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"matchmark/compile/report"
	"matchmark/themes"
)

// Text writes the result for a terminal.
func (v *View) Text(out io.Writer) error {
	words, err := v.theme.Words(v.lang)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	fmt.Fprintln(&b, v.Quiz)
	for _, s := range v.Summary {
		fmt.Fprintln(&b, s)
	}
	v.learnersText(&b, words)
	heading := func(key string) { fmt.Fprintf(&b, "\n%s\n", words.T(key)) }
	if len(v.Look) > 0 {
		heading("result.look")
		for _, q := range v.Look {
			fmt.Fprintf(&b, "  %d  %s (%s)\n     %s. %s\n", q.Number, q.Stem, q.ID, q.Word, q.Advice)
		}
	}
	if len(v.Steps) > 0 {
		heading("result.steps")
		for _, s := range v.Steps {
			fmt.Fprintf(&b, "  %s\n", s.Name)
			for _, m := range s.Missed {
				fmt.Fprintf(&b, "     %s\n", m)
			}
		}
	}
	if len(v.Questions) > 0 {
		heading("result.questions")
		v.questionsText(&b, words)
		fmt.Fprintln(&b)
		table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		for _, f := range v.Facts {
			fmt.Fprintf(table, "  %s\t%s\t%s\n", f.Name, f.Value, f.Meaning)
		}
		table.Flush() // to memory: nothing that could fail
	}
	_, err = out.Write(report.Trimmed(b.Bytes()))
	return err
}

func (v *View) learnersText(b *bytes.Buffer, words *themes.Words) {
	if len(v.Learners) == 0 {
		return
	}
	fmt.Fprintln(b)
	table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(table, "  %s\t%s\t%s\t%s\t\n", words.T("result.col.learner"), words.T("result.col.points"), words.T("result.col.percent"), words.T("result.col.result"))
	for _, l := range v.Learners {
		fmt.Fprintf(table, "  %s\t%s\t%s\t%s\t%s\n", l.Name, l.Points, l.Percent, l.Result, strings.Join(l.Notes, "; "))
	}
	table.Flush() // to memory: nothing that could fail
}

func (v *View) questionsText(b *bytes.Buffer, words *themes.Words) {
	table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(table, "  %s\t%s\t%s\t%s\t%s\t%s\n", words.T("result.number"), words.T("result.col.question"), words.T("result.col.right"), words.T("result.col.discrimination"), words.T("result.col.corrected"), words.T("result.col.verdict"))
	for _, q := range v.Questions {
		fmt.Fprintf(table, "  %d\t%s\t%s\t%s\t%s\t%s\n", q.Number, q.ID, q.Percent, q.Discrimination, q.Corrected, q.Word)
	}
	table.Flush() // to memory: nothing that could fail
}
