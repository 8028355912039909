package classresult

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
)

var prose = statetest.Prose

// library has a quiz of ten choices about five steps, a number and a place.
func library(language string) *procedure.Library {
	m := &procedure.Machine{ID: "mixer", Fasteners: []*procedure.Fastener{{Row: procedure.Row{ID: "6", Name: "rear bolt"}}, {Row: procedure.Row{ID: "4", Name: "front bolt"}}}}
	m.Index()
	p := &procedure.Procedure{ID: "out", Title: "Take it out", Machine: m, Figures: []*procedure.Figure{{ID: "feet", Balloons: []procedure.Balloon{{Ref: procedure.Ref{ID: "4"}}, {Ref: procedure.Ref{ID: "6"}}}}}}
	q := &procedure.Quiz{ID: "mixer-quiz", Title: "What you must know", Procedure: p, Pass: 60, File: text.NewFile("q.md", []byte("abc"))}
	for i := range 10 {
		step := fmt.Sprintf("s%d", i/2+1)
		if i%2 == 0 {
			p.Steps = append(p.Steps, &procedure.Step{ID: step, Title: "Do <" + step + ">"})
		}
		x := &procedure.Question{ID: fmt.Sprintf("q%d", i+1), Kind: procedure.SingleChoice, Points: 1, Step: procedure.Ref{ID: step}, Stem: prose(fmt.Sprintf("Why <%d>?", i+1)), Critical: i == 0}
		for c := range 4 {
			x.Choices = append(x.Choices, procedure.Choice{Prose: prose(fmt.Sprintf("Reason %d.", c+1)), Right: c == 0})
		}
		q.Questions = append(q.Questions, x)
	}
	q.Questions = append(q.Questions,
		&procedure.Question{ID: "oil", Kind: procedure.NumberAnswer, Points: 1, Stem: prose("How much oil?"), Number: measure.Must("3.6 L"), Tolerance: measure.Must("0.4 L")},
		&procedure.Question{ID: "bolt", Kind: procedure.PointAnswer, Points: 1, Stem: prose("Where is it?"), Figure: procedure.Ref{ID: "feet"}, Target: procedure.Ref{ID: "6"}},
	)
	return &procedure.Library{Title: "Workshop", Language: language, Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q}}
}

// class answers like learners of known ability; q6 has a wrong key, since all who
// know it take the third choice. The model is that of package analysis's tests.
func class(q *procedure.Quiz, learners int) []collect.File {
	random := rand.New(rand.NewPCG(12, 30))
	var out []collect.File
	for i := range learners {
		theta := random.NormFloat64()
		r := quiz.Response{Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Quiz: q.ID, Edition: quiz.Edition(q), Learner: fmt.Sprintf("Learner %02d", i+1), Try: 1, Started: "2026-03-02T08:00:00Z"}
		for k, x := range q.Questions {
			knows := random.Float64() < 1/(1+math.Exp(-1.6*(theta+1.5-0.15*float64(k))))
			var a quiz.Answer
			switch x.Kind {
			case procedure.NumberAnswer:
				a = quiz.Answer{Number: map[bool]string{true: "3.5", false: "7"}[knows], Unit: "L"}
			case procedure.PointAnswer:
				a.Target = map[bool]string{true: "6", false: "4"}[knows]
			default:
				key := 1
				if x.ID == "q6" {
					key = 3
				}
				if a.Chosen = []int{key}; !knows {
					a.Chosen = []int{1 + random.IntN(4)}
				}
			}
			r.Answers = append(r.Answers, quiz.Marked{Question: x.ID, Kind: x.Kind, Answer: a, Right: quiz.Right(x, a)})
		}
		data, err := json.Marshal(r)
		if err != nil {
			panic(err)
		}
		out = append(out, collect.File{Name: fmt.Sprintf("%02d.json", i+1), Data: data})
	}
	return out
}

func view(t *testing.T, language string, learners int, more ...collect.File) *View {
	t.Helper()
	lib := library(language)
	found := collect.Read(lib.Quizzes[0], append(class(lib.Quizzes[0], learners), more...))
	v, err := New(lib, found)
	assert.NilError(t, err)
	return v
}

func written(t *testing.T, write func(w *bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, write(&b))
	return b.Bytes()
}

func texts(t *testing.T, v *View) string {
	return string(written(t, func(b *bytes.Buffer) error { return v.Text(b) }))
}

// A class of 30 with known ability: the wrong key is the first thing to look at,
// in words, with the choice that is right; and its step is not blamed on learners.
func TestWrongKeyIsSaid(t *testing.T) {
	v := view(t, "en", 30)
	if len(v.Look) == 0 || v.Look[0].ID != "q6" || v.Look[0].Verdict != string(itemanalysis.CheckKey) {
		t.Fatalf("to look at: %+v", v.Look)
	}
	page := pagetest.Parse(t, written(t, func(b *bytes.Buffer) error { return v.Page(b) }))
	const said = "Those who take another answer know the rest better than chance makes them: check the key. Chosen instead: C, Reason 3."
	pagetest.Expect(t, page, map[string][]string{
		"h1":                                {"What you must know"},
		".look.check-key .look-stem":        {"Why <6>?"},
		".look.check-key .look-head a":      {"Question 6"},
		".question .verdict-word.check-key": {"Key in doubt"},
		"script":                            nil,
		"link":                              nil,
		"s3":                                nil,
	})
	whole := page.Text()
	for _, want := range []string{said, "A small class (30 learners)", "Step 3, Do <s3>", "Check the key of this question first: the learners may be right.", "did not know: Why <6>?"} {
		if !strings.Contains(whole, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	terminal := texts(t, v)
	for _, want := range []string{said, "Step 3, Do <s3>", "Learner 30", "KR-20", "Cronbach's alpha", "in simulated classes of 30 learners with 15 questions, at most 3 of 100 sound quizzes", "would again get the same result"} {
		if !strings.Contains(terminal, want) {
			t.Errorf("the text does not say %q:\n%s", want, terminal)
		}
	}
}

// The plots hold every learner and every question.
func TestPlots(t *testing.T) {
	v := view(t, "en", 30)
	if n := strings.Count(string(v.Answers), `class="upper"`); n != 12 {
		t.Errorf("%d upper marks for 12 questions", n)
	}
	backward := 0
	for _, q := range v.Questions {
		if q.item.Lower > q.item.Upper {
			backward++
		}
	}
	if n := strings.Count(string(v.Answers), "backward"); n != backward || n == 0 {
		t.Errorf("%d lines run backward, want %d", n, backward)
	}
	if !strings.Contains(string(v.Scores), "pass mark 8") || !strings.Contains(string(v.Scores), "reached") || !strings.Contains(string(v.Scores), "short-of") {
		t.Error("the pass mark does not part the bars")
	}
}

func TestBins(t *testing.T) {
	for _, most := range []int{1, 12, 30, 31, 47, 200} {
		for _, pass := range []int{0, 1, most / 2, most} {
			scores := make([]int, most+1)
			for i := range scores {
				scores[i] = i
			}
			learners, next, parted := 0, 0, false
			for _, b := range bins(scores, pass) {
				if b.from != next || b.to < b.from {
					t.Fatalf("%d points, pass %d: %+v", most, pass, b)
				}
				next, learners, parted = b.to+1, learners+b.learners, parted || b.from == pass
			}
			if next != most+1 || learners != most*(most+1)/2 || !parted || len(bins(scores, pass)) > mostBars+1 {
				t.Errorf("%d points, pass %d: %v", most, pass, bins(scores, pass))
			}
		}
	}
}

func TestTable(t *testing.T) {
	v := view(t, "de", 30)
	rows, err := csv.NewReader(bytes.NewReader(written(t, func(b *bytes.Buffer) error { return v.Table(b) }))).ReadAll()
	assert.NilError(t, err)
	if len(rows) != 13 || rows[6][1] != "q6" || rows[6][15] != "check-key" || rows[6][5] != "30" || !strings.Contains(rows[6][16], " A*; ") || !strings.HasPrefix(rows[6][13], "-0.") {
		t.Errorf("%q", rows)
	}
	if !strings.Contains(rows[11][16], " 3.5 L*") || !strings.Contains(rows[12][16], " 6 rear bolt*") {
		t.Errorf("what was typed and pointed at: %q %q", rows[11][16], rows[12][16])
	}
}

func TestLearnersAndNotes(t *testing.T) {
	q := library("en").Quizzes[0]
	head := "mixer-quiz"
	for _, x := range q.Questions {
		head += "," + x.ID
	}
	v := view(t, "en", 0, collect.File{Name: "a.csv", Data: []byte(head + "\nAda,B,A,A,A,A,A,A,A,A,A,3.6,B\nBen,A,A,A,A,A,A,A,A,A,A,3.6,B\nBen,A\n,A\n")},
		collect.File{Name: "old.csv", Data: []byte("mixer-quiz old,oil\nCid,3.6\n")})
	terminal := texts(t, v)
	for _, want := range []string{
		"0 of 4 passed, 3 did not. 1 learner could not be scored: neither passed nor failed, and in no figure on questions.", "between 0 % and 70 % would pass",
		"Cid        –         –        not scored  see old.csv:2\n", "very small class (3 learners)", "those of first tries",
		"Ada        11 of 12  91 %     not passed  must be right and is not: question 1\n",
		"Ben        1 of 12   8 %      not passed  try 2\n", "(no name)  1 of 12",
		"No verdict",
	} {
		if !strings.Contains(terminal, want) {
			t.Errorf("the text does not say %q:\n%s", want, terminal)
		}
	}
}

// Who passed is said of last tries, and so is who was near to the pass mark: of the class's twelve learners who had
// nothing right at first, those who then come to 8 points of 12 are at the mark, and a critical question fails whatever the points.
func TestNearIsOfLastTries(t *testing.T) {
	q := library("en").Quizzes[0]
	head, right, open := "mixer-quiz", ",A,A,A,A,A,A,A,A", ",-,-"
	for _, x := range q.Questions {
		head += "," + x.ID
	}
	// First tries as they are in a class whose points say something: from 0 to 12 right.
	all := strings.Split("A,A,A,A,A,A,A,A,A,A,3.6,B", ",")
	table := head + "\n"
	for i := range 12 {
		table += fmt.Sprintf("Learner %02d,%s\n", i+1, strings.Join(append(slices.Clone(all[:i]), slices.Repeat([]string{"-"}, 12-i)...), ","))
	}
	first := view(t, "en", 0, collect.File{Name: "first.csv", Data: []byte(table)})
	if said := first.Summary[2]; !strings.HasPrefix(said, "3 learners are so close to the pass mark of 8 points") {
		t.Errorf("first tries: %q", said)
	}
	for i := range 12 {
		table += fmt.Sprintf("Learner %02d,%s,A,A,3.6,B\n", i+1, strings.Repeat(",A", 8)[1:])
	}
	all12 := view(t, "en", 0, collect.File{Name: "last.csv", Data: []byte(table)})
	for _, said := range all12.Summary {
		if strings.Contains(said, "pass mark") {
			t.Errorf("everybody has all points in the last try: %q", said)
		}
	}
	table = strings.ReplaceAll(table, ",A,A,3.6,B\n", open+open+"\n")
	at := view(t, "en", 0, collect.File{Name: "last.csv", Data: []byte(table)})
	if said := at.Summary[2]; !strings.HasPrefix(said, "12 learners are so close") {
		t.Errorf("everybody is at the mark in the last try: %q", said)
	}
	table = strings.ReplaceAll(table, right+open+open+"\n", ",B"+right[2:]+",A"+open+",-\n")
	for _, said := range view(t, "en", 0, collect.File{Name: "last.csv", Data: []byte(table)}).Summary {
		if strings.Contains(said, "pass mark") {
			t.Errorf("the critical question decides: %q", said)
		}
	}
}

// A result of a wording that is not known is neither passed nor failed, and is not passed over in silence.
func TestUnknownWording(t *testing.T) {
	old := library("en")
	old.Quizzes[0].File = text.NewFile("q.md", []byte("older"))
	v := view(t, "en", 3, class(old.Quizzes[0], 2)...)
	if terminal := texts(t, v); !strings.Contains(terminal, "2 results belong to a quiz version whose key is not here.") || !strings.Contains(terminal, " of 3 passed") {
		t.Error(terminal)
	}
	if terminal := texts(t, v); !strings.Contains(terminal, "1 more result could not be scored") {
		t.Error(terminal)
	}
	lib := library("en")
	if only, err := New(lib, collect.Read(lib.Quizzes[0], class(old.Quizzes[0], 1))); err != nil || !strings.Contains(texts(t, only), "1 result belongs to a quiz version") || !strings.Contains(texts(t, only), "1 learner could not be scored") {
		t.Errorf("%v", err)
	}
}

// A text stays a text in a spreadsheet, whatever it begins with. Figures stay figures.
func TestNoFormulasInTheTable(t *testing.T) {
	lib := library("en")
	for i, begin := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"} {
		lib.Quizzes[0].Questions[i].ID = begin
	}
	v, err := New(lib, collect.Read(lib.Quizzes[0], class(lib.Quizzes[0], 3)))
	assert.NilError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(written(t, func(b *bytes.Buffer) error { return v.Table(b) }))).ReadAll()
	assert.NilError(t, err)
	kept := 0
	for _, row := range rows[1:] {
		for i, cell := range row {
			_, err := strconv.ParseFloat(cell, 64)
			if number := err == nil && i != 1; !number && strings.IndexAny(cell, "=+-@\t\r") == 0 {
				t.Errorf("%s is the formula %q", columns[i], cell)
			}
			if strings.HasPrefix(cell, "'") {
				kept++
			}
		}
	}
	if kept != 6 {
		t.Errorf("%d cells are kept from being formulas, want 6", kept)
	}
}

func TestNobody(t *testing.T) {
	v := view(t, "en", 0)
	if got := texts(t, v); got != "What you must know\nNo result could be used.\n" {
		t.Errorf("got %q", got)
	}
	if table := written(t, func(b *bytes.Buffer) error { return v.Table(b) }); bytes.Count(table, []byte("\n")) != 1 {
		t.Errorf("table %q", table)
	}
}

func TestGerman(t *testing.T) {
	terminal := texts(t, view(t, "de", 30))
	if !strings.Contains(terminal, "Prüfen Sie die Lösung.") || strings.Contains(terminal, "[result") || !strings.Contains(terminal, "0,") {
		t.Error(terminal)
	}
	lib := library("fr")
	if _, err := New(lib, collect.Read(lib.Quizzes[0], nil)); err == nil {
		t.Error("a language without words was taken")
	}
}

// Every verdict and every part of a class has words.
func TestEveryVerdictHasWords(t *testing.T) {
	theme := pagetest.Theme(t)
	words, err := theme.Words("en")
	assert.NilError(t, err)
	for _, v := range itemanalysis.Verdicts {
		if !words.Has("result.verdict."+string(v)) || !words.Has("result.advice."+string(v)) {
			t.Errorf("no words for %s", v)
		}
	}
	for _, p := range parts {
		if !words.Has("result.part." + p.word) {
			t.Errorf("no words for %s", p.word)
		}
	}
}

// Of another wording with the same questions only right and wrong count: which
// choice a number stood for is not known.
func TestAnotherWording(t *testing.T) {
	old := library("en")
	old.Quizzes[0].File = text.NewFile("q.md", []byte("older"))
	lib := library("en")
	old.Quizzes[0].Questions[0].Points++ // worth more then; the key is the same
	v, err := New(lib, collect.Read(lib.Quizzes[0], class(old.Quizzes[0], 12), quiz.WordingOf(old.Quizzes[0])))
	assert.NilError(t, err)
	if terminal := texts(t, v); !strings.Contains(terminal, "12 learners answered an older wording with the same questions") {
		t.Error(terminal)
	}
	if points := v.Learners[0].Points; !strings.HasSuffix(points, " of 13") {
		t.Errorf("marked by another wording: %s", points)
	}
	for _, q := range v.Questions {
		if len(q.Options) > 0 || q.item.Tempting != "" {
			t.Errorf("%+v", q)
		}
	}
}
