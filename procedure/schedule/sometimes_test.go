package schedule

import (
	"math"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/order"
)

func times(a, m, b float64) procedure.Estimate {
	return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b}
}

// Worked by hand: T has the mean 10 and the deviation 1, R the mean 2 and the deviation 1/3.
// E(TR) = 20, Var(TR) = 100/9 + 4·1 + 1/9 = 137/9. With the chance 1/4: mean 5, variance 1/4·(137/9 + 400) - 25.
func TestStepTime(t *testing.T) {
	for _, c := range []struct {
		step            procedure.Step
		mean, deviation float64
	}{
		{procedure.Step{Time: times(7, 10, 13)}, 10, 1},
		{procedure.Step{Time: times(7, 10, 13), Round: procedure.Round{Rounds: times(1, 2, 3)}}, 20, math.Sqrt(137.0 / 9)},
		{procedure.Step{Time: times(10, 10, 10), Skips: 0.75}, 2.5, math.Sqrt(0.25*100 - 6.25)},
		{procedure.Step{Time: times(7, 10, 13), Round: procedure.Round{Rounds: times(1, 2, 3)}, Skips: 0.75}, 5, math.Sqrt(0.25*(137.0/9+400) - 25)},
	} {
		mean, deviation := StepTime(&c.step)
		if math.Abs(mean-c.mean) > 1e-9 || math.Abs(deviation-c.deviation) > 1e-9 {
			t.Errorf("%+v: %v ± %v, want %v ± %v", c.step, mean, deviation, c.mean, c.deviation)
		}
	}
}

// sometimesJob has a question, a step for a yes and a longer one for a no, a round of two steps, and a wait while other work goes on.
func sometimesJob() *procedure.Job {
	act := func(thing string) procedure.Block {
		return &procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Clean, Object: procedure.Ref{ID: thing}}}}
	}
	round := procedure.Round{First: "r1", Until: "ok", Most: 3, Rounds: times(1, 1, 3)}
	p := &procedure.Procedure{ID: "p", Steps: []*procedure.Step{
		{ID: "ask", Time: times(2, 2, 2), Blocks: []procedure.Block{
			&procedure.Decision{Name: "worn", Chance: 25},
			&procedure.Wait{Time: measure.Must("30 min"), On: []procedure.Ref{{ID: "hub"}}},
		}},
		{ID: "yes", Time: times(40, 40, 40), If: "worn"},
		{ID: "no", Time: times(8, 8, 8), If: "not worn"},
		{ID: "r1", Time: times(3, 3, 3), Round: round},
		{ID: "r2", Time: times(6, 6, 6), Round: round},
		{ID: "hub", Time: times(1, 1, 1), Blocks: []procedure.Block{act("hub")}},
	}}
	for i, s := range p.Steps {
		s.Number, s.Title = i+1, s.ID
	}
	p.Weigh()
	return p.Jobs()[0]
}

// On the clock of one pair the wait runs while the steps between go on: 2 + 10 + 6 + 4 + 8 = 30 minutes of work, and the hub is free at 32.
func TestClockWithWaits(t *testing.T) {
	c := Clock(sometimesJob())
	rounds := (1 + 4 + 3) / 6.0
	work := 2 + 0.25*40 + 0.75*8 + rounds*9
	if math.Abs(c.Rows[4].End.Expected-work) > 1e-9 {
		t.Errorf("the rounds end at %v, want %v", c.Rows[4].End.Expected, work)
	}
	if math.Abs(c.Rows[5].Start.Expected-32) > 1e-9 || math.Abs(c.Total.Expected-33) > 1e-9 {
		t.Errorf("the hub starts at %v, all ends at %v; want 32 and 33", c.Rows[5].Start.Expected, c.Total.Expected)
	}
	if c.Total.Optimistic != 33 || c.Total.Pessimistic != 2+40+8+27+1 {
		t.Errorf("at best %v, at worst %v", c.Total.Optimistic, c.Total.Pessimistic)
	}
}

// The two answers exclude each other in every run: a job of nothing but these takes 40 or 8 minutes, never 48 and never none.
func TestSimulatedAnswers(t *testing.T) {
	whole := sometimesJob()
	job := *whole
	job.Steps = whole.Steps[1:3]
	steps := []*procedure.Step{}
	for i, s := range job.Steps {
		c := *s
		c.Number = i + 1
		steps = append(steps, &c)
	}
	job.Steps = steps
	p := &order.Precedence{Graph: order.NewGraph(2), Steps: steps}
	p.Add(0, 1, order.Reason{Kind: order.Stated})
	n := Ordered(&job, p)
	s := Simulate(n)[0]
	for _, c := range []struct{ by, share float64 }{{7.9, 0}, {8.1, 0.75}, {39.9, 0.75}, {40.1, 1}} {
		if got, _ := s.Share(c.by); math.Abs(got-c.share) > 0.005 {
			t.Errorf("%v of the runs end by %v, want %v", got, c.by, c.share)
		}
	}
	if mean := n.Times().Length; math.Abs(s.Mean()-mean) > 0.2 {
		t.Errorf("the mean is %v by simulation, %v by the network", s.Mean(), mean)
	}
}

// One person goes on with other work while a wait runs; what the wait is on is touched after it.
func TestRosterWithWait(t *testing.T) {
	job := sometimesJob()
	p := &order.Precedence{Graph: order.NewGraph(len(job.Steps)), Steps: job.Steps}
	n := Ordered(job, p)
	r, err := n.Roster(1)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Length-33) > 0.01 {
		t.Errorf("one person needs %v minutes, want 33", r.Length)
	}
	wait, hub := -1.0, -1.0
	for _, b := range r.Bars {
		if b.Activity.Wait != nil {
			wait = b.End
			if len(b.People) != 0 {
				t.Errorf("the wait takes %v", b.People)
			}
		}
		if b.Activity.Name == "hub" {
			hub = b.Start
		}
	}
	if hub < wait-1e-6 {
		t.Errorf("the hub is touched at %v, the wait ends at %v", hub, wait)
	}
}
