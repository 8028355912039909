package collect

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/cutscore"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// percent is an estimate as it is written.
var percent = regexp.MustCompile(`^(100|[0-9]{1,2}(?:[.,][0-9]+)?)\s*%?$`)

// Estimates reads what judges expect of learners who can just do the job: tables like those of answers, with a line
// for each judge, and in it for each question how many of a hundred such learners would have it right:
//
//	mixer-quiz 3fa1b2c4d5e6,1,2,3
//	A. Weber,60,75,50
//
// A judge who leaves a question out, or whose line has anything else in it, is reported and does not count.
func Estimates(q *procedure.Quiz, files []File) ([]cutscore.Judge, []diagnostic.Diagnostic) {
	g := &gathering{quiz: q, collection: &Collection{Quiz: q}}
	var out []cutscore.Judge
	for i, f := range files {
		if at := slices.IndexFunc(files[:i], func(e File) bool { return bytes.Equal(e.Data, f.Data) }); at >= 0 {
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: f.Name}, Wrong: say.That("the file holds the same as %file; it is not counted again", say.Name(files[at].Name))})
			continue
		}
		t := g.open(f)
		t.read(func(cells []string) {
			if judge, ok := t.judge(cells, out); ok {
				out = append(out, judge)
			}
		})
		if t.columns != nil && t.lines == 0 && !t.stopped {
			t.lostAt(1, 1, say.That("the table has no judges"), say.That("Add a line for each judge: the name, then the percentages."))
		}
	}
	return out, g.collection.Faults
}

// judge reads the estimates of one judge, who is none of those before.
func (t *table) judge(cells []string, before []cutscore.Judge) (cutscore.Judge, bool) {
	judge := cutscore.Judge{Name: tidy(cells[0]), Shares: make([]float64, len(t.quiz.Questions))}
	faults := t.faults
	if t.useless {
		return judge, false
	}
	t.surplus(cells)
	switch {
	case judge.Name == "":
		t.lost(0, say.That("this judge has no name"), say.That("Write a name, or a number, into the first cell."))
	case slices.ContainsFunc(before, func(j cutscore.Judge) bool { return sameName(j.Name, judge.Name) }):
		t.lost(0, say.That("%judge has a line already", called(judge.Name)), say.That("Take one of the lines out. If they are two people, write names that differ."))
	}
	for i, c := range t.columns {
		q := c.of(t.forms[0])
		if q == nil {
			continue
		}
		given := ""
		if i+1 < len(cells) {
			given = strings.TrimSpace(cells[i+1])
		}
		found := percent.FindStringSubmatch(given)
		if found == nil || strings.HasPrefix(given, "0.") || strings.HasPrefix(given, "0,") {
			t.lost(min(i+1, len(cells)-1), say.That("%given is no estimate for question %question", say.Quote(tidy(given)), say.Quote(q.ID)), say.That("Write how many of a hundred learners would have it right, from 0 to 100: 60, not 0.6."))
			continue
		}
		share, _ := strconv.ParseFloat(strings.Replace(found[1], ",", ".", 1), 64) // digits by the pattern
		judge.Shares[slices.Index(t.quiz.Questions, q)] = share / 100
	}
	return judge, t.faults == faults
}
