package schedule

import (
	"math/rand/v2"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
)

// Nobody does what takes a ticket that they do not have, whatever the crew and the work, and who has the ticket does one thing at a time.
func TestRostersKeepToTickets(t *testing.T) {
	trades := []string{"electrician", "slinger", "fitter"}
	done := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		activities := make([]Activity, 4+r.IntN(8))
		next := make([][]int, len(activities))
		sorted := make([]int, len(activities))
		for i := range activities {
			minutes := float64(1 + r.IntN(9))
			activities[i] = Activity{Name: "a", Time: procedure.Estimate{Optimistic: minutes, Likely: minutes, Pessimistic: minutes}, People: 1 + r.IntN(2)}
			for _, x := range trades {
				if len(activities[i].Who) < activities[i].People && r.IntN(3) == 0 {
					activities[i].Who = append(activities[i].Who, x)
				}
			}
			sorted[i] = i
			for j := i + 1; j < len(activities); j++ {
				if r.IntN(5) == 0 {
					next[i] = append(next[i], j)
				}
			}
		}
		people := make(Tickets, 2+r.IntN(3))
		for p := range people {
			for _, x := range trades {
				if r.IntN(2) == 0 {
					people[p] = append(people[p], x)
				}
			}
		}
		n := link(activities, sorted, next)
		roster, err := n.Sharing().Among(people, 2000)
		if err != nil {
			for _, a := range err.(*TooFewPeopleError).Activities {
				if people.choose(a.Who, a.crew(), func(int) bool { return true }) != nil {
					t.Errorf("seed %d: %v can be done by %v", seed, a.Who, people)
				}
			}
			continue
		}
		done++
		for k, b := range roster.Bars {
			var has Tickets
			for _, p := range b.People {
				has = append(has, people[p-1])
			}
			if len(b.People) != b.Activity.crew() || has.choose(b.Activity.Who, len(has), func(int) bool { return true }) == nil {
				t.Errorf("seed %d: %v do what takes %v", seed, has, b.Activity.Who)
			}
			for _, c := range roster.Bars[:k] {
				if c.End > b.Start && slices.ContainsFunc(c.People, func(p int) bool { return slices.Contains(b.People, p) }) {
					t.Errorf("seed %d: one person does two things at %v", seed, b.Start)
				}
			}
		}
		if roster.Length < roster.Bound-1e-9 {
			t.Errorf("seed %d: %v is shorter than the bound %v", seed, roster.Length, roster.Bound)
		}
	}
	if done < 20 {
		t.Errorf("%d rosters were made, want 20 or more", done)
	}
}

// Two things that the only electrician does go one after the other, whoever else is there; with a second one side by side.
func TestOneElectrician(t *testing.T) {
	ten := procedure.Estimate{Optimistic: 10, Likely: 10, Pessimistic: 10}
	wire := Activity{Name: "wire", Time: ten, People: 1, Who: []string{"electrician"}}
	n := link([]Activity{wire, wire}, []int{0, 1}, make([][]int, 2))
	for _, x := range []struct {
		people Tickets
		length float64
	}{
		{Tickets{{"fitter"}, {"electrician"}}, 20},
		{Tickets{{"electrician"}, {"electrician"}}, 10},
		{Tickets{{"electrician", "fitter"}}, 20},
	} {
		r, err := n.Sharing().Among(x.people, 1000)
		assert.NilError(t, err)
		assert.Equal(t, r.Length, x.length)
	}
	if _, err := n.Sharing().Among(Tickets{{"fitter"}}, 1000); err == nil {
		t.Error("a fitter is planned on the work of an electrician")
	}
	// The one with both tickets stays free for what only they can do.
	people := Tickets{{"electrician", "slinger"}, {"electrician"}}
	assert.DeepEqual(t, people.choose([]string{"electrician"}, 1, func(int) bool { return true }), []int{1})
	assert.DeepEqual(t, people.choose([]string{"electrician", "slinger"}, 2, func(int) bool { return true }), []int{0, 1})
}
