package sessions

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
)

// A course that states who works on a machine has its steps side by side where order and tickets allow; what two do at the same time
// takes the time of the longer one.
func TestPlansShareTheWorkOut(t *testing.T) {
	length := func(pace procedure.Pace, who ...string) float64 {
		j := job("a 20: mark gearbox", "b 30: remove 1", "c 10: remove 2; stop")
		for i, w := range who {
			if w != "" {
				j.Steps[i].Who = []procedure.Ref{{ID: w}}
			}
		}
		for _, s := range j.Steps {
			s.People = 1
		}
		it := Item{Title: "Job", Job: j, Added: sharesOf(j, pace)}
		out, _, err := pieces([]Item{it})
		assert.NilError(t, err)
		sum := 0.0
		for _, p := range out {
			sum += p.mean
		}
		return sum
	}
	person := func(tickets ...string) (p procedure.Person) {
		for _, x := range tickets {
			p.Tickets = append(p.Tickets, procedure.Ref{ID: x})
		}
		return p
	}
	one := length(procedure.Pace{People: 1})
	two := length(procedure.Pace{People: 2})
	if one != 60 || two >= one {
		t.Errorf("one person takes %v min, want 60; two take %v, want less", one, two)
	}
	crew := procedure.Pace{People: 2, Crew: []procedure.Person{person("fitter"), person()}}
	if got := length(crew, "fitter", "fitter", "fitter"); got != 60 {
		t.Errorf("the only fitter of two takes %v min, want 60", got)
	}
	if got := length(crew, "", "fitter", "fitter"); got >= 60 {
		t.Errorf("two people of whom one marks take %v min, want less than 60", got)
	}
	if sharesOf(job("a 20: mark gearbox"), procedure.Pace{People: 1, Crew: []procedure.Person{person()}}) == nil {
		t.Error("what takes no ticket is shared out among people who have none")
	}
}
