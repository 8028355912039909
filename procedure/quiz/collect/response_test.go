package collect

import (
	"maps"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/text"
)

// with is the right answers but for one.
func with(id string, a quiz.Answer) map[string]quiz.Answer {
	out := maps.Clone(right())
	out[id] = a
	return out
}

func TestResponses(t *testing.T) {
	q := sample()
	json := func(learner string, try int, answers map[string]quiz.Answer, change func(*quiz.Response)) []byte {
		return saved(q, learner, try, answers, change)
	}
	tests := []struct {
		name  string
		files [][]byte
		want  string
	}{
		{"one who passed", [][]byte{json("Ada", 1, right(), nil)}, `
"Ada" try 1: 7/7 passed
`},
		{"the critical one is wrong", [][]byte{json("Ada", 1, with("why", quiz.Answer{Chosen: []int{2}}), nil)}, `
"Ada" try 1: 5/7
`},
		{"all left open", [][]byte{json("", 1, nil, nil)}, `
"" try 1: 0/7
`},
		{"tries in any order, names in any case", [][]byte{json("ada  BERG", 2, right(), nil), json("Ada Berg", 1, nil, nil), json("Abe", 1, nil, nil), json("", 1, right(), nil)}, `
"Abe" try 1: 0/7
"ada BERG" try 1: 0/7 try 2: 7/7 passed
"" try 1: 7/7 passed
`},
		{"the same file twice", [][]byte{json("Ada", 1, right(), nil), json("Ada", 1, right(), nil)}, `
"Ada" try 1: 7/7 passed
note 2.json: the file holds the same as 1.json; it is not counted again
`},
		{"the same try, written in another way", [][]byte{json("Ada", 1, right(), nil), append(json("Ada", 1, right(), nil), '\n')}, `
"Ada" try 1: 7/7 passed
note 2.json: Ada has been read already, from 1.json; it is not counted again
`},
		{"the same try with other answers", [][]byte{json("Ada", 1, right(), nil), json("Ada", 1, nil, nil)}, `
"Ada" try 1: 7/7 passed
lost 2.json: this is the same try of Ada as in 1.json, with other answers; only the first one counts
`},
		{"a try on another tablet", [][]byte{json("Ada", 1, right(), nil), json("Ada", 1, nil, func(r *quiz.Response) { r.Started = "2026-03-02T07:00:00Z" })}, `
"Ada" try 1: 0/7 try 2: 7/7 passed
`},
		{"a stranger", [][]byte{json("Ada", 1, right(), func(r *quiz.Response) { r.Quiz = "oven-quiz" })}, `
lost 1.json: this is a result of the quiz "oven-quiz", not of "mixer-quiz"
`},
		{"no quiz", [][]byte{json("Ada", 1, right(), func(r *quiz.Response) { r.Quiz = "" })}, `
lost 1.json: the file does not say which quiz it is on
`},
		{"something else", [][]byte{[]byte(`{"times": []}`), []byte("null"), []byte("[]")}, `
lost 1.json: this is no result of a quiz
lost 2.json: this is no result of a quiz
lost 3.json:1:1: the result is damaged: a value is of the wrong kind
`},
		{"a later version", [][]byte{json("Ada", 1, right(), func(r *quiz.Response) { r.Version = 2 })}, `
lost 1.json: the result is of version 2, and this matchmark reads version 1
`},
		{"cut off", [][]byte{json("Ada", 1, right(), nil)[:60], nil, []byte("\xef\xbb\xbf")}, `
lost 1.json:4:3: the result is damaged from here on
lost 2.json: the file is empty
lost 3.json: the file is empty
`},
		{"no time", [][]byte{json("Ada", 1, right(), func(r *quiz.Response) { r.Started = "noon" }), json("Ada", 0, right(), nil)}, `
lost 1.json: the result is damaged: it does not say which try it is and when it began
lost 2.json: the result is damaged: it does not say which try it is and when it began
`},
		{"answers that cannot be", [][]byte{
			json("Ada", 1, with("why", quiz.Answer{Chosen: []int{4}}), nil),
			json("Ada", 1, with("why", quiz.Answer{Chosen: []int{1, 2}}), nil),
			json("Ada", 1, with("signs", quiz.Answer{Chosen: []int{1, 1}}), nil),
			json("Ada", 1, with("sort", quiz.Answer{Chosen: []int{1}}), nil),
			json("Ada", 1, with("lock", quiz.Answer{Target: "6"}), nil),
			json("Ada", 1, right(), func(r *quiz.Response) { r.Answers[0].Kind = "several" }),
			json("Ada", 1, right(), func(r *quiz.Response) { r.Answers = r.Answers[1:] }),
			json("Ada", 1, right(), func(r *quiz.Response) { r.Answers[1] = r.Answers[0] }),
			json("Ada", 1, right(), func(r *quiz.Response) { r.Answers = append(r.Answers, quiz.Marked{Question: "x"}) }),
		}, `
lost 1.json: the result is damaged: question "why" has an answer that cannot be given
lost 2.json: the result is damaged: question "why" has an answer that cannot be given
lost 3.json: the result is damaged: question "signs" has an answer that cannot be given
lost 4.json: the result is damaged: question "sort" has an answer that cannot be given
lost 5.json: the result is damaged: question "lock" has an answer that cannot be given
lost 6.json: the result is damaged: question "why" has an answer that cannot be given
lost 7.json: the result is damaged: question "why" is missing
lost 8.json: the result is damaged: question "why" is there twice
lost 9.json: the result is damaged: it answers questions that the quiz does not have
`},
		{"marks that somebody changed", [][]byte{json("Ada", 1, nil, func(r *quiz.Response) { r.Answers[0].Right, r.Score.Passed = true, true })}, `
"Ada" try 1: 0/7
note 1.json: the marks in the file are not those of its answers; it was marked anew
`},
		{"a name that plays with the terminal", [][]byte{json("\x1b[31mA\u202eda\n"+strings.Repeat("x", 100), 1, right(), nil)}, `
"[31mA da ` + strings.Repeat("x", 70) + `…" try 1: 7/7 passed
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			expect(t, Read(q, named(".json", tt.files...)), tt.want)
		})
	}
}

func named(ending string, data ...[]byte) []File {
	var out []File
	for i, d := range data {
		out = append(out, File{Name: string(rune('1'+i)) + ending, Data: d})
	}
	return out
}

// older is a wording of before: another key, another kind, one question fewer.
func older() *procedure.Quiz {
	q := sample()
	q.File = text.NewFile("q.md", []byte("older"))
	q.Questions[0].Choices[0].Right, q.Questions[0].Choices[2].Right = false, true
	q.Questions[3].Kind, q.Questions[3].Choices = procedure.SingleChoice, make([]procedure.Choice, 2)
	q.Questions = q.Questions[:5]
	return q
}

// A result of another wording is marked by what was asked then, or not at all.
func TestOtherWordings(t *testing.T) {
	then := older()
	answers := right()
	answers["why"], answers["oil"] = quiz.Answer{Chosen: []int{3}}, quiz.Answer{}
	half := maps.Clone(answers)
	half["why"] = quiz.Answer{Chosen: []int{1}} // which would be right by now
	made := func(q *procedure.Quiz, a map[string]quiz.Answer, change func(*quiz.Response)) []File {
		return []File{{"a.json", saved(q, "Ada", 1, a, change)}}
	}
	edition, known := quiz.Edition(then), quiz.WordingOf(then)
	note := "note a.json: the result is of another wording of the quiz (" + edition + "); it is marked by the questions that were asked then\n"
	for name, test := range map[string]struct {
		files []File
		known []quiz.Wording
		want  string
	}{
		"not known":                      {made(then, answers, nil), nil, "lost a.json: the result is of another wording of the quiz (" + edition + "), whose key is not here; it is not marked\n"},
		"known":                          {made(then, answers, nil), []quiz.Wording{known}, "\"Ada\" try 1: 5/6 passed carried without why,oil,bolt\n" + note},
		"right by today's key":           {made(then, half, nil), []quiz.Wording{known}, "\"Ada\" try 1: 3/6 carried without why,oil,bolt\n" + note},
		"one answer and no more":         {made(then, answers, func(r *quiz.Response) { r.Answers = r.Answers[:1] }), []quiz.Wording{known}, "lost a.json: the result is damaged: question \"signs\" is missing\n"},
		"an edition made up":             {made(sample(), right(), func(r *quiz.Response) { r.Edition, r.Answers = "ffffffffffff", r.Answers[:1] }), []quiz.Wording{known}, "lost a.json: the result is of another wording of the quiz (ffffffffffff), whose key is not here; it is not marked\n"},
		"of another quiz":                {made(then, answers, nil), []quiz.Wording{{Quiz: "oven-quiz", Edition: edition}}, "lost a.json: the result is of another wording of the quiz (" + edition + "), whose key is not here; it is not marked\n"},
		"the critical one was not asked": {made(sample(), right(), func(r *quiz.Response) { r.Answers = r.Answers[1:] }), nil, "lost a.json: the result is damaged: question \"why\" is missing\n"},
	} {
		t.Run(name, func(t *testing.T) {
			found := Read(sample(), test.files, test.known...)
			expect(t, found, test.want)
			for _, f := range found.Faults {
				if unmarked := f.Code == Unmarked; unmarked != strings.Contains(f.Says().String(), "not marked") {
					t.Errorf("unmarked: %v, %s", unmarked, f.Says())
				}
			}
		})
	}
}

func TestTriesBeyondTheLimit(t *testing.T) {
	q := sample()
	q.Tries = 1
	c := Read(q, named(".json", saved(q, "Ada", 1, nil, nil), saved(q, "Ada", 2, right(), nil)))
	expect(t, c, `
"Ada" try 1: 0/7
note 2.json: Ada has 2 tries, and the quiz allows 1; only the first count
`)
	if c.Lost() {
		t.Error("a try too many is no lost file")
	}
}

func TestPick(t *testing.T) {
	mixer, oven := sample(), &procedure.Quiz{ID: "oven-quiz"}
	lib := &procedure.Library{Quizzes: []*procedure.Quiz{mixer, oven}}
	m, o := saved(mixer, "Ada", 1, nil, nil), []byte("oven-quiz 12,a\n")
	for _, tt := range []struct {
		files []File
		want  *procedure.Quiz
	}{
		{named(".json", m), mixer}, {[]File{{"a.csv", o}}, oven}, {[]File{{"a.csv", o}, {"b.json", m}}, mixer},
		{[]File{{"a.csv", o}, {"b.CSV", o}, {"c.json", m}}, oven}, {named(".json", []byte("{")), nil}, {named(".csv", nil), nil},
	} {
		if got := Pick(lib, tt.files); got != tt.want {
			t.Errorf("%v: got %v", tt.files, got)
		}
	}
}

func TestTooLarge(t *testing.T) {
	expect(t, Read(sample(), named(".json", make([]byte, largest+1))), `
lost 1.json: the file is larger than any result
`)
}

// Whatever a file holds, nothing panics, and what is counted can be marked.
func FuzzResponse(f *testing.F) {
	q := sample()
	f.Add(saved(q, "Ada", 1, right(), nil))
	f.Add(saved(q, "", 2, nil, func(r *quiz.Response) { r.Edition = "000000000000" }))
	f.Add([]byte("{"))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, q, File{"x.json", data}) })
}

func sound(t *testing.T, q *procedure.Quiz, f File) {
	c := Read(q, []File{f, {"y" + f.Name, append([]byte{}, f.Data...)}})
	for _, l := range c.Learners {
		for _, r := range l.Tries {
			if len(r.Answers) != len(q.Questions) || len([]rune(l.Name)) > longest || tidy(l.Name) != l.Name {
				t.Errorf("%+v", r)
			}
		}
	}
	if len(c.Learners) == 0 && len(f.Data) > 0 && len(c.Faults) == 0 {
		t.Errorf("%q was passed over in silence", f.Data)
	}
	for _, x := range c.Faults {
		if x.Wrong.Empty() || strings.ContainsAny(x.Says().String(), "\n\x1b") {
			t.Errorf("%+v", x)
		}
	}
}
