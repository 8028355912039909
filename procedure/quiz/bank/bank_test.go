package bank

import (
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
)

var refs = statetest.Refs

func caution(signal procedure.Signal, about ...string) *procedure.Caution {
	return &procedure.Caution{Signal: signal, About: refs(about...)}
}

func question(id, step string, about ...string) *procedure.Question {
	return &procedure.Question{ID: id, Step: procedure.Ref{ID: step}, About: refs(about...)}
}

func ids(questions []*procedure.Question) []string {
	var out []string
	for _, q := range questions {
		out = append(out, q.ID)
	}
	return out
}

// The rules of tying are this project's own and stand in the package comment.
func TestTies(t *testing.T) {
	tests := []struct {
		name     string
		caution  *procedure.Caution
		question *procedure.Question
		want     bool
	}{
		{"by the step", caution(procedure.Danger), question("q", "lift"), true},
		{"by the step, the caution being about a thing", caution(procedure.Danger, "gearbox"), question("q", "lift"), true},
		{"by the step, the question being about a thing", caution(procedure.Danger), question("q", "lift", "gearbox"), true},
		{"by step and thing", caution(procedure.Danger, "19", "gearbox"), question("q", "lift", "gearbox"), true},
		{"by the step, about another thing", caution(procedure.Danger, "gearbox"), question("q", "lift", "sling"), false},
		{"by the thing", caution(procedure.Danger, "gearbox"), question("q", "", "gearbox"), true},
		{"by another thing", caution(procedure.Danger, "gearbox"), question("q", "", "sling"), false},
		{"by another step", caution(procedure.Danger, "gearbox"), question("q", "isolate", "gearbox"), false},
		{"by nothing", caution(procedure.Danger), question("q", ""), false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := &procedure.Procedure{Steps: []*procedure.Step{{ID: "isolate"}, {ID: "lift", Blocks: []procedure.Block{tt.caution}}}}
			c := NewCoverage(p, []*procedure.Question{tt.question})
			if got := len(c.Steps[1].Cautions[0].Questions) == 1; got != tt.want {
				t.Errorf("tied: %v, want %v", got, tt.want)
			}
			if uncovered := len(c.Uncovered()) == 1; uncovered == tt.want {
				t.Errorf("uncovered: %v", uncovered)
			}
		})
	}
}

func TestCoverage(t *testing.T) {
	hold := &procedure.Hold{Title: "Before the lift"}
	p := &procedure.Procedure{Steps: []*procedure.Step{
		{ID: "isolate"},
		{ID: "lift", Blocks: []procedure.Block{caution(procedure.Notice), caution(procedure.CautionWord, "sling"), hold}},
	}}
	c := NewCoverage(p, []*procedure.Question{question("a", "lift"), question("b", ""), question("c", "", "sling"), question("d", "gone")})
	if got := ids(c.Steps[1].Questions); !slices.Equal(got, []string{"a"}) || len(c.Steps[0].Questions) > 0 {
		t.Errorf("the lift has %v, isolating has %v", got, ids(c.Steps[0].Questions))
	}
	if got := ids(c.Steps[1].Cautions[1].Questions); !slices.Equal(got, []string{"a", "c"}) {
		t.Errorf("the caution has %v", got)
	}
	if h := c.Steps[1].Holds; len(h) != 1 || h[0].Hold != hold || !slices.Equal(ids(h[0].Questions), []string{"a"}) {
		t.Errorf("the hold point has %+v", h)
	}
	if got := ids(c.Loose); !slices.Equal(got, []string{"b", "d"}) {
		t.Errorf("loose: %v", got)
	}
	if len(NewCoverage(p, nil).Uncovered()) != 0 {
		t.Error("a caution and a notice count as grave")
	}
}
