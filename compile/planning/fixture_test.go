package planning

import (
	"testing"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/learning"
	"matchmark/procedure/measure"
	"matchmark/themes"
)

// library is a small library by hand: a job of four steps, of which the second and
// the third do not wait for each other, a quiz, and a course of two sessions.
func library() *procedure.Library {
	m := &procedure.Machine{
		ID: "press", Title: "Press",
		Tools: []*procedure.Tool{
			{Row: row("socket", "Socket 13 mm"), Kind: procedure.HandTool, Quantity: measure.Must("1 pcs")},
			{Row: row("gloves", "Gloves"), Kind: procedure.Protection, Quantity: measure.Must("2 pcs")},
			{Row: row("rag", "Rags"), Kind: procedure.Consumable, Quantity: measure.Must("3 pcs")},
		},
		Fasteners: []*procedure.Fastener{{Row: row("1", "Cover bolt"), Number: 1, Kind: procedure.Bolt, Count: 4, Bag: "Bag 1"}},
	}
	m.Index()
	p := &procedure.Procedure{ID: "covers", Title: "Covers off", Edition: "1", Machine: m, Steps: []*procedure.Step{
		{ID: "look", Title: "Look at it", Time: fixed(6), People: 1, Tools: refs("gloves"), SafeStop: true, Blocks: []procedure.Block{
			&procedure.Caution{Signal: procedure.Danger, Prose: prose("It can start.")},
			&procedure.KeyPoint{Point: "Walk around it", Reason: prose("A leak hides behind.")},
			&procedure.KeyPoint{Point: "Listen", Reason: prose("A bearing tells.")},
		}},
		{ID: "left", Title: "Left cover", Time: estimate(4, 10, 16), People: 1, Tools: refs("socket"), After: refs("look"), Blocks: []procedure.Block{
			&procedure.Callout{Actions: []*procedure.Action{{Verb: procedure.Remove, Object: ref("1")}}},
		}},
		{ID: "right", Title: "Right cover", Time: estimate(4, 10, 16), People: 1, After: refs("look")},
		{ID: "close", Title: "Count all", Time: fixed(4), People: 1, Tools: refs("rag"), After: refs("left", "right"), Blocks: []procedure.Block{
			&procedure.Hold{Title: "Before you go", Signature: "trainer", Confirmations: []procedure.Prose{prose("All counted")}},
		}},
	}}
	q := &procedure.Quiz{ID: "quiz", Title: "What you know", Procedure: p, Time: fixed(10)}
	c := &procedure.Course{ID: "week", Title: "Week one", Pace: procedure.UsualPace(), Sessions: []procedure.Session{
		{Title: "Looking", Items: []procedure.CourseItem{{Procedure: p, To: ref("look")}}},
		{Title: "Doing", Items: []procedure.CourseItem{{Procedure: p, From: ref("left")}, {Quiz: q, IsQuiz: true}, {Procedure: p}}},
	}}
	c.Pace.Learning, c.Pace.Break = learning.Curve{Form: learning.Crawford, Rate: 0.85}, 0
	c.Pace.Session = 90
	return &procedure.Library{Title: "Workshop", Language: "en", Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q}, Courses: []*procedure.Course{c}}
}

func row(id, name string) procedure.Row { return procedure.Row{ID: id, Name: name} }

func ref(id string) procedure.Ref { return procedure.Ref{ID: id} }

func refs(ids ...string) []procedure.Ref {
	var out []procedure.Ref
	for _, id := range ids {
		out = append(out, ref(id))
	}
	return out
}

func estimate(a, m, b float64) procedure.Estimate {
	return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b}
}

func fixed(minutes float64) procedure.Estimate { return estimate(minutes, minutes, minutes) }

func prose(s string) procedure.Prose {
	return procedure.Prose{Markup: "<p>" + s + "</p>", Paragraphs: []procedure.Paragraph{{Text: s}}}
}

// emit returns the files of a library, by site path.
func emit(t testing.TB, lib *procedure.Library) map[string][]byte {
	t.Helper()
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	var out output.Memory
	if err := Emit(lib, nil, theme, &out); err != nil {
		t.Fatal(err)
	}
	return out.Files()
}

func pageAt(t testing.TB, files map[string][]byte, at string) *pagetest.Element {
	t.Helper()
	if files[at] == nil {
		t.Fatalf("there is no %s", at)
	}
	p, err := pagetest.Parse(files[at])
	if err != nil {
		t.Fatalf("%s: %v", at, err)
	}
	return p
}

// emitterIn returns an emitter that writes in a language.
func emitterIn(t testing.TB, lang string) *emitter {
	t.Helper()
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	words, err := theme.Words(lang)
	if err != nil {
		t.Fatal(err)
	}
	return &emitter{theme: theme, words: words}
}
