package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"matchmark/procedure/order"
)

// whole is the load of all activities of a network.
func whole(n *Network, crew int) *load {
	all := make([]int, len(n.Activities))
	for i := range all {
		all[i] = i
	}
	return n.load(all, make(Tickets, crew), new(room))
}

// demand is how much each activity takes of something, and how much of it there is.
type demand struct {
	capacity int
	of       []int
}

// demands lists the people and the single things of a network, the slow way.
func demands(n *Network, crew int) []demand {
	people := demand{crew, nil}
	things := map[string]demand{}
	for i := range n.Activities {
		people.of = append(people.of, max(n.Activities[i].People, 1))
		for _, thing := range n.Activities[i].Uses {
			d, ok := things[thing.ID]
			if !ok {
				d = demand{max(thing.Count, 1), make([]int, len(n.Activities))}
			}
			d.of[i] = max(thing.Pieces, 1)
			things[thing.ID] = d
		}
	}
	out := []demand{people}
	for _, d := range things {
		out = append(out, d)
	}
	return out
}

func minutesOf(n *Network, i int) int { return int(n.Activities[i].Time.Likely) }

// wayTo and wayFrom are the longest ways to an activity's start and from its end, in
// minutes, by trying every path.
func wayTo(n *Network, i int) (out int) {
	for _, j := range n.prev[i] {
		out = max(out, wayTo(n, j)+minutesOf(n, j))
	}
	return out
}

func wayFrom(n *Network, i int) (out int) {
	for _, j := range n.next[i] {
		out = max(out, wayFrom(n, j)+minutesOf(n, j))
	}
	return out
}

// reachable is the shortest sum of some of the times that is not below a bound, by trying every set of them.
func reachable(times []float64, bound float64) float64 {
	best := math.Inf(1)
	for pick := range 1 << len(times) {
		sum := 0.0
		for i, x := range times {
			if pick>>i&1 == 1 {
				sum += x
			}
		}
		if sum >= bound-same {
			best = min(best, sum)
		}
	}
	return best
}

// slowBound is what bound says, word by word: for every time h, every time q and every resource.
func slowBound(n *Network, crew int) float64 {
	size := len(n.Activities)
	out := 0.0
	times := make([]float64, size)
	for i := range size {
		times[i] = float64(minutesOf(n, i))
		out = max(out, float64(wayTo(n, i)+minutesOf(n, i)+wayFrom(n, i)))
	}
	for _, d := range demands(n, crew) {
		for first := range size {
			for last := range size {
				h, q, work := wayTo(n, first), wayFrom(n, last), 0
				for i := range size {
					if wayTo(n, i) >= h && wayFrom(n, i) >= q {
						work += d.of[i] * minutesOf(n, i)
					}
				}
				if work > 0 {
					out = max(out, float64(h+q)+float64(work)/float64(d.capacity))
				}
			}
		}
	}
	return reachable(times, max(out, slowShare(n, crew)))
}

// slowShare is what shareBound says, word by word.
func slowShare(n *Network, crew int) float64 {
	var long []int
	for i := range n.Activities {
		for range max(n.Activities[i].People, 1) {
			long = append(long, minutesOf(n, i))
		}
	}
	slices.Sort(long)
	slices.Reverse(long)
	out := 0
	for k := 1; k*crew+1 <= len(long); k++ {
		longest := slices.Clone(long[:k*crew+1])
		slices.Sort(longest)
		sum := 0
		for _, x := range longest[:k+1] {
			sum += x
		}
		out = max(out, sum)
	}
	return float64(out)
}

func TestBoundsAreWhatTheySay(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 31))
	for k := range 200 {
		crew := 2 + r.IntN(3)
		n := randomNetwork(t, r, 1+r.IntN(8), 2, r.IntN(3))
		l := whole(n, crew)
		if got, want := l.shareBound().minutes(), slowShare(n, crew); got != want {
			t.Errorf("network %d, %d people: by shares %v, want %v", k, crew, got, want)
		}
		if got, want := l.bound().minutes(), slowBound(n, crew); !near(got, want, 1e-9) {
			t.Errorf("network %d, %d people: bound %v, want %v", k, crew, got, want)
		}
	}
}

// Worked by hand, to the tick: 3 ticks before two activities of 5 that need one thing, and 2 after them.
func TestWorkBoundByHand(t *testing.T) {
	const tick = 1.0 / perMinute
	graph := order.NewGraph(4)
	for _, e := range [][2]int{{0, 1}, {0, 2}, {1, 3}, {2, 3}} {
		graph.Add(e[0], e[1])
	}
	l := whole(network(t, parallel(t, fixed(3*tick), fixed(5*tick), fixed(5*tick), fixed(2*tick)).Activities, graph), 2)
	for _, c := range []struct {
		work     []ticks
		capacity int
		want     ticks
	}{
		{[]ticks{0, 5, 5, 0}, 1, 15},
		{[]ticks{0, 5, 5, 0}, 2, 10},
		{[]ticks{0, 5, 4, 0}, 2, 10}, // four and a half are five ticks
		{[]ticks{0, 5, 0, 2}, 1, 10},
		{[]ticks{3, 5, 5, 2}, 2, 10}, // 3 + 10/2 + 2
		{[]ticks{3, 5, 5, 2}, 1, 15},
		{[]ticks{0, 0, 0, 0}, 1, 0},
	} {
		if got := l.workBound(c.work, c.capacity); got != c.want {
			t.Errorf("work %v over %d: %d, want %d", c.work, c.capacity, got, c.want)
		}
	}
}

// Worked by hand: four activities of 5 minutes and two people; each has two of them
// or one has three. Five, and one has three.
func TestShareBoundByHand(t *testing.T) {
	for count, want := range map[int]float64{2: 0, 3: 10, 4: 10, 5: 15} {
		if got := whole(parallel(t, repeated(fixed(5), count)...), 2).shareBound().minutes(); got != want {
			t.Errorf("%d activities: %v, want %v", count, got, want)
		}
	}
}

func TestApartIsWhatItSays(t *testing.T) {
	r := rand.New(rand.NewPCG(32, 32))
	for k := range 100 {
		crew := 2 + r.IntN(2)
		n := randomNetwork(t, r, 1+r.IntN(10), 2, r.IntN(3))
		got, byNeeds := whole(n, crew).apart()
		want := false
		for i := range n.Activities {
			for j := range n.Activities {
				ordered := n.before(i, j) || n.before(j, i)
				tooMuch := false
				for _, d := range demands(n, crew) {
					tooMuch = tooMuch || i != j && d.of[i] > 0 && d.of[j] > 0 && d.of[i]+d.of[j] > d.capacity
				}
				want = want || tooMuch && !ordered
				if got[i].has(j) != (ordered || tooMuch) {
					t.Fatalf("network %d: %d and %d apart: %v, ordered %v, too much %v", k, i, j, got[i].has(j), ordered, tooMuch)
				}
			}
		}
		if byNeeds != want {
			t.Errorf("network %d: apart by needs: %v, want %v", k, byNeeds, want)
		}
	}
}

// sharing makes each pair of activities use a thing of its own.
func sharing(n *Network, pairs ...[2]int) *Network {
	for k, pair := range pairs {
		for _, i := range pair {
			n.Activities[i].Uses = append(n.Activities[i].Uses, Use{Thing: Thing{ID: strconv.Itoa(k)}})
		}
	}
	return n
}

func TestApartBoundByHand(t *testing.T) {
	// Any two of the three share a thing, so they go one after the other; each thing alone is busy for 10 minutes.
	l := whole(sharing(parallel(t, fixed(5), fixed(5), fixed(5)), [2]int{0, 1}, [2]int{1, 2}, [2]int{0, 2}), 3)
	if bound := l.bound(); bound.minutes() != 10 || l.apartBound(bound).minutes() != 15 {
		t.Errorf("bound %v, by sets %v, want 10 and 15", bound.minutes(), l.apartBound(bound).minutes())
	}
	// Each has a short one beside it that it cannot overlap either: the long ones count.
	l = whole(sharing(parallel(t, fixed(5), fixed(5), fixed(5), fixed(1), fixed(1), fixed(1)),
		[2]int{0, 1}, [2]int{1, 2}, [2]int{0, 2}, [2]int{0, 3}, [2]int{1, 4}, [2]int{2, 5}), 6)
	if got := l.apartBound(l.bound()).minutes(); got != 15 {
		t.Errorf("with short ones beside them %v, want 15", got)
	}
	// The same after 2 minutes of something else, and before 3 others.
	n := sharing(parallel(t, fixed(5), fixed(5), fixed(5), fixed(2), fixed(3)), [2]int{0, 1}, [2]int{1, 2}, [2]int{0, 2})
	graph := order.NewGraph(5)
	for i := range 3 {
		graph.Add(3, i)
		graph.Add(i, 4)
	}
	l = whole(network(t, n.Activities, graph), 3)
	if got := l.apartBound(l.bound()).minutes(); got != 20 {
		t.Errorf("between two others %v, want 20", got)
	}
	// A higher bound stays; so does one that no set raises, and one of a network too large to look for sets.
	if got := l.apartBound(toTicks(20)); got != toTicks(20) {
		t.Errorf("a bound of 20 became %v", got.minutes())
	}
	if got := whole(parallel(t, fixed(4), fixed(4)), 2).apartBound(toTicks(4.5)); got != toTicks(4.5) {
		t.Errorf("a bound of 4.5 that no set raises became %v", got.minutes())
	}
	for size, want := range map[int]float64{cliqueLimit: 15, cliqueLimit + 1: 10} {
		l := whole(sharing(parallel(t, append(repeated(fixed(5), 3), repeated(fixed(1), size-3)...)...), [2]int{0, 1}, [2]int{1, 2}, [2]int{0, 2}), size)
		if got := l.apartBound(toTicks(10)).minutes(); got != want {
			t.Errorf("among %d activities %v, want %v", size, got, want)
		}
	}
}

func TestSchedulesEndAtSums(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 33))
	for range 300 {
		var times []float64
		n := parallel(t)
		short := 0
		for range 1 + r.IntN(6) {
			x := float64(r.IntN(8))
			if x == 0 { // stands for no time, and counts as one tick
				short++
			} else {
				times = append(times, x)
			}
			n.Activities = append(n.Activities, Activity{Time: fixed(x)})
		}
		n = network(t, n.Activities, order.NewGraph(len(n.Activities)))
		bound := ticks(r.IntN(20 * perMinute))
		want := bound
		if at := reachable(times, (bound - ticks(short)).minutes()); !math.IsInf(at, 1) {
			want = max(bound, toTicks(at))
		}
		if got := whole(n, 1).endFrom(bound); got != want {
			t.Errorf("times %v and %d of no time: from %v on ends at %v, want %v", times, short, bound.minutes(), got.minutes(), want.minutes())
		}
	}
}

// Past the limit the set of sums is not looked at, and the bound stays.
func TestTooManySums(t *testing.T) {
	const tick = 1.0 / perMinute
	for all, want := range map[float64]ticks{sumsLimit: 7, sumsLimit + 1: 6} {
		l := whole(parallel(t, fixed(2*tick), fixed(5*tick), fixed((all-7)*tick)), 1)
		if got := l.endFrom(6); got != want {
			t.Errorf("%v ticks in all: from 6 on ends at %d, want %d", all, got, want)
		}
	}
}

// An activity that stands for no time may come on top of a sum, and makes no other sum: 2 and 5 ticks give 0, 2, 5 and 7.
func TestNoTimeMakesNoSum(t *testing.T) {
	const tick = 1.0 / perMinute
	l := whole(parallel(t, fixed(2*tick), fixed(5*tick), fixed(0)), 1)
	for bound, want := range map[ticks]ticks{2: 2, 3: 3, 4: 5, 5: 5, 6: 6, 7: 7, 8: 8, 9: 9} {
		if got := l.endFrom(bound); got != want {
			t.Errorf("from %d on ends at %d, want %d", bound, got, want)
		}
	}
}

func TestCeil(t *testing.T) {
	for _, c := range []struct {
		work ticks
		by   int
		want ticks
	}{{0, 3, 0}, {1, 3, 1}, {3, 3, 1}, {4, 3, 2}, {7, 1, 7}, {8, 2, 4}, {9, 2, 5}} {
		if got := ceil(c.work, c.by); got != c.want {
			t.Errorf("%d by %d: %d, want %d", c.work, c.by, got, c.want)
		}
	}
}
