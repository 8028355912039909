package classresult

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"
	"time"

	"matchmark/compile/pagetest"
	"matchmark/compile/report"
	"matchmark/procedure/competence"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/cutscore"
	"matchmark/procedure/quiz/retention"
)

// reports makes every report, in a language, from classes of so many learners.
func reports(t *testing.T, language string, learners int) map[string]*report.Page {
	t.Helper()
	lib := library(language)
	q := lib.Quizzes[0]
	lib.Procedures[0].Aims = []string{"Do <it>"}
	for _, x := range q.Questions[:4] {
		x.Aim = 1
	}
	found := collect.Read(q, class(q, learners))
	var judges []cutscore.Judge
	for _, share := range []float64{0.5, 0.6, 0.9} {
		j := cutscore.Judge{Name: fmt.Sprint("Judge ", share)}
		for range q.Questions {
			j.Shares = append(j.Shares, share)
		}
		judges = append(judges, j)
	}
	out := map[string]*report.Page{}
	put := func(name string, p *report.Page, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = p
	}
	sheet, err := JudgesSheet(lib, q)
	put("sheet", sheet, err)
	cut, err := CutScore(lib, q, cutscore.Compute(q, judges))
	put("cut score", cut, err)
	calibrated, _, err := Calibration(lib, q, []Group{{"<monday>", found}, {"tuesday", found}})
	put("calibration", calibrated, err)
	on := time.Date(2026, 4, 2, 0, 0, 0, 0, time.UTC)
	again, _, err := Retention(lib, found, on, 5)
	put("retention", again, err)
	learned, _ := retention.Memories(found)
	all := competence.Assess(competence.Aims(lib), []competence.Answers{{Quiz: q.ID, Learners: learned}}, nil, nil, 12, retention.DayOf(on))
	matrix, _, err := Competence(lib, all, retention.DayOf(on), 12, 1, 1, 1)
	put("competence", matrix, err)
	return out
}

// Every report has words in every language, parses, and says on the page what it says at the terminal.
func TestReports(t *testing.T) {
	for language, classes := range map[string][]int{"en": {0, 12}, "de": {30}} {
		for _, learners := range classes {
			for name, p := range reports(t, language, learners) {
				page := pagetest.Parse(t, written(t, func(b *bytes.Buffer) error { return p.HTML(b) }))
				pagetest.Expect(t, page, map[string][]string{"h1": {p.Subject}, "script": nil, "monday": nil, "it": nil})
				whole, terminal := page.Text(), string(written(t, func(b *bytes.Buffer) error { return p.Text(b) }))
				for _, said := range p.Summary {
					if !strings.Contains(whole, said) || !strings.Contains(terminal, said) || strings.Contains(said, "{") {
						t.Errorf("%s, %s: %q is not said", name, language, said)
					}
				}
				for _, s := range p.Sections {
					for _, row := range s.Rows {
						if len(row) != len(s.Columns) {
							t.Errorf("%s: %d cells in %d columns: %q", name, len(row), len(s.Columns), row)
						}
					}
				}
			}
		}
	}
}

// From fifty learners on there is a scale, with fewer there is none; two classes of the same answers do not differ.
func TestCalibrationNeedsLearners(t *testing.T) {
	for learners, scaled := range map[int]bool{12: false, 24: false, 30: true} {
		lib := library("en")
		found := collect.Read(lib.Quizzes[0], class(lib.Quizzes[0], learners))
		p, _, err := Calibration(lib, lib.Quizzes[0], []Group{{"a", found}, {"b", found}})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(p.Sections[0].Columns) == 7; got != scaled {
			t.Errorf("twice %d learners: a scale is %v", learners, got)
		}
		if last := p.Sections[0].Rows[0]; scaled && last[5] != "±0 %" {
			t.Errorf("classes that are alike differ by %s", last[5])
		}
	}
}

// What begins like a formula is text in every table.
func TestReportsHoldNoFormulas(t *testing.T) {
	lib := library("en")
	q := lib.Quizzes[0]
	files := class(q, 2)
	for i, name := range []string{"=1+1", "@SUM(A1)"} {
		files[i].Data = bytes.Replace(files[i].Data, fmt.Appendf(nil, "Learner %02d", i+1), []byte(name), 1)
	}
	_, due, err := Retention(lib, collect.Read(q, files), time.Date(2026, 4, 2, 0, 0, 0, 0, time.UTC), 5)
	if err != nil || len(due) < 3 {
		t.Fatal(err, due)
	}
	var b bytes.Buffer
	if err := report.CSV(&b, due); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if !strings.HasPrefix(row[0], "'") {
			t.Errorf("%q is a formula", row[0])
		}
	}
}
