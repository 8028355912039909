package room

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/sessions"
)

// session is a session of a job of whole minutes; a step with a hold point that the trainer signs has a minus sign.
func session(tools []string, minutes ...int) *sessions.Session {
	m := &procedure.Machine{Tools: []*procedure.Tool{{Row: procedure.Row{ID: "gauge", Name: "Gauge"}, Single: true}, {Row: procedure.Row{ID: "spanner"}}}}
	m.Index()
	p := &procedure.Procedure{ID: "job", Machine: m}
	for i, n := range minutes {
		s := &procedure.Step{ID: fmt.Sprint("s", i), Title: fmt.Sprint("Step ", i), Number: i + 1}
		if n < 0 {
			n = -n
			s.Blocks = []procedure.Block{&procedure.Hold{Title: "Before the lift", Signature: "trainer"}}
		}
		if tools != nil && tools[i] != "" {
			s.Tools = []procedure.Ref{{ID: tools[i]}}
		}
		s.Time = procedure.Estimate{Optimistic: float64(n), Likely: float64(n), Pessimistic: float64(n)}
		p.Steps = append(p.Steps, s)
	}
	plan, err := sessions.As([][]sessions.Item{{{Title: "Job", Job: &procedure.Job{Procedure: p, Machine: m, Steps: p.Steps}}}}, sessions.Rules{Length: 480, Confidence: 0.9})
	if err != nil {
		panic(err)
	}
	return &plan.Sessions[0]
}

func inWords(c Class) (out []string) {
	for _, v := range c.Visits() {
		out = append(out, fmt.Sprintf("%g team %d %s", v.Due, v.Team, v.Step.ID))
	}
	return out
}

// Two lifts at once are a clash, by hand: three teams at 20 minutes; the trainer is five minutes with each, so the second waits for
// five and the third for ten. Five minutes apart nobody waits, until the second hold point, which comes ten minutes after the first.
func TestOneTrainer(t *testing.T) {
	s := session(nil, 10, -10, 10)
	c := Class{Session: s, Teams: 3}
	if got := inWords(c); !slices.Equal(got, []string{"20 team 1 s1", "20 team 2 s1", "20 team 3 s1"}) {
		t.Errorf("%q", got)
	}
	clashes := Clashes(c.Visits(), 5)
	if len(clashes) != 2 || clashes[0].Wait != 5 || clashes[1].Wait != 10 || clashes[1].First.Team != 2 || clashes[1].Second.Team != 3 {
		t.Errorf("%+v", clashes)
	}
	c.Apart = 5
	if got := inWords(c); !slices.Equal(got, []string{"20 team 1 s1", "25 team 2 s1", "30 team 3 s1"}) || len(Clashes(c.Visits(), 5)) != 0 {
		t.Errorf("%q", got)
	}
	if best := Stagger(s, 3, 480, 5); best.Apart != 5 {
		t.Errorf("%g min apart", best.Apart)
	}
	// A second hold point ten minutes after the first: 5 min apart, team 3's first and team 1's second fall together.
	if best := Stagger(session(nil, 10, -10, -10, 5), 3, 480, 5); best.Apart != 15 || len(Clashes(best.Visits(), 5)) != 0 {
		t.Errorf("%g min apart", best.Apart)
	}
	// No time is left to start apart: they wait.
	if best := Stagger(s, 3, 32, 5); best.Apart != 1 || len(Clashes(best.Visits(), 5)) != 2 {
		t.Errorf("%g min apart, %+v", best.Apart, Clashes(best.Visits(), 5))
	}
	if best := Stagger(s, 1, 480, 5); best.Apart != 0 || len(best.Visits()) != 1 {
		t.Errorf("%+v", best)
	}
}

// The only gauge of the shop is at one machine at a time; a spanner lies at each.
func TestOnlyOneInTheShop(t *testing.T) {
	s := session([]string{"spanner", "gauge", ""}, 10, 10, 10)
	got := Class{Session: s, Teams: 2}.Shared()
	if len(got) != 1 || got[0].Tool.ID != "gauge" || got[0].First != 1 || got[0].Second != 2 || got[0].At != 10 || got[0].Times != 1 {
		t.Errorf("%+v", got)
	}
	if best := Stagger(s, 2, 480, 5); best.Apart != 10 || len(best.Shared()) != 0 {
		t.Errorf("%g min apart", best.Apart)
	}
}

// Slow: the trainer goes minute by minute, to whom has waited longest.
func TestClashesMinuteByMinute(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 41))
	waited := 0
	for range 300 {
		var visits []Visit
		for team := range 1 + r.IntN(6) {
			visits = append(visits, Visit{Team: team + 1, Due: float64(r.IntN(30))})
		}
		slices.SortStableFunc(visits, func(a, b Visit) int { return int(a.Due - b.Due) })
		signing := 1 + r.IntN(6)
		want := map[int]int{}
		next, busyUntil := 0, 0
		for minute := 0; next < len(visits); minute++ {
			for next < len(visits) && minute >= busyUntil && int(visits[next].Due) <= minute {
				if wait := minute - int(visits[next].Due); wait > 0 {
					want[visits[next].Team] = wait
				}
				busyUntil = minute + signing
				next++
			}
		}
		got := map[int]int{}
		for _, c := range Clashes(visits, float64(signing)) {
			got[c.Second.Team] = int(c.Wait)
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Fatalf("%v, %d min each: %v, want %v", visits, signing, got, want)
		}
		waited += len(want)
	}
	if waited < 100 {
		t.Errorf("only %d waited", waited)
	}
}
