package schedule

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"matchmark/procedure/order"
)

// fork is worked through by hand below:
//
//	0 (2 min) -> 2 (4 min) -> 4 (5 min, 2 people)
//	0         -> 3 (1 min)
//	1 (3 min) -> 3
func fork(t *testing.T) *load {
	graph := order.NewGraph(5)
	for _, e := range [][2]int{{0, 2}, {2, 4}, {0, 3}, {1, 3}} {
		graph.Add(e[0], e[1])
	}
	n := network(t, parallel(t, fixed(2), fixed(3), fixed(4), fixed(1), fixed(5)).Activities, graph)
	n.Activities[4].People = 2
	return whole(n, 2)
}

func TestPriorityRules(t *testing.T) {
	l := fork(t)
	for k, want := range [rules][]float64{
		{0, -1, -2, -3, -4},
		{11, 4, 9, 1, 5},   // minutes from the start to the end of all
		{9, 1, 5, 0, 0},    // from the end
		{3, 1, 1, 0, 0},    // how many follow
		{7, 4, 9, 1, 5},    // with those right after: 2+4+1, 3+1, 4+5
		{17, 4, 14, 1, 10}, // work with all that follow: 2+4+1+2·5, 3+1, 4+2·5
	} {
		got := l.priority(k)
		if k == 1 || k == 2 || k >= 4 {
			for i := range got {
				got[i] /= perMinute
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("rule %d: %v, want %v", k, got, want)
		}
	}
	for range 20 {
		moved := false
		for i, p := range l.priority(rules) {
			main := l.byLateStart()[i]
			if p > main || p < main*2/3 {
				t.Errorf("%v was shaken to %v", main, p)
			}
			moved = moved || p < main*0.99
		}
		if !moved {
			t.Error("nothing was shaken")
		}
	}
}

func TestListsByHand(t *testing.T) {
	l := fork(t)
	for _, c := range []struct{ priority, want []int }{
		{[]int{0, -1, -2, -3, -4}, []int{0, 1, 2, 3, 4}},
		{[]int{11, 4, 9, 1, 5}, []int{0, 2, 4, 1, 3}},
		{[]int{0, 9, 0, 9, 0}, []int{1, 0, 3, 2, 4}},
		{[]int{0, 0, 0, 0, 0}, []int{0, 1, 2, 3, 4}}, // equals: their place in the order
	} {
		priority := make([]float64, l.n)
		for i, p := range c.priority {
			priority[i] = float64(p)
		}
		if got := l.listBy(priority); !slices.Equal(got, c.want) {
			t.Errorf("priorities %v: %v, want %v", c.priority, got, c.want)
		}
	}
	// The rules, worked by hand; what an earlier rule gave already is not tried again.
	for k, want := range [rules][]int{{0, 1, 2, 3, 4}, {0, 2, 4, 1, 3}, {0, 2, 1, 3, 4}, nil, nil, nil} {
		if got := l.list(k); !slices.Equal(got, want) {
			t.Errorf("rule %d: list %v, want %v", k, got, want)
		}
	}
}

// slowSerial starts one activity after the other, each at the first minute at which
// everything is free for as long as it takes.
func slowSerial(n *Network, crew int, list []int, before [][]int) []int {
	starts, ends := make([]int, len(n.Activities)), make([]int, len(n.Activities))
	for k, i := range list {
		start, length := 0, minutesOf(n, i)
		for _, j := range before[i] {
			start = max(start, ends[j])
		}
		for !free(n, crew, list[:k], ends, i, start, length) {
			start++
		}
		starts[i], ends[i] = start, start+length
	}
	return starts
}

func inMinutes(starts []ticks) []int {
	out := make([]int, len(starts))
	for i, s := range starts {
		out[i] = int(s.minutes())
	}
	return out
}

func TestSerialScheduleMinuteByMinute(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 41))
	for k := range 60 {
		crew := 2 + r.IntN(3)
		n := randomNetwork(t, r, 2+r.IntN(20), 2, r.IntN(4))
		l := whole(n, crew)
		for range 5 {
			list := l.listBy(l.shaken())
			want := slowSerial(n, crew, list, n.prev)
			starts := l.serial(list, make([]ticks, l.n))
			if got := inMinutes(starts); !slices.Equal(got, want) {
				t.Fatalf("network %d, list %v: starts %v, want %v", k, list, got, want)
			}
			end := 0
			for i, s := range want {
				end = max(end, s+minutesOf(n, i))
			}
			if l.span(starts) != toTicks(float64(end)) {
				t.Fatalf("network %d: span %v, want %d", k, l.span(starts).minutes(), end)
			}
		}
	}
}

// slowJustified moves everything late and early, minute by minute, as generate says.
func slowJustified(n *Network, crew int, starts []int) []int {
	place := make([]int, len(starts))
	for k, i := range n.sorted {
		place[i] = k
	}
	span := func(starts []int) (end int) {
		for i, s := range starts {
			end = max(end, s+minutesOf(n, i))
		}
		return end
	}
	// lastFirst lists by end, of equal ends what stands last in the order.
	lastFirst := func(starts []int, sign int) []int {
		list := slices.Clone(n.sorted)
		slices.SortFunc(list, func(a, b int) int {
			return cmp.Or(cmp.Compare(starts[b]+minutesOf(n, b), starts[a]+minutesOf(n, a)), sign*cmp.Compare(place[b], place[a]))
		})
		return list
	}
	for {
		late := slowSerial(n, crew, lastFirst(starts, 1), n.next) // in time that runs backward
		early := slowSerial(n, crew, lastFirst(late, -1), n.prev)
		if span(early) >= span(starts) {
			return starts
		}
		starts = early
	}
}

func TestJustificationMinuteByMinute(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 42))
	shorter := 0
	for k := range 150 {
		n := randomNetwork(t, r, 6+r.IntN(14), 2, r.IntN(3))
		l := whole(n, 2)
		before := l.serial(l.sorted, l.starts0())
		span := l.span(before)
		want := slowJustified(n, 2, inMinutes(before))
		got := l.justified(before, 0)
		if !slices.Equal(inMinutes(got), want) {
			t.Fatalf("network %d: %v, want %v", k, inMinutes(got), want)
		}
		if l.span(got) < span {
			shorter++
		}
		// A schedule as short as the bound is not touched.
		if at := l.serial(l.sorted, l.starts0()); !slices.Equal(l.justified(at, span), at) {
			t.Fatalf("network %d: a schedule as short as the bound was moved", k)
		}
	}
	if shorter < 20 {
		t.Errorf("only %d schedules became shorter", shorter)
	}
}

// starts0 makes the room that generate makes.
func (l *load) starts0() []ticks {
	for i := range l.starts {
		l.starts[i] = zeroed(l.starts[i], l.n)
	}
	return l.starts[0]
}

// Of all that it tries, generate keeps the shortest, and of equals the first: the author's own order, if it can.
func TestGenerateKeepsTheFirstOfTheShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 43))
	later := 0
	for k := range 60 {
		n := randomNetwork(t, r, 8+r.IntN(10), 2, 2)
		const effort = exactPartial / 10
		tries := min(shakes/10, 20*len(n.Activities)) + rules
		l := whole(n, 2)
		var want []ticks
		first := 0
		for k := range tries {
			if list := l.list(k); list != nil {
				if starts := l.justified(l.serial(list, l.starts0()), 0); want == nil || l.span(starts) < l.span(want) {
					want, first = slices.Clone(starts), k
				}
			}
		}
		if first > 0 {
			later++
		}
		all := rules + l.mostShaken(effort)
		if got := whole(n, 2).generate(nil, 0, 0, all); !slices.Equal(got, want) {
			t.Errorf("network %d: %v, want %v of list %d", k, inMinutes(got), inMinutes(want), first)
		}
		// It stops at the bound, and the first schedule that reaches it stays.
		l = whole(n, 2)
		if got := l.generate(nil, l.span(want), 0, all); l.span(got) != l.span(want) || len(l.lists) != first+1 {
			t.Errorf("network %d: %v by %d lists, want %v by %d", k, l.span(got).minutes(), len(l.lists), l.span(want).minutes(), first+1)
		}
	}
	if later < 10 {
		t.Errorf("the author's order was the shortest in all but %d networks", later)
	}
}

// Time that runs backward has the same ways, the other way round.
func TestMirroredLoad(t *testing.T) {
	r := rand.New(rand.NewPCG(44, 44))
	for range 30 {
		n := randomNetwork(t, r, 1+r.IntN(9), 2, 2)
		l := whole(n, 2)
		back := l.mirrored()
		for i := range l.n {
			to, from := toTicks(float64(wayTo(n, i))), toTicks(float64(wayFrom(n, i)))
			if l.head[i] != to || l.after(i) != from || back.head[i] != from || back.after(i) != to {
				t.Errorf("ways of %d: %v and %v, mirrored %v and %v; want %v and %v", i, l.head[i], l.after(i), back.head[i], back.after(i), to, from)
			}
			if l.sorted[l.place[i]] != i || back.place[i] != l.n-1-l.place[i] {
				t.Errorf("place of %d: %d, mirrored %d", i, l.place[i], back.place[i])
			}
		}
		if back.mirrored() != l || l.mirrored() != back {
			t.Error("mirrored twice is another load")
		}
	}
}
