package schedule

import (
	"cmp"
	"math"
	"slices"
)

// Of the effort for a roster, a part goes to partial schedules of the search in
// order, and a part to contradictions of the learner, each of which costs more. The
// learner's steps grow with the square of the activities.
const (
	exactShare = 40
	learnShare = 32
	learnLimit = 120
)

// learner looks for a schedule that ends by a deadline, and proves when there is
// none. It narrows the times at which each activity can start; where that settles
// nothing it supposes that one starts at its earliest. What led to a contradiction is
// cut down to what it needs and kept, so that no part of it is tried again.
//
// Times are counted in units that divide all lengths. A fact about an activity is a
// bound of its start. Bound 2i is the earliest start of activity i, bound 2i+1 its
// latest start with the sign turned, so that every bound only ever grows; fact
// {x, v} says that bound x is at least v.
//
// Source: clause learning with explanations for cumulative resources, Schutt, Feydy,
// Stuckey and Wallace, 2011; overload rule for energy, Baptiste, Le Pape and Nuijten,
// 2001 (from memory).
type learner struct {
	*load
	unit   ticks
	last   int   // the deadline
	time   []int // of each activity, in units
	bounds []int
	trail  []change
	levels []level
	// done is up to which change everything was propagated.
	done int
	// apart are, activity by activity, the others that can never overlap with it by what they need.
	apart   [][]int
	shared  []sharedResource
	nogoods [][]fact
	watches [][]watch
	// weight says how often an activity took part in contradictions of late.
	weight []float64
	grow   float64
	queued []bool // activities whose bounds have changed
	queue  []int
	edges  []edge
	found  []ticks
}

type fact struct{ bound, least int }

func (f fact) not() fact { return fact{f.bound ^ 1, 1 - f.least} }

// change is a step of the trail: a bound that grew, and why.
type change struct {
	bound, old int
	why        reason
}

// level is the state before a supposition.
type level struct {
	bounds []int
	trail  int
}

type reasonKind uint8

const (
	_ reasonKind = iota // supposed, or known from the start
	// ordered: activity other is before or after this one.
	ordered
	// setApart: this one and the other cannot overlap, and one of the two orders is impossible.
	setApart
	// crowded: at a time the resource is taken by others.
	crowded
	// taught: all other facts of a nogood hold.
	taught
)

type reason struct {
	kind reasonKind
	// other is an activity, a place in shared or a nogood.
	other int
	at    int
}

// sharedResource is one that several activities can use at once.
type sharedResource struct {
	capacity int
	needs    []int // of each activity
	// pairs is true when activities that cannot overlap are known by apart already.
	pairs bool
	users []int
	// byEnd holds the users by their latest ends, as they were last.
	byEnd []int
}

// insertionSort sorts a short list, or one that is nearly sorted.
func insertionSort[T any](list []T, less func(a, b T) bool) {
	for i := 1; i < len(list); i++ {
		for j := i; j > 0 && less(list[j], list[j-1]); j-- {
			list[j], list[j-1] = list[j-1], list[j]
		}
	}
}

type watch struct{ nogood, least int }

type edge struct{ at, amount int }

// shorten looks for schedules shorter than the given one until there is none, or until it
// has looked into so many contradictions. ok is true when none is shorter than the result.
func (l *load) shorten(starts []ticks, bound ticks, contradictions int) (best []ticks, ok bool) {
	s := l.allSums()
	if s.short > 0 || s.unit == 0 || s.all/s.unit > sumsLimit {
		return starts, false
	}
	k := newLearner(l, s.unit)
	best = starts
	span := l.span(starts)
	for span > bound {
		if !k.endBy(int((span - 1) / s.unit)) {
			return best, true
		}
		found, decided := k.search(&contradictions)
		if !found {
			return best, decided
		}
		best, span = k.found, l.span(k.found)
	}
	return best, true
}

func newLearner(l *load, unit ticks) *learner {
	k := &learner{
		load: l, unit: unit, time: make([]int, l.n), bounds: make([]int, 2*l.n), apart: make([][]int, l.n),
		watches: make([][]watch, 2*l.n), weight: make([]float64, l.n), grow: 1, queued: make([]bool, l.n),
	}
	for i, x := range l.length {
		k.time[i] = int(x / unit)
		k.bounds[2*i] = int(l.head[i] / unit)
		k.bounds[2*i+1] = math.MinInt32
	}
	for i := range l.n {
		for j := range i {
			if !l.earlier[i].has(j) && !l.earlier[j].has(i) && l.tooMuch(i, j) {
				k.apart[i], k.apart[j] = append(k.apart[i], j), append(k.apart[j], i)
			}
		}
	}
	for r, capacity := range l.capacity {
		s := sharedResource{capacity: capacity, needs: make([]int, l.n)}
		least := math.MaxInt
		for i, needs := range l.needs {
			for _, n := range needs {
				if n.resource == r {
					s.needs[i] = n.amount
					s.users = append(s.users, i)
					least = min(least, n.amount)
				}
			}
		}
		s.pairs = 2*least > capacity
		if len(s.users) > 1 {
			s.byEnd = slices.Clone(s.users)
			k.shared = append(k.shared, s)
		}
	}
	return k
}

// endBy sets a deadline that is earlier than any before it. It returns false when that cannot be kept.
func (k *learner) endBy(deadline int) bool {
	k.last = deadline
	k.backTo(0)
	for i := range k.n {
		if !k.raise(fact{2*i + 1, int(k.tail[i]/k.unit) - deadline}, reason{}) {
			return false
		}
	}
	// What is known without a supposition needs no reason any more.
	return k.propagate() == nil
}

// search returns whether it found a schedule that keeps the deadline and, when not,
// whether there is none.
func (k *learner) search(contradictions *int) (found, decided bool) {
	const first = 30 // contradictions before the search begins anew
	restart, run := first, 0
	for {
		conflict := k.propagate()
		switch {
		case conflict == nil && run >= restart:
			run, restart = 0, restart+restart/2
			k.backTo(0)
		case conflict == nil:
			i := k.choose()
			if i < 0 {
				k.found = make([]ticks, k.n)
				for i := range k.found {
					k.found[i] = ticks(k.bounds[2*i]) * k.unit
				}
				return true, true
			}
			k.levels = append(k.levels, level{slices.Clone(k.bounds), len(k.trail)})
			k.raise(fact{2*i + 1, -k.bounds[2*i]}, reason{})
		case len(k.levels) == 0:
			return false, true
		default:
			if *contradictions--; *contradictions < 0 {
				return false, false
			}
			run++
			k.learn(conflict)
		}
	}
}

// choose picks the activity that is to start at its earliest; -1 when all have their start.
func (k *learner) choose() int {
	best := -1
	for i := range k.n {
		if k.bounds[2*i]+k.bounds[2*i+1] == 0 {
			continue
		}
		if best < 0 || cmp.Or(cmp.Compare(k.weight[best], k.weight[i]), cmp.Compare(k.bounds[2*i], k.bounds[2*best]), cmp.Compare(k.tail[best], k.tail[i])) < 0 {
			best = i
		}
	}
	return best
}

// backTo takes back all suppositions from a level on.
func (k *learner) backTo(to int) {
	if to < len(k.levels) {
		copy(k.bounds, k.levels[to].bounds)
		k.trail = k.trail[:k.levels[to].trail]
		k.levels = k.levels[:to]
		k.done = len(k.trail)
	}
	k.done = min(k.done, len(k.trail))
	for _, i := range k.queue {
		k.queued[i] = false
	}
	k.queue = k.queue[:0]
}

// raise makes a fact hold. It returns false when that contradicts what is known.
func (k *learner) raise(f fact, why reason) bool {
	old := k.bounds[f.bound]
	if f.least <= old {
		return true
	}
	k.trail = append(k.trail, change{f.bound, old, why})
	k.bounds[f.bound] = f.least
	return f.least+k.bounds[f.bound^1] <= 0
}

// crossed takes back the last change, which crossed the other bound of its activity, and
// returns the facts that contradict each other.
func (k *learner) crossed() []fact {
	c := k.trail[len(k.trail)-1]
	v := k.bounds[c.bound]
	k.trail = k.trail[:len(k.trail)-1]
	k.bounds[c.bound] = c.old
	return k.explain([]fact{{c.bound ^ 1, 1 - v}}, c, fact{c.bound, v})
}

// propagate draws all conclusions. It returns the facts that contradict each other, if any.
func (k *learner) propagate() []fact {
	for {
		for k.done < len(k.trail) {
			c := k.trail[k.done]
			k.done++
			if conflict := k.follow(c.bound); conflict != nil {
				return conflict
			}
		}
		before := len(k.trail)
		for r := range k.shared {
			if k.shared[r].pairs {
				continue
			}
			if conflict := k.crowd(r); conflict != nil {
				return conflict
			}
		}
		if len(k.trail) > before {
			continue
		}
		for r := range k.shared {
			if conflict := k.overload(r); conflict != nil {
				return conflict
			}
		}
		return nil
	}
}

// follow draws the conclusions from a bound that grew: by nogoods, order and pairs.
func (k *learner) follow(x int) []fact {
	if conflict := k.recall(x); conflict != nil {
		return conflict
	}
	i, v := x/2, k.bounds[x]
	if x&1 == 0 {
		for _, j := range k.next[i] {
			if !k.raise(fact{2 * j, v + k.time[i]}, reason{ordered, i, 0}) {
				return k.crossed()
			}
		}
	} else {
		for _, j := range k.prev[i] {
			if !k.raise(fact{2*j + 1, v + k.time[j]}, reason{ordered, i, 0}) {
				return k.crossed()
			}
		}
	}
	for _, j := range k.apart[i] {
		for _, pair := range [2][2]int{{i, j}, {j, i}} {
			if !k.behind(pair[0], pair[1]) {
				return k.crossed()
			}
		}
	}
	return nil
}

// behind puts i behind j when it cannot come before it.
func (k *learner) behind(i, j int) bool {
	if k.bounds[2*i]+k.time[i] <= -k.bounds[2*j+1] {
		return true
	}
	at := k.bounds[2*i]
	return k.raise(fact{2 * i, k.bounds[2*j] + k.time[j]}, reason{setApart, j, at}) &&
		k.raise(fact{2*j + 1, k.bounds[2*i+1] + k.time[j]}, reason{setApart, i, at})
}

// recall draws the conclusions from nogoods.
func (k *learner) recall(x int) []fact {
	list := k.watches[x]
	keep := list[:0]
	for at, w := range list {
		if w.least > k.bounds[x] {
			keep = append(keep, w)
			continue
		}
		g := k.nogoods[w.nogood]
		if g[0] == (fact{x, w.least}) {
			g[0], g[1] = g[1], g[0]
		}
		moved := false
		for m := 2; m < len(g); m++ {
			if g[m].least > k.bounds[g[m].bound] {
				g[1], g[m] = g[m], g[1]
				k.watches[g[1].bound] = append(k.watches[g[1].bound], watch{w.nogood, g[1].least})
				moved = true
				break
			}
		}
		if moved {
			continue
		}
		keep = append(keep, w)
		if g[0].least <= k.bounds[g[0].bound] || !k.raise(g[0].not(), reason{taught, w.nogood, 0}) {
			var conflict []fact
			if g[0].least <= k.bounds[g[0].bound] {
				conflict = slices.Clone(g)
			} else {
				conflict = k.crossed()
			}
			k.watches[x] = append(keep, list[at+1:]...)
			return conflict
		}
	}
	k.watches[x] = keep
	return nil
}

// crowd keeps activities away from times at which a resource is taken by others.
func (k *learner) crowd(r int) []fact {
	s := &k.shared[r]
	k.edges = k.edges[:0]
	for _, i := range s.users {
		if from, to := -k.bounds[2*i+1], k.bounds[2*i]+k.time[i]; from < to {
			k.edges = append(k.edges, edge{from, s.needs[i]}, edge{to, -s.needs[i]})
		}
	}
	insertionSort(k.edges, func(a, b edge) bool { return a.at < b.at })
	used := 0
	for e := 0; e < len(k.edges); {
		at := k.edges[e].at
		for ; e < len(k.edges) && k.edges[e].at == at; e++ {
			used += k.edges[e].amount
		}
		if e == len(k.edges) {
			break
		}
		end := k.edges[e].at
		if used > s.capacity {
			return k.crowdAt(nil, r, -1, at, s.capacity)
		}
		for _, i := range s.users {
			if used+s.needs[i] <= s.capacity || k.bounds[2*i]+k.bounds[2*i+1] == 0 {
				continue
			}
			if from, to := -k.bounds[2*i+1], k.bounds[2*i]+k.time[i]; from < to && from <= at && at < to {
				continue // its own part
			}
			for lo := k.bounds[2*i]; lo < end && lo+k.time[i] > at; lo = k.bounds[2*i] {
				point := min(lo+k.time[i], end) - 1
				if !k.raise(fact{2 * i, point + 1}, reason{crowded, r, point}) {
					return k.crossed()
				}
			}
			for hi := -k.bounds[2*i+1]; hi < end && hi+k.time[i] > at; hi = -k.bounds[2*i+1] {
				point := max(hi, at)
				if !k.raise(fact{2*i + 1, k.time[i] - point}, reason{crowded, r, point}) {
					return k.crossed()
				}
			}
		}
	}
	return nil
}

// crowdAt adds the facts by which others than activity i take more than an amount of a resource at a time.
func (k *learner) crowdAt(out []fact, r, i, at, amount int) []fact {
	s := &k.shared[r]
	for round := range 2 { // first those that need no supposition
		for _, j := range s.users {
			if amount < 0 {
				return out
			}
			if j == i || -k.bounds[2*j+1] > at || k.bounds[2*j]+k.time[j] <= at {
				continue
			}
			a, b := fact{2 * j, at - k.time[j] + 1}, fact{2*j + 1, -at}
			if sure := k.sure(a) && k.sure(b); sure != (round == 0) {
				continue
			}
			out = append(out, a, b)
			amount -= s.needs[j]
		}
	}
	return out
}

// sure reports whether a fact needs no supposition.
func (k *learner) sure(f fact) bool {
	if len(k.levels) == 0 {
		return true
	}
	return k.levels[0].bounds[f.bound] >= f.least
}

// overload looks for a stretch of time that is too short for the work that lies in it.
func (k *learner) overload(r int) []fact {
	s := &k.shared[r]
	insertionSort(s.byEnd, func(a, b int) bool { return k.time[a]-k.bounds[2*a+1] < k.time[b]-k.bounds[2*b+1] })
	for _, first := range s.users {
		from, work := k.bounds[2*first], 0
		for n, i := range s.byEnd {
			if k.bounds[2*i] < from {
				continue
			}
			work += k.time[i] * s.needs[i]
			to := k.time[i] - k.bounds[2*i+1]
			if work <= s.capacity*(to-from) {
				continue
			}
			var out []fact
			for _, j := range s.byEnd[:n+1] {
				if k.bounds[2*j] >= from {
					out = append(out, fact{2 * j, from}, fact{2*j + 1, k.time[j] - to})
				}
			}
			return out
		}
	}
	return nil
}

// explain adds the facts from which a change was concluded, as far as they are needed for a fact.
// The state is that before the change.
func (k *learner) explain(out []fact, c change, f fact) []fact {
	i := f.bound / 2
	switch c.why.kind {
	case ordered:
		j := c.why.other
		if f.bound&1 == 0 {
			return append(out, fact{2 * j, f.least - k.time[j]})
		}
		return append(out, fact{2*j + 1, f.least - k.time[i]})
	case setApart:
		j, at := c.why.other, c.why.at
		if f.bound&1 == 0 { // i is behind j
			return append(out, fact{2 * j, f.least - k.time[j]}, fact{2 * i, at}, fact{2*j + 1, 1 - at - k.time[i]})
		}
		// j is behind i
		return append(out, fact{2*j + 1, f.least - k.time[i]}, fact{2 * j, at}, fact{2*i + 1, 1 - at - k.time[j]})
	case crowded:
		r, at := c.why.other, c.why.at
		s := &k.shared[r]
		if f.bound&1 == 0 {
			out = append(out, fact{2 * i, at - k.time[i] + 1})
		} else {
			out = append(out, fact{2*i + 1, -at})
		}
		return k.crowdAt(out, r, i, at, s.capacity-s.needs[i])
	case taught:
		for _, g := range k.nogoods[c.why.other] {
			if g.not().bound != f.bound || g.not().least < f.least {
				out = append(out, g)
			}
		}
	}
	return out
}

// learn finds what a contradiction comes down to, keeps it, and goes back to where it says something new.
func (k *learner) learn(conflict []fact) {
	need := make([]int, 2*k.n) // the facts that contradict each other, by bound
	for x := range need {
		need[x] = math.MinInt
	}
	here := k.levels[len(k.levels)-1].bounds // before the last supposition
	late := 0                                // how many of them need the last supposition
	add := func(f fact) {
		if k.sure(f) || need[f.bound] >= f.least {
			return
		}
		if need[f.bound] <= here[f.bound] && f.least > here[f.bound] {
			late++
		}
		need[f.bound] = f.least
		k.weight[f.bound/2] += k.grow
	}
	for _, f := range conflict {
		add(f)
	}
	var why []fact
	for {
		c := k.trail[len(k.trail)-1]
		k.trail = k.trail[:len(k.trail)-1]
		k.bounds[c.bound] = c.old
		v := need[c.bound]
		if v <= c.old {
			continue
		}
		if late == 1 {
			break
		}
		need[c.bound] = math.MinInt
		late--
		for _, f := range k.explain(why[:0], c, fact{c.bound, v}) {
			add(f)
		}
	}
	k.grow *= 1.05
	if k.grow > 1e100 {
		for i := range k.weight {
			k.weight[i] /= 1e100
		}
		k.grow = 1
	}
	// The fact that needs the last supposition goes first, the latest of the others second.
	var nogood []fact
	to, second := 0, 0
	for x, v := range need {
		if v == math.MinInt {
			continue
		}
		f := fact{x, v}
		if v > here[x] {
			nogood = append([]fact{f}, nogood...)
			second++
			continue
		}
		nogood = append(nogood, f)
	}
	for m := 1; m < len(nogood); m++ {
		at := 0
		for at < len(k.levels) && k.levels[at].bounds[nogood[m].bound] < nogood[m].least {
			at++
		}
		if at > to {
			to = at
			nogood[1], nogood[m] = nogood[m], nogood[1]
		}
	}
	k.backTo(to)
	if len(nogood) == 1 {
		k.raise(nogood[0].not(), reason{})
		return
	}
	id := len(k.nogoods)
	k.nogoods = append(k.nogoods, nogood)
	for _, f := range nogood[:2] {
		k.watches[f.bound] = append(k.watches[f.bound], watch{id, f.least})
	}
	k.raise(nogood[0].not(), reason{taught, id, 0})
}
