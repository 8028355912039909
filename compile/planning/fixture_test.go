package planning

import (
	"errors"
	"testing"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/learning"
	"matchmark/procedure/measure"
	"matchmark/procedure/state/statetest"
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
	c.Pace.CommonPace = 0 // so that the deviations can be added by hand
	c.Pace.Session = 90
	return &procedure.Library{Title: "Workshop", Language: "en", Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q}, Courses: []*procedure.Course{c}}
}

var row, ref, refs, prose = statetest.Row, statetest.Ref, statetest.Refs, statetest.Prose

func estimate(a, m, b float64) procedure.Estimate {
	return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b}
}

func fixed(minutes float64) procedure.Estimate { return estimate(minutes, minutes, minutes) }

// emit returns the files of a library, by site path.
func emit(t testing.TB, lib *procedure.Library) map[string][]byte {
	t.Helper()
	theme := pagetest.Theme(t)
	var out output.Memory
	var errs []error
	for _, p := range lib.Procedures {
		errs = append(errs, EmitProcedure(lib, theme, &out, analysis.New(p), People(0, procedure.Pace{})))
	}
	for _, c := range lib.Courses {
		errs = append(errs, EmitCourse(lib, theme, &out, c))
	}
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	return out.Files()
}

// emitterIn returns an emitter that writes in a language.
func emitterIn(t testing.TB, lang string) *emitter {
	t.Helper()
	theme := pagetest.Theme(t)
	words, err := theme.Words(lang)
	if err != nil {
		t.Fatal(err)
	}
	return &emitter{words: words}
}
