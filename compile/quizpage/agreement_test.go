package quizpage

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os/exec"
	"reflect"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
)

// trial is one quiz with answers to it, and what comes of them.
type trial struct {
	Key     key                    `json:"key"`
	Try     int                    `json:"try"`
	Answers map[string]quiz.Answer `json:"answers"`
}

type outcome struct {
	Order    [][]int         `json:"order"` // per place: the question, then its choices
	Right    map[string]bool `json:"right"`
	Score    quiz.Score      `json:"score"`
	Response quiz.Response   `json:"response"`
}

// The page's script arranges and marks as package procedure/quiz does. The test
// runs the script in node on random quizzes and answers, and needs node to be installed.
func TestScriptAgreesWithTheDomain(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed")
	}
	random := rand.New(rand.NewPCG(1, 2))
	var trials []trial
	var want []outcome
	var quizzes []*procedure.Quiz
	for n := range 300 {
		q := randomQuiz(random, n)
		k, err := newKey(q)
		assert.NilError(t, err)
		answers := map[string]quiz.Answer{}
		for _, question := range q.Questions {
			if random.IntN(8) > 0 {
				answers[question.ID] = randomAnswer(random, question)
			}
		}
		tr := trial{k, 1 + random.IntN(4), answers}
		trials, want, quizzes = append(trials, tr), append(want, domain(q, tr)), append(quizzes, q)
	}
	got := script(t, node, trials)
	rights := 0
	for i := range want {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Fatalf("trial %d: %+v\nscript %+v\ndomain %+v", i, trials[i], got[i], want[i])
		}
		if again := quiz.Mark(quizzes[i], got[i].Response.ByQuestion()); !reflect.DeepEqual(again, want[i].Score) {
			t.Fatalf("trial %d: the saved response scores %+v, the try %+v", i, again, want[i].Score)
		}
		rights += want[i].Score.Points
	}
	if rights == 0 {
		t.Error("no random answer was right: the test compares nothing")
	}
}

const started, finished = "2030-01-02T08:00:00.000Z", "2030-01-02T08:12:30.000Z"

// domain is what the Go side makes of a trial.
func domain(q *procedure.Quiz, tr trial) outcome {
	o := outcome{Right: map[string]bool{}, Score: quiz.Mark(q, tr.Answers)}
	for _, p := range quiz.Arrange(q, tr.Try) {
		o.Order = append(o.Order, append([]int{p.Question}, p.Choices...))
	}
	for _, question := range q.Questions {
		o.Right[question.ID] = quiz.Right(question, tr.Answers[question.ID])
	}
	o.Response = quiz.Response{
		Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Quiz: q.ID, Edition: quiz.Edition(q),
		Learner: "Ada", Try: tr.Try, Started: started, Finished: finished, Score: o.Score,
	}
	for _, p := range o.Order {
		question := q.Questions[p[0]]
		m := quiz.Marked{Question: question.ID, Kind: question.Kind, Answer: tr.Answers[question.ID], Right: o.Right[question.ID], Seconds: len(question.ID)}
		if m.Right {
			m.Points = question.Points
		}
		o.Response.Answers = append(o.Response.Answers, m)
	}
	return o
}

// script is what the page's script makes of the trials.
func script(t *testing.T, node string, trials []trial) []outcome {
	t.Helper()
	theme := pagetest.Theme(t)
	source, err := fs.ReadFile(theme.Assets(), "quiz-marking.js")
	assert.NilError(t, err)
	input, err := json.Marshal(trials)
	assert.NilError(t, err)
	program := fmt.Sprintf(`%s
var marking = globalThis.matchmarkQuiz;
console.log(JSON.stringify(%s.map(function (t) {
  var right = {}, seconds = {};
  t.key.questions.forEach(function (q) {
    right[q.id] = marking.right(q, t.answers[q.id] || null);
    seconds[q.id] = q.id.length;
  });
  return {
    order: marking.arrange(t.key, t.try).map(function (p) { return [p.question].concat(p.choices); }),
    right: right,
    score: marking.score(t.key, t.answers),
    response: marking.response(t.key, { learner: "Ada", try: t.try, started: %q, answers: t.answers, seconds: seconds }, %q),
  };
})));`, source, input, started, finished)
	command := exec.Command(node, "-")
	command.Stdin = bytes.NewReader([]byte(program))
	var complaint bytes.Buffer
	command.Stderr = &complaint
	output, err := command.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, complaint.String())
	}
	var out []outcome
	strict := json.NewDecoder(bytes.NewReader(output))
	strict.DisallowUnknownFields()
	assert.NilError(t, strict.Decode(&out))
	return out
}

var numbers = []struct{ right, tolerance string }{
	{"45 N·m", "2 N·m"}, {"33 lbf·ft", "1 N·m"}, {"0.05 mm", "10 %"}, {"2.5 L", ""}, {"-5 °C", ""}, {"80 °F", ""}, {"90 deg", "5 deg"}, {"30 psi", "0.2 bar"}, {"90 s", "0.1 min"},
}

func randomQuiz(random *rand.Rand, n int) *procedure.Quiz {
	q := &procedure.Quiz{ID: fmt.Sprint("quiz", n), Pass: random.IntN(101), Seed: int64(random.IntN(5)-2) * random.Int64N(1<<40)}
	for i := range 1 + random.IntN(12) {
		question := &procedure.Question{
			ID: fmt.Sprint("q", i), Kind: procedure.QuestionKinds[random.IntN(len(procedure.QuestionKinds))],
			Points: 1 + random.IntN(3), Critical: random.IntN(5) == 0, True: random.IntN(2) == 0,
		}
		switch question.Kind {
		case procedure.SingleChoice, procedure.SeveralChoice, procedure.OrderAnswer:
			question.Choices = make([]procedure.Choice, 2+random.IntN(4))
			question.Choices[random.IntN(len(question.Choices))].Right = true
			question.Choices[0].Right = question.Choices[0].Right || question.Kind == procedure.SeveralChoice
		case procedure.NumberAnswer:
			n := numbers[random.IntN(len(numbers))]
			question.Number = measure.Must(n.right)
			if n.tolerance != "" {
				question.Tolerance = measure.Must(n.tolerance)
			}
		case procedure.PointAnswer:
			question.Target.ID = fmt.Sprint(random.IntN(3))
		}
		q.Questions = append(q.Questions, question)
	}
	return q
}

// randomAnswer is right about half of the time, and often wrong by little.
func randomAnswer(random *rand.Rand, question *procedure.Question) quiz.Answer {
	switch question.Kind {
	case procedure.NumberAnswer:
		return randomNumber(random, question)
	case procedure.PointAnswer:
		return quiz.Answer{Target: fmt.Sprint(random.IntN(3))}
	}
	chosen := append([]int{}, quiz.RightChoices(question)...)
	if random.IntN(2) == 0 {
		random.Shuffle(len(chosen), func(i, j int) { chosen[i], chosen[j] = chosen[j], chosen[i] })
	}
	if random.IntN(3) == 0 {
		chosen[random.IntN(len(chosen))] = 1 + random.IntN(2)
	}
	return quiz.Answer{Chosen: chosen}
}

func randomNumber(random *rand.Rand, question *procedure.Question) quiz.Answer {
	low, high, err := quiz.Limits(question)
	if err != nil {
		panic(err) // the table of numbers is wrong
	}
	units := low.Dimension().Units()
	unit := units[random.IntN(len(units))]
	at := []measure.Quantity{low, high, question.Number}[random.IntN(3)]
	switch random.IntN(6) {
	case 0:
		return quiz.Answer{Number: []string{"", "x", "1,000,000", "+0", "1.", ".5", "−12", "00012", "1234567890123456789"}[random.IntN(9)], Unit: unit}
	case 1:
		return quiz.Answer{Number: "45", Unit: []string{"", "furlong", "kg"}[random.IntN(3)]}
	}
	in, err := at.In(unit)
	if err != nil {
		panic(err) // one of the quantity's own units
	}
	return quiz.Answer{Number: digits(in), Unit: unit}
}
