package schedule

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/order"
	"matchmark/procedure/published"
)

// inARow is the schedule of a load that does one activity after the other.
func inARow(l *load) []ticks {
	starts, at := make([]ticks, l.n), ticks(0)
	for _, i := range l.sorted {
		starts[i] = at
		at += l.length[i]
	}
	return starts
}

// Alone, without any bound or other search, the learner finds the shortest schedule of small networks.
func TestLearnerAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 61))
	limited := 0
	for k := range 300 {
		n := inPieces(r, randomNetwork(t, r, 2+r.IntN(6), 3, r.IntN(4)))
		crew := 3 + r.IntN(2)
		l := whole(n, crew)
		want := toTicks(float64(shortest(n, crew)))
		best, ok := l.shorten(inARow(l), 0, 100_000)
		if !ok || l.span(best) != want {
			t.Errorf("network %d: %v, settled %v; the shortest is %v", k, l.span(best).minutes(), ok, want.minutes())
		}
		// A bound that is the shortest stops it there, and so does one contradiction too few.
		if best, ok := l.shorten(inARow(l), want, 100_000); !ok || l.span(best) != want {
			t.Errorf("network %d with its bound: %v, settled %v", k, l.span(best).minutes(), ok)
		}
		if float64(shortest(n, crew)) > n.Times().Length {
			limited++
		}
	}
	if limited < 100 {
		t.Errorf("only %d networks were limited by people or things", limited)
	}
}

func TestLearnerGivesUp(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 62))
	open := 0
	for range 20 {
		n := randomNetwork(t, r, 30, 2, 3)
		l := whole(n, 3)
		slow := inARow(l)
		best, ok := l.shorten(slow, 0, 3)
		if !ok {
			open++
		}
		if l.span(best) > l.span(slow) {
			t.Errorf("from %v to %v", l.span(slow).minutes(), l.span(best).minutes())
		}
		if again, alsoOK := l.shorten(slow, 0, 3); ok != alsoOK || !slices.Equal(best, again) {
			t.Error("twice the same gave two schedules")
		}
	}
	if open < 10 {
		t.Errorf("three contradictions left only %d networks open", open)
	}
}

// An activity that stands for no time has no place in whole units; then the learner leaves the schedule as it is.
func TestLearnerNeedsTimes(t *testing.T) {
	l := whole(parallel(t, fixed(5), fixed(0), fixed(7)), 3)
	starts := inARow(l)
	if best, ok := l.shorten(starts, 0, 1000); ok || !slices.Equal(best, starts) {
		t.Errorf("%v, settled %v", best, ok)
	}
}

// Source: PSPLIB j30 (Kolisch and Sprecher, 1997), instances j301_1 to j301_3 with their optima.
func TestPublishedProjects(t *testing.T) {
	var file struct {
		Instances []struct {
			Name    string `json:"name"`
			Optimum int    `json:"optimal_makespan"`
			Cap     []int  `json:"cap"`
			Jobs    []struct {
				ID   int   `json:"id"`
				Time int   `json:"dur"`
				Req  []int `json:"req"`
				Succ []int `json:"succ"`
			} `json:"jobs"`
		} `json:"instances"`
	}
	published.JSON(t, "35_rcpsp_j30.json", &file)
	for _, instance := range file.Instances {
		jobs := instance.Jobs[1 : len(instance.Jobs)-1] // the first and the last stand for start and end
		graph := order.NewGraph(len(jobs))
		activities := make([]Activity, len(jobs))
		for i, j := range jobs {
			activities[i] = Activity{Name: fmt.Sprint(j.ID), Time: fixed(float64(j.Time))}
			for k, x := range j.Req {
				if x > 0 {
					activities[i].Uses = append(activities[i].Uses, Use{Thing{ID: fmt.Sprint("R", k+1), Count: instance.Cap[k]}, x})
				}
			}
			for _, next := range j.Succ {
				if next <= len(jobs)+1 {
					graph.Add(i, next-2)
				}
			}
		}
		r, err := network(t, activities, graph).Roster(len(jobs)) // as many people as jobs: they limit nothing
		assert.NilError(t, err)
		feasible(t, r)
		if !r.Shortest || r.Length != float64(instance.Optimum) {
			t.Errorf("%s: length %v, bound %v, want %d", instance.Name, r.Length, r.Bound, instance.Optimum)
		}
	}
	if len(file.Instances) != 3 {
		t.Errorf("%d instances", len(file.Instances))
	}
}

// Sixty networks of thirty activities each from randomNetwork with PCG(s, s), s = 1, 30, 60 and 2026: times of one to six
// minutes, one or two people an activity, three single things that each take one activity in four, and three people. Before
// there was a learner 15, 18, 11 and 16 stayed open.
func TestRandomNetworksAreSettled(t *testing.T) {
	for seed, most := range map[uint64]int{1: 4, 30: 7, 60: 3, 2026: 3} {
		r := rand.New(rand.NewPCG(seed, seed))
		open := 0
		for range 60 {
			roster, err := randomNetwork(t, r, 30, 2, 3).Roster(3)
			assert.NilError(t, err)
			if !roster.Shortest {
				open++
			}
		}
		if open > most {
			t.Errorf("seed %d: %d networks stayed open", seed, open)
		}
	}
}
