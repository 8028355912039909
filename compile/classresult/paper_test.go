package classresult

import (
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/quizpage"
	"matchmark/procedure"
	"matchmark/procedure/quiz/collect"
)

// paperQuiz has a question of each kind that the form prints without a figure;
// the texts of right choices begin with "yes", those of lines with their place.
func paperQuiz() *procedure.Library {
	lib := library("en")
	q := lib.Quizzes[0]
	q.Seed, q.Forms = 7, 3
	q.Questions = append(q.Questions[10:11],
		&procedure.Question{ID: "one", Kind: procedure.SingleChoice, Points: 1, Stem: prose("one"), Choices: []procedure.Choice{{Prose: prose("no a")}, {Prose: prose("yes b"), Right: true}, {Prose: prose("no c")}}},
		&procedure.Question{ID: "some", Kind: procedure.SeveralChoice, Points: 1, Stem: prose("some"), Choices: []procedure.Choice{{Prose: prose("yes a"), Right: true}, {Prose: prose("no b")}, {Prose: prose("yes c"), Right: true}, {Prose: prose("no d")}}},
		&procedure.Question{ID: "sort", Kind: procedure.OrderAnswer, Points: 1, Stem: prose("sort"), Choices: []procedure.Choice{{Prose: prose("1 a")}, {Prose: prose("2 b")}, {Prose: prose("3 c")}, {Prose: prose("4 d")}}},
		&procedure.Question{ID: "true", Kind: procedure.TrueFalse, Points: 1, Stem: prose("true"), True: true},
	)
	return lib
}

// Whoever fills in a printed form by what stands on it, and types that into a
// table by the numbers on it, gets all points: the table reads what the form prints.
func TestTableReadsWhatTheFormPrints(t *testing.T) {
	lib := paperQuiz()
	theme := pagetest.Theme(t)
	var site output.Memory
	assert.NilError(t, quizpage.EmitQuiz(lib, nil, theme, &site, lib.Quizzes[0]))
	table := "mixer-quiz,form,1,2,3,4,5\n"
	for _, form := range []string{"", "-b", "-c"} {
		page := pagetest.Parse(t, site.Files()["quiz/mixer-quiz/form"+form+".html"])
		table += "Form" + form + "," + strings.TrimPrefix(form, "-")
		questions := page.All(".paper-question")
		if len(questions) != 5 {
			t.Fatalf("form %q has %d questions", form, len(questions))
		}
		for _, q := range questions {
			table += "," + filledIn(q)
		}
		table += "\n"
	}
	found := collect.Read(lib.Quizzes[0], []collect.File{{Name: "paper.csv", Data: []byte(table)}})
	if len(found.Faults) > 0 || len(found.Learners) != 3 {
		t.Fatalf("%+v from\n%s", found, table)
	}
	for _, l := range found.Learners {
		if s := l.Last().Score; s.Points != s.Of {
			t.Errorf("%s: %d of %d points from\n%s", l.Name, s.Points, s.Of, table)
		}
	}
}

// filledIn is the right answer to a printed question, by its words.
func filledIn(q *pagetest.Element) string {
	letters := map[byte]string{}
	ticked := ""
	for _, line := range q.Texts(".paper-choices li") {
		letter, words, _ := strings.Cut(line, " ")
		letters[words[0]] = letter
		if strings.HasPrefix(words, "yes") || words == "True" {
			ticked += letter
		}
	}
	switch {
	case len(letters) == 0:
		return "3.6"
	case letters['1'] != "":
		return letters['1'] + letters['2'] + letters['3'] + letters['4']
	}
	return ticked
}
