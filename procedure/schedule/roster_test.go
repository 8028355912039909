package schedule

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/order"
)

// randomNetwork has whole minutes as times, so that a slow search can count minute by minute.
func randomNetwork(t testing.TB, r *rand.Rand, size, people, things int) *Network {
	activities := make([]Activity, size)
	graph := order.NewGraph(size)
	for i := range activities {
		activities[i] = Activity{Name: fmt.Sprint(i), Time: fixed(float64(1 + r.IntN(6))), People: 1 + r.IntN(people)}
		for k := range things {
			if r.IntN(4) == 0 {
				activities[i].Uses = append(activities[i].Uses, Use{Thing: Thing{ID: fmt.Sprint("thing", k)}})
			}
		}
		for j := range i {
			if r.IntN(size) < 2 {
				graph.Add(j, i)
			}
		}
	}
	return network(t, activities, graph)
}

// inPieces gives the network's things up to three pieces, of which the activities take some.
func inPieces(r *rand.Rand, n *Network) *Network {
	count := map[string]int{}
	for i := range n.Activities {
		for k := range n.Activities[i].Uses {
			u := &n.Activities[i].Uses[k]
			if count[u.ID] == 0 {
				count[u.ID] = 1 + r.IntN(3)
			}
			u.Count = count[u.ID]
			u.Pieces = 1 + r.IntN(u.Count)
		}
	}
	return n
}

// shortest finds the length of the shortest schedule by trying every order of the
// activities that the network allows, minute by minute. It shares nothing with the code under test.
func shortest(n *Network, crew int) int {
	best := 0
	for i := range n.Activities {
		best += int(n.Activities[i].Time.Likely)
	}
	var ends [16]int
	var done []int
	var try func()
	try = func() {
		if len(done) == len(n.Activities) {
			last := 0
			for _, i := range done {
				last = max(last, ends[i])
			}
			best = min(best, last)
			return
		}
		for i := range n.Activities {
			start, ready := 0, !slices.Contains(done, i)
			for _, j := range n.prev[i] {
				ready = ready && slices.Contains(done, j)
				start = max(start, ends[j])
			}
			if !ready {
				continue
			}
			length := int(n.Activities[i].Time.Likely)
			for !free(n, crew, done, ends[:], i, start, length) {
				start++
			}
			ends[i] = start + length
			done = append(done, i)
			try()
			done = done[:len(done)-1]
		}
	}
	try()
	return best
}

func free(n *Network, crew int, done, ends []int, i, start, length int) bool {
	for minute := start; minute < start+length; minute++ {
		people, taken := n.Activities[i].People, map[string]int{}
		for _, j := range done {
			if begin := ends[j] - int(n.Activities[j].Time.Likely); minute < begin || minute >= ends[j] {
				continue
			}
			people += n.Activities[j].People
			for _, u := range n.Activities[j].Uses {
				taken[u.ID] += max(u.Pieces, 1)
			}
		}
		for _, u := range n.Activities[i].Uses {
			if taken[u.ID]+max(u.Pieces, 1) > max(u.Count, 1) {
				return false
			}
		}
		if people > crew {
			return false
		}
	}
	return true
}

func TestSmallRostersAreShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	improved := 0
	for k := range 120 {
		n := randomNetwork(t, r, 3+r.IntN(5), 2, 1+r.IntN(2))
		if k%2 == 1 {
			n = inPieces(r, n)
		}
		crew := 2 + r.IntN(2)
		roster, err := n.Roster(crew)
		assert.NilError(t, err)
		want := shortest(n, crew)
		if !roster.Shortest || roster.Length != float64(want) || roster.Bound != roster.Length || roster.Gap != 0 {
			t.Errorf("network %d: length %v, bound %v, want %d", k, roster.Length, roster.Bound, want)
		}
		if float64(want) > n.Times().Length {
			improved++
		}
		feasible(t, roster)
	}
	if improved < 30 {
		t.Errorf("only %d of the networks were limited by people or things", improved)
	}
}

// The exact search and the bounds are checked by themselves: without the other, each must still be right.
func TestExactSearchAndBoundsEachAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for k := range 120 {
		n := randomNetwork(t, r, 3+r.IntN(5), 2, 1)
		all := slices.Clone(n.sorted)
		slices.Sort(all)
		l := n.load(all, make(Tickets, 2), new(room))
		want := toTicks(float64(shortest(n, 2)))
		for _, bound := range []ticks{l.shareBound(), l.bound(), l.apartBound(l.bound())} {
			if bound > want {
				t.Errorf("network %d: bound %v is above the shortest schedule, %v", k, bound.minutes(), want.minutes())
			}
		}
		slow := make([]ticks, l.n) // one after the other
		for i, at := 0, ticks(0); i < l.n; i++ {
			slow[l.sorted[i]] = at
			at += l.length[l.sorted[i]]
		}
		best, ok := l.exact(slow, 0, exactPartial)
		if !ok || l.span(best) != want {
			t.Errorf("network %d: the exact search found %v, want %v", k, l.span(best).minutes(), want.minutes())
		}
	}
}

// feasible checks a roster minute by minute, person by person and thing by thing.
func feasible(t *testing.T, r *Roster) {
	t.Helper()
	n := r.Network
	bars := make([]Bar, len(n.Activities))
	for _, b := range r.Bars {
		bars[b.Index] = b
	}
	if len(r.Bars) != len(bars) {
		t.Fatalf("%d bars for %d activities", len(r.Bars), len(bars))
	}
	overlap := func(a, b Bar) bool { return a.Start < b.End && b.Start < a.End }
	end := 0.0
	for i, b := range bars {
		end = max(end, b.End)
		if b.Activity != &n.Activities[i] || len(b.People) != b.Activity.crew() || b.Start < 0 || !near(b.End-b.Start, max(Expected(b.Activity.Time), 1.0/perMinute), 1e-5) {
			t.Fatalf("bar %d: %+v", i, b)
		}
		for _, j := range n.prev[i] {
			if bars[j].End > b.Start {
				t.Fatalf("%d starts at %v, before %d ends at %v", i, b.Start, j, bars[j].End)
			}
		}
		for _, use := range b.Activity.Uses { // where most can be taken: as it starts
			taken := 0
			for _, other := range bars {
				for _, u := range other.Activity.Uses {
					if u.ID == use.ID && other.Start <= b.Start && b.Start < other.End {
						taken += max(u.Pieces, 1)
					}
				}
			}
			if taken > max(use.Count, 1) {
				t.Fatalf("%d of %s are in use as %d starts, and there are %d", taken, use.ID, i, use.Count)
			}
		}
		for j, other := range bars[:i] {
			if !overlap(b, other) {
				continue
			}
			for _, p := range b.People {
				if slices.Contains(other.People, p) {
					t.Fatalf("person %d does %d and %d at once", p, i, j)
				}
			}
		}
		if want := waitOf(n, bars, i); b.Wait != want {
			t.Fatalf("bar %d starts at %v and waits for %+v, want %+v", i, b.Start, b.Wait, want)
		}
	}
	handedOut(t, r)
	if r.Length != end || r.Bound > r.Length || r.Shortest != (r.Bound == r.Length) || !near(r.Gap, (r.Length-r.Bound)/max(r.Bound, same), 1e-9) {
		t.Fatalf("length %v, end %v, bound %v, gap %v", r.Length, end, r.Bound, r.Gap)
	}
	for p, lane := range r.Lanes {
		busy := 0.0
		for k, at := range lane.Bars {
			if !slices.Contains(r.Bars[at].People, p+1) || k > 0 && lane.Bars[k-1] >= at {
				t.Fatalf("lane %d: %+v", p, lane)
			}
			busy += r.Bars[at].End - r.Bars[at].Start
		}
		if lane.Person != p+1 || !near(busy, lane.Busy, 1e-6) || !near(lane.Busy+lane.Idle, r.Length, 1e-6) {
			t.Fatalf("lane %d: %+v, busy %v", p, lane, busy)
		}
	}
}

// waitOf says why an activity does not start earlier, the order before the things before
// the people, and of several that end as it starts the first in the network.
func waitOf(n *Network, bars []Bar, i int) Wait {
	if bars[i].Start == 0 {
		return Wait{}
	}
	var just []int
	for j, b := range bars {
		if b.End == bars[i].Start {
			just = append(just, j)
		}
	}
	for _, j := range just {
		if slices.Contains(n.prev[i], j) {
			return Wait{Kind: OrderWait, For: &n.Activities[j]}
		}
	}
	for _, j := range just {
		for _, use := range n.Activities[i].Uses {
			before, mine := 0, false
			for k, b := range bars {
				for _, u := range n.Activities[k].Uses {
					if u.ID == use.ID && b.Start < bars[i].Start && bars[i].Start <= b.End {
						before += max(u.Pieces, 1)
						mine = mine || k == j
					}
				}
			}
			if mine && before+max(use.Pieces, 1) > max(use.Count, 1) {
				return Wait{Kind: ThingWait, For: &n.Activities[j], Thing: use.Thing}
			}
		}
	}
	return Wait{Kind: PeopleWait, For: &n.Activities[just[0]]}
}

// handedOut checks who works and who uses what: bar by bar in the order of the starts, the lowest
// free numbers go to work, and each thing's bars are those that use it.
func handedOut(t *testing.T, r *Roster) {
	t.Helper()
	busy := map[int]float64{}
	lanes := make([][]int, r.Crew)
	var things []ThingLane
	for k, b := range r.Bars {
		if k > 0 && (r.Bars[k-1].Start > b.Start || r.Bars[k-1].Start == b.Start && r.Bars[k-1].Index > b.Index) {
			t.Fatalf("bar %d is listed too late", k)
		}
		var people []int
		for p := 1; p <= r.Crew && len(people) < b.Activity.crew(); p++ {
			if busy[p] <= b.Start {
				busy[p] = b.End
				people = append(people, p)
				lanes[p-1] = append(lanes[p-1], k)
			}
		}
		if !slices.Equal(people, b.People) {
			t.Fatalf("bar %d is done by %v, want %v", k, b.People, people)
		}
		for _, use := range b.Activity.Uses {
			for piece, left := 1, max(use.Pieces, 1); left > 0; piece++ {
				at := slices.IndexFunc(things, func(l ThingLane) bool { return l.Thing == use.Thing && l.Piece == piece })
				if at < 0 {
					at, things = len(things), append(things, ThingLane{Thing: use.Thing, Piece: piece})
				}
				if bars := things[at].Bars; len(bars) == 0 || r.Bars[bars[len(bars)-1]].End <= b.Start {
					things[at].Bars = append(bars, k)
					left--
				}
			}
		}
	}
	for k := range things {
		for _, b := range r.Bars {
			things[k].Waited = things[k].Waited || b.Wait.Thing == things[k].Thing
		}
	}
	for p, lane := range r.Lanes {
		if !slices.Equal(lane.Bars, lanes[p]) {
			t.Fatalf("person %d has the bars %v, want %v", p+1, lane.Bars, lanes[p])
		}
	}
	if len(r.Lanes) != r.Crew || !reflect.DeepEqual(r.Things, things) {
		t.Fatalf("%d lanes for %d people; things %v, want %v", len(r.Lanes), r.Crew, r.Things, things)
	}
	rosteredOrder(t, r)
}

// rosteredOrder checks that a roster's own network has the edges of the work and one from each bar
// of a person or a thing to the next, and no others.
func rosteredOrder(t *testing.T, r *Roster) {
	t.Helper()
	type edge struct{ from, to int }
	want := map[edge]bool{}
	for i, next := range r.Network.next {
		for _, j := range next {
			want[edge{i, j}] = true
		}
	}
	var rows [][]int
	for _, l := range r.Lanes {
		rows = append(rows, l.Bars)
	}
	for _, l := range r.Things {
		rows = append(rows, l.Bars)
	}
	for _, bars := range rows {
		for k := range len(bars) - 1 {
			want[edge{r.Bars[bars[k]].Index, r.Bars[bars[k+1]].Index}] = true
		}
	}
	got := r.Rostered()
	count := 0
	for i, next := range got.next {
		for _, j := range next {
			count++
			if !want[edge{i, j}] || !slices.Contains(got.prev[j], i) {
				t.Fatalf("%d leads to %d: %v of %v", i, j, next, got.prev[j])
			}
		}
		if !slices.IsSorted(next) || !slices.IsSorted(got.prev[i]) {
			t.Fatalf("edges of %d are %v and %v", i, next, got.prev[i])
		}
	}
	if count != len(want) {
		t.Fatalf("%d edges, want %d", count, len(want))
	}
}

func TestLargeRostersAreFeasible(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for _, size := range []int{40, 80, 250} {
		for _, crew := range []int{2, 4} {
			roster, err := randomNetwork(t, r, size, 2, 5).Roster(crew)
			assert.NilError(t, err)
			feasible(t, roster)
			if roster.Gap > 0.1 {
				t.Errorf("%d activities, %d people: length %v, bound %v, gap %.3f", size, crew, roster.Length, roster.Bound, roster.Gap)
			}
		}
	}
}

// With little effort a roster is still feasible, and what it says of its own length still holds.
func TestLittleEffort(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	open := 0
	for k := range 40 {
		n := randomNetwork(t, r, 20, 2, 2)
		quick, err := n.Sharing().Roster(2, 50)
		assert.NilError(t, err)
		feasible(t, quick)
		full, _ := n.Roster(2)
		if quick.Length < full.Bound || full.Length < quick.Bound || quick.Shortest && quick.Length != full.Length {
			t.Errorf("network %d: %v (bound %v) with little effort, %v (bound %v) with more", k, quick.Length, quick.Bound, full.Length, full.Bound)
		}
		if !quick.Shortest {
			open++
		}
	}
	if open == 0 {
		t.Error("fifty partial schedules settled every network")
	}
}

func TestOnePersonDoesOneAfterTheOther(t *testing.T) {
	n, _ := jackson(t)
	r, err := n.Roster(1)
	if err != nil || r.Length != 46 || !r.Shortest || r.Lanes[0].Idle != 0 { // the sum of times, as published
		t.Errorf("length %v, %+v, %v", r.Length, r.Lanes, err)
	}
	if times := r.Rostered().Times(); times.Length != 46 || len(times.Path) != 11 {
		t.Errorf("in a row: %+v", times)
	}
	// With people enough, the critical path is the length.
	if r, _ = n.Roster(5); r.Length != 25 || !r.Shortest {
		t.Errorf("length %v", r.Length)
	}
}

// Where another order is no shorter, the written one stays.
func TestWrittenOrderStays(t *testing.T) {
	n := parallel(t, fixed(2), fixed(9), fixed(3), fixed(7))
	r, err := n.Roster(1)
	assert.NilError(t, err)
	for k, b := range r.Bars {
		if b.Index != k {
			t.Errorf("bar %d is activity %d", k, b.Index)
		}
	}
}

func TestTooFewPeople(t *testing.T) {
	n := parallel(t, usual, usual, usual)
	n.Activities[1].People, n.Activities[2].People = 2, 3
	_, err := n.Roster(1)
	var few *TooFewPeopleError
	if !errors.As(err, &few) || few.Need != 3 || len(few.Activities) != 2 || few.Error() != `"1" takes more than 1 people; 3 are needed in all` {
		t.Errorf("%v", err)
	}
	if _, err := n.Roster(2); n.Fewest() != 3 || err == nil {
		t.Errorf("fewest %d", n.Fewest())
	}
}

// One hoist: what waits for it says so, and the leader (person 1) takes the first bar.
func TestWaits(t *testing.T) {
	n := parallel(t, fixed(10), fixed(10), fixed(3), fixed(0))
	hoist := Thing{ID: "hoist", Name: "Hoist"}
	n.Activities[0].Uses, n.Activities[1].Uses = []Use{{Thing: hoist}}, []Use{{Thing: hoist}}
	r, err := n.Roster(2)
	assert.NilError(t, err)
	feasible(t, r)
	if r.Length != 20 || !r.Shortest || len(r.Things) != 1 || len(r.Things[0].Bars) != 2 {
		t.Fatalf("length %v, things %+v", r.Length, r.Things)
	}
	second := r.Bars[r.Things[0].Bars[1]]
	if second.Start != 10 || second.Wait.Kind != ThingWait || second.Wait.Thing != hoist || second.Wait.For == nil {
		t.Errorf("%+v", second)
	}
	for _, b := range r.Bars {
		if b.Start == 0 && b.Activity == r.Bars[0].Activity && !slices.Equal(b.People, []int{1}) {
			t.Errorf("the leader does not begin: %+v", b)
		}
	}
	// With one person, all but the first wait for somebody to be free, or for the hoist.
	r, _ = n.Roster(1)
	feasible(t, r)
}

func TestRosterIsTheSameEachTime(t *testing.T) {
	n := randomNetwork(t, rand.New(rand.NewPCG(3, 3)), 60, 2, 3)
	a, _ := n.Roster(2)
	b, _ := n.Roster(2)
	if !reflect.DeepEqual(a.Bars, b.Bars) || !reflect.DeepEqual(a.Lanes, b.Lanes) {
		t.Error("two rosters of one network differ")
	}
}

// What was worked out for other people, or with another effort, changes no roster.
func TestRostersShareRoomAndNothingElse(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, size := range []int{1, 2, 12, 30, 63, 64, 65, 90} {
		for range 4 {
			n := randomNetwork(t, r, size, 2, 3)
			sharing := n.Sharing()
			for _, crew := range []int{4, 2, 3, 1, 2, 5} {
				for _, effort := range []int{300, 20, 2000} {
					shared, err := sharing.Roster(crew, effort)
					alone, alsoErr := n.Sharing().Roster(crew, effort)
					if (err == nil) != (alsoErr == nil) || !reflect.DeepEqual(shared, alone) {
						t.Fatalf("%d activities, %d people, effort %d: %+v after others, %+v alone", size, crew, effort, shared, alone)
					}
					if err == nil {
						feasible(t, shared)
					}
				}
			}
		}
	}
}

// With these people the work takes at least as long as the network alone, in every run.
func TestRosteredForecast(t *testing.T) {
	n := randomNetwork(t, rand.New(rand.NewPCG(5, 5)), 30, 2, 2)
	r, err := n.Roster(2)
	assert.NilError(t, err)
	times := r.Rostered().Times()
	if !near(times.Length, r.Length, 1e-6) || times.Length <= n.Times().Length {
		t.Errorf("the roster takes %v, its network %v, the work alone %v", r.Length, times.Length, n.Times().Length)
	}
	for _, b := range r.Bars {
		if w := times.Windows[b.Index]; !near(w.EarlyStart, b.Start, 1e-6) {
			t.Errorf("%s starts at %v, in the network at %v", b.Activity.Name, b.Start, w.EarlyStart)
		}
	}
}

// Slow: a network can be cut where everything before must end before anything after.
func TestSegmentsByDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	cuts := 0
	for range 200 {
		n := randomNetwork(t, r, 1+r.IntN(8), 1, 0)
		segments := n.segments()
		var all []int
		for k, segment := range segments {
			for _, i := range segment {
				for _, later := range segments[k+1:] {
					for _, j := range later {
						if !n.before(i, j) {
							t.Fatalf("%v: %d need not end before %d", segments, i, j)
						}
					}
				}
			}
			if !slices.IsSorted(segment) {
				t.Fatalf("%v", segments)
			}
			all = append(all, segment...)
			cuts++
			// No part of a segment stands before all the rest of it.
			for pick := 1; pick < 1<<len(segment)-1; pick++ {
				cut := true
				for a, i := range segment {
					for b, j := range segment {
						cut = cut && (pick>>a&1 == 0 || pick>>b&1 == 1 || n.before(i, j))
					}
				}
				if cut {
					t.Fatalf("%v can be cut further", segments)
				}
			}
		}
		if slices.Sort(all); len(all) != len(n.Activities) || len(slices.Compact(all)) != len(n.Activities) {
			t.Fatalf("%v of %d activities", segments, len(n.Activities))
		}
	}
	if cuts < 250 {
		t.Errorf("only %d segments in all", cuts)
	}
}

func TestSegments(t *testing.T) {
	graph := order.NewGraph(7)
	for _, e := range [][2]int{{0, 2}, {1, 2}, {2, 3}, {2, 4}, {3, 5}, {4, 5}, {3, 6}, {4, 6}} {
		graph.Add(e[0], e[1])
	}
	n := network(t, make([]Activity, 7), graph)
	if got := fmt.Sprint(n.segments()); got != "[[0 1] [2] [3 4] [5 6]]" {
		t.Errorf("segments %s", got)
	}
}
