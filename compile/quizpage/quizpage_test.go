package quizpage

import (
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
)

const (
	takePath = "quiz/mixer-quiz/index.html"
	formPath = "quiz/mixer-quiz/form.html"
	keyPath  = "quiz/mixer-quiz/key.html"
	answers  = "quiz/mixer-quiz/answers.html"
)

func TestPages(t *testing.T) {
	if got := slices.Sorted(maps.Keys(pages(t, library()))); !slices.Equal(got, []string{answers, formPath, takePath, keyPath}) {
		t.Errorf("got %q", got)
	}
}

func TestStart(t *testing.T) {
	p := pages(t, library())[takePath]
	pagetest.Expect(t, p, map[string][]string{
		"h1": {"What you must know"},
		".quiz-facts li": {
			"7 questions, 8 points", "Pass mark: 7 points (80 %)", "1 question must be right, whatever the score", "2 tries", "On: Take the gearbox out",
		},
		"noscript": {"This page needs scripts. If they are blocked, use the printed quiz form."},
	})
	for _, f := range p.All("form.question") {
		if _, hidden := f.Attributes["hidden"]; !hidden {
			t.Errorf("%s shows before the script arranges the try", f.Attributes["id"])
		}
	}
}

func TestQuestionsOnTheTablet(t *testing.T) {
	p := pages(t, library())[takePath]
	pagetest.Expect(t, p, map[string][]string{
		"#question-why .choice-text":      {"It carries the gearbox.", "It is tight.", "Nobody knows."},
		"#question-why .choice-text em":   {"carries"},
		"#question-why .feedback":         {"Yes: nothing else does.", "No: tightness is no reason."},
		"#question-why .why":              {"It is the last holder."},
		"#question-why .critical":         {"Must be right"},
		"#question-which .how":            {"Choose all that apply."},
		"#question-which .critical":       nil,
		"#question-tight .choice-text":    {"True", "False"},
		"#question-torque .answer":        {"Right answer: 45.5 N·m (from 43.5 N·m to 47.5 N·m counts as right)"},
		"#question-torque option":         measure.Torque.Units(),
		"#question-tilt .answer":          {"Right answer: 60°"},
		"#question-tilt .unit":            {"°"},
		"#question-tilt select":           nil,
		"#question-sequence .verdict li":  {"Drain", "Support", "Lift"},
		"#question-where .choice-text":    {"Target A", "Target B", "Target C"},
		"#question-where .balloon":        {"A", "B", "C"},
		"#question-where .answer":         {"Right answer: B, which is 6 rear bolt"},
		"#question-why .verdict a":        {"Look it up: Undo the bolts"},
		"#question-which .verdict a":      nil,
		"#question-sequence .line button": {"", "", "", "", "", ""},
	})
	for selector, want := range map[string]string{
		"#question-why input":       "radio",
		"#question-which input":     "checkbox",
		"#question-where input":     "radio",
		"#question-torque input":    "text",
		"#question-sequence button": "button",
	} {
		if found := p.All(selector); len(found) == 0 || found[0].Attributes["type"] != want {
			t.Errorf("%s is no %s", selector, want)
		}
	}
	// The link leads to the first variant that has the step.
	for selector, want := range map[string]string{
		"#question-why .verdict a":   "../../procedure/out/steps-belt.html#bolts",
		"#question-tight .verdict a": "../../procedure/out/steps-chain.html#chain-off",
	} {
		if got := p.All(selector)[0].Attributes["href"]; got != want {
			t.Errorf("%s leads to %q", selector, got)
		}
	}
}

// Numbers and names of the figure would give the answer away.
func TestTargetsDoNotTellTheirNumbers(t *testing.T) {
	for at, figure := range map[string]string{takePath: "#question-where figure", formPath: ".paper-question figure"} {
		for _, f := range pages(t, library())[at].All(figure) {
			for _, b := range f.All(".balloon") {
				if label := b.Attributes["aria-label"]; strings.ContainsAny(label, "46") || strings.Contains(label, "bolt") {
					t.Errorf("%s: a target is called %q", at, label)
				}
			}
		}
	}
}

func TestMarkingKey(t *testing.T) {
	p := pages(t, library())[takePath]
	var k key
	assert.NilError(t, json.Unmarshal([]byte(p.All("#quiz-key")[0].Text()), &k))
	if k.Quiz != "mixer-quiz" || k.Edition != quiz.Edition(library().Quizzes[0]) || k.Procedure != "out" || k.ProcedureEdition != "2" || k.Pass != 80 || k.Seed != 7 || k.Tries != 2 {
		t.Errorf("head of the key: %+v", k)
	}
	got := map[string]any{}
	for _, q := range k.Questions {
		switch {
		case q.Number != nil:
			got[q.ID] = []string{q.Number.Low, q.Number.High, q.Number.Unit}
		case q.Target != "":
			got[q.ID] = q.Target
		default:
			got[q.ID] = q.Chosen
		}
	}
	want := map[string]any{
		"why": []int{1}, "which": []int{1, 3}, "tight": []int{2}, "torque": []string{"43.5", "47.5", "N·m"},
		"tilt": []string{"60", "60", "°"}, "sequence": []int{1, 2, 3}, "where": "6",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// Form and key have the questions and choices in one order, so that letters and numbers agree.
func TestFormAndKeyAgree(t *testing.T) {
	all := pages(t, library())
	form, answers := all[formPath], all[keyPath]
	if a, b := form.Texts(".paper-head"), answers.Texts(".paper-head"); !slices.Equal(a, b) || len(a) != 7 {
		t.Errorf("form %q\nkey  %q", a, b)
	}
	var order []string
	for _, place := range quiz.Arrange(library().Quizzes[0], 1) {
		order = append(order, library().Quizzes[0].Questions[place.Question].Stem.Plain())
	}
	if got := form.Texts(".stem"); !slices.Equal(got, order) {
		t.Errorf("the form has %q, the first try has %q", got, order)
	}
	for _, letterAndWords := range answers.Texts(".key-choices li.right") {
		words := strings.TrimSuffix(letterAndWords, " right")
		words, _, _ = strings.Cut(words, " right ")
		if !slices.Contains(form.Texts(".paper-choices li"), words) {
			t.Errorf("the key's %q is not on the form: %q", words, form.Texts(".paper-choices li"))
		}
	}
	pagetest.Expect(t, answers, map[string][]string{".key-answer": answersIn(order)})
}

// answersIn returns the answers that the key writes out, in the order of the stems.
func answersIn(stems []string) []string {
	answers := map[string]string{
		"How tight?":              "45.5 N·m (from 43.5 N·m to 47.5 N·m counts as right)",
		"How steep?":              "60°",
		"Where is the rear bolt?": "B, which is 6 rear bolt",
	}
	var out []string
	for _, s := range stems {
		if a, ok := answers[s]; ok {
			out = append(out, a)
		}
	}
	return out
}

func TestFormTellsNoAnswer(t *testing.T) {
	form := pages(t, library())[formPath]
	words := form.Text()
	for _, secret := range []string{"45.5", "Yes: nothing else does.", "It is the last holder.", "rear bolt ", "which is"} {
		if strings.Contains(words, secret) {
			t.Errorf("the form says %q", secret)
		}
	}
	pagetest.Expect(t, form, map[string][]string{".fields li": {"Name", "Date", "Points"}, "#quiz-key": nil})
}

func TestOrderQuestionIsNotPrintedInOrder(t *testing.T) {
	form := pages(t, library())[formPath]
	var lines []string
	for _, q := range form.All(".paper-question") {
		if strings.Contains(q.Text(), "In which order?") {
			for _, li := range q.Texts(".paper-choices li") {
				lines = append(lines, strings.Fields(li)[1])
			}
		}
	}
	if slices.Equal(lines, []string{"Drain", "Support", "Lift"}) || len(lines) != 3 {
		t.Errorf("lines %q", lines)
	}
}

func TestFormCarriesTheCode(t *testing.T) {
	lib := library()
	lib.Address = "https://shop.example/"
	all := pages(t, lib)
	pagetest.Expect(t, all[formPath], map[string][]string{".sheet-code .address": {"https://shop.example/quiz/mixer-quiz/"}})
	pagetest.Expect(t, all[keyPath], map[string][]string{".sheet-code": nil})
}

func TestQuizzesThatCannotBeEmitted(t *testing.T) {
	for name, spoil := range map[string]func(*procedure.Quiz){
		"no procedure":         func(q *procedure.Quiz) { q.Procedure = nil },
		"no figure":            func(q *procedure.Quiz) { q.Questions[6].Figure.ID = "gone" },
		"no balloon":           func(q *procedure.Quiz) { q.Questions[6].Target.ID = "99" },
		"tolerance of mass":    func(q *procedure.Quiz) { q.Questions[3].Tolerance = measure.Must("2 kg") },
		"a picture of nothing": func(q *procedure.Quiz) { q.Procedure.Machine.Figures[0].Source = "gone.svg" },
	} {
		lib := library()
		spoil(lib.Quizzes[0])
		if err := emitTo(lib, &output.Memory{}); err == nil || !strings.Contains(err.Error(), "quiz mixer-quiz") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestLetters(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA"} {
		if got := quiz.Letter(i); got != want {
			t.Errorf("letter %d is %s, want %s", i, got, want)
		}
	}
}
