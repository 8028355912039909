package quizpage

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// threeForms are the pages of the quiz with forms A, B and C.
func threeForms(t *testing.T) map[string]*pagetest.Element {
	t.Helper()
	lib := library()
	lib.Quizzes[0].Forms = 3
	return pages(t, lib)
}

func TestFormsHaveTheSameQuestionsInOrdersOfTheirOwn(t *testing.T) {
	all := threeForms(t)
	if got := slices.Sorted(maps.Keys(all)); !slices.Equal(got, []string{
		"quiz/mixer-quiz/answers-b.html", "quiz/mixer-quiz/answers-c.html", answers,
		"quiz/mixer-quiz/form-b.html", "quiz/mixer-quiz/form-c.html", formPath, takePath, keyPath,
	}) {
		t.Errorf("pages %q", got)
	}
	a := all[formPath].Texts(".stem")
	for _, other := range []string{"b", "c"} {
		got := all["quiz/mixer-quiz/form-"+other+".html"].Texts(".stem")
		if slices.Equal(got, a) {
			t.Errorf("form %s has the order of form A", other)
		}
		if !slices.Equal(slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(a))) {
			t.Errorf("form %s asks %q", other, got)
		}
	}
	pagetest.Expect(t, all[formPath], map[string][]string{".sheet-kind": {"Quiz form A"}})
	pagetest.Expect(t, all["quiz/mixer-quiz/answers-c.html"], map[string][]string{".sheet-kind": {"Answer sheet C"}})
	pagetest.Expect(t, all[takePath], map[string][]string{".quiz-paper a": {
		"Quiz form A", "Quiz form B", "Quiz form C", "Answer sheet A", "Answer sheet B", "Answer sheet C",
	}})
}

// The key's answers are looked up on the forms as printed: the words behind the
// letters are the right ones.
func TestKeyOfEachForm(t *testing.T) {
	all := threeForms(t)
	rows := all[keyPath].All("section[aria-labelledby=by-form] tbody tr")
	if len(rows) != 7 {
		t.Fatalf("%d rows", len(rows))
	}
	want := map[string][]string{
		"Why does it stay in?": {"It carries the gearbox."}, "What comes first?": {"Isolate", "Prove dead"},
		"The chain is under tension.": {"False"}, "Where is the rear bolt?": {""},
	}
	checked := 0
	for n, form := range []string{formPath, "quiz/mixer-quiz/form-b.html", "quiz/mixer-quiz/form-c.html"} {
		for i, q := range all[form].All(".paper-question") {
			answer := rows[i].Texts("td")[n]
			stem := q.Texts(".stem")[0]
			words := map[string]string{}
			for _, li := range q.Texts(".paper-choices li") {
				letter, rest, _ := strings.Cut(li, " ")
				words[letter] = rest
			}
			switch stem {
			case "How tight?":
				words[answer] = answer
				if answer != "45.5 N·m (from 43.5 N·m to 47.5 N·m counts as right)" {
					t.Errorf("form %d: %q", n, answer)
				}
			case "How steep?":
				if answer != "60°" {
					t.Errorf("form %d: %q", n, answer)
				}
			case "In which order?":
				for _, part := range strings.Split(answer, " · ") {
					letter, place, _ := strings.Cut(part, " ")
					if right := map[string]string{"1": "Drain", "2": "Support", "3": "Lift"}[place]; words[letter] != right {
						t.Errorf("form %d: %s is %q, want %q", n, part, words[letter], right)
					}
				}
			default:
				var got []string
				for _, letter := range strings.Split(answer, ", ") {
					text, there := words[letter]
					if !there {
						t.Errorf("form %d, %s: no letter %q", n, stem, letter)
					}
					got = append(got, text)
				}
				if slices.Sort(got); !slices.Equal(got, want[stem]) {
					t.Errorf("form %d, %s: %q, want %q", n, stem, got, want[stem])
				}
			}
			checked++
		}
	}
	if checked != 21 {
		t.Errorf("%d answers checked", checked)
	}
}

func TestAnswerSheet(t *testing.T) {
	all := threeForms(t)
	p := all["quiz/mixer-quiz/answers-b.html"]
	pagetest.Expect(t, p, map[string][]string{".fields li": {"Name", "Date", "Points"}, "h2": {"1", "2", "3", "4", "5", "6", "7"}})
	lib := library()
	for i, place := range quiz.Arrange(lib.Quizzes[0], 2) {
		row := p.All(".answer-row")[i]
		boxes, want := len(row.All(".box")), map[procedure.QuestionKind]int{
			procedure.TrueFalse: 2, procedure.PointAnswer: 3, procedure.NumberAnswer: 0,
		}
		q := lib.Quizzes[0].Questions[place.Question]
		if n, ok := want[q.Kind]; ok && boxes != n || !ok && boxes != len(q.Choices) {
			t.Errorf("question %d (%s): %d boxes", i+1, q.Kind, boxes)
		}
	}
	if words := p.Text(); strings.Contains(words, "Why does it") || strings.Contains(words, "45.5") {
		t.Error("the answer sheet repeats the form or tells an answer")
	}
}

func TestCoverageOnTheKey(t *testing.T) {
	lib := library()
	p := lib.Procedures[0]
	p.Steps[0].Number, p.Steps[1].Number = 1, 2
	p.Steps[0].Blocks = []procedure.Block{&procedure.Caution{Signal: procedure.Danger}, &procedure.Hold{Title: "Before the lift"}}
	p.Steps[1].Blocks = []procedure.Block{&procedure.Caution{Signal: procedure.WarningWord, About: []procedure.Ref{{ID: "gearbox"}}}}
	lib.Quizzes[0].Questions[2].About = []procedure.Ref{{ID: "4"}}
	lib.Quizzes[0].Questions[6].Generated = true
	p.Aims = []string{"Undo bolts", "Judge a chain"}
	lib.Quizzes[0].Questions[0].Aim = 1
	numbers := map[string]int{}
	for i, place := range quiz.Arrange(lib.Quizzes[0], 1) {
		numbers[lib.Quizzes[0].Questions[place.Question].ID] = i + 1
	}
	key := pages(t, lib)[keyPath]
	pagetest.Expect(t, key, map[string][]string{
		"section[aria-labelledby=coverage] tbody tr": {
			fmt.Sprintf("1 Undo the bolts %d Danger: %[1]d Before the lift: %[1]d", numbers["why"]),
			fmt.Sprintf("2 Take the chain off %d Warning: no question", numbers["tight"]),
		},
		"section[aria-labelledby=coverage] strong": {"no question"},
		".aims .tie": {
			fmt.Sprintf("Undo bolts: %d", numbers[lib.Quizzes[0].Questions[0].ID]), "Judge a chain: no question",
		},
	})
	if got := key.Text(); strings.Count(got, "Generated from the procedure. Its name is where:") != 1 {
		t.Error("the key does not say which question was made")
	}
	if !strings.Contains(pages(t, lib)[takePath].All("#quiz-key")[0].Text(), `"generated":true`) {
		t.Error("the data do not say which question was made")
	}
}
