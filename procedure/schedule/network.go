package schedule

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/order"
)

// Activity is one piece of work of a network.
type Activity struct {
	Name string
	// Step is the job's step; nil in a network that is not a job's.
	Step *procedure.Step
	Time procedure.Estimate
	// People is how many it takes at the same time; less than 1 counts as 1.
	People int
	// Who are the trades of its people, each that of another one.
	Who []string
	// If, Skips and Rounds say when it is left out, how likely, and how often it comes again; as in procedure.Step.
	If     procedure.When
	Skips  float64
	Rounds procedure.Estimate
	// Group is the first step of the round that it is in; empty for none.
	Group string
	// Wait is what it waits for: it takes nobody but who has to stay. Nil for work.
	Wait *procedure.Wait
	// Uses are things of which there are only so many; each is named once.
	Uses []Use
}

// Thing is something of which there are only so many pieces: a tool, or a support.
type Thing struct {
	ID, Name string
	// Count is how many there are; less than 1 counts as 1.
	Count int
}

// count is how many pieces there are.
func (t Thing) count() int { return max(t.Count, 1) }

// Use is what an activity takes of a thing while it lasts.
type Use struct {
	Thing
	// Pieces is how many it takes; less than 1 counts as 1.
	Pieces int
}

// pieces is how many it takes.
func (u Use) pieces() int { return max(u.Pieces, 1) }

// crew is how many people the activity takes.
func (a *Activity) crew() int {
	if a.Wait != nil {
		return a.People
	}
	return max(a.People, len(a.Who), 1)
}

// Expected is the activity's expected time in minutes, and Deviation its standard deviation.
func (a *Activity) Expected() float64 {
	mean, _ := weighed(a.Time, a.Skips, a.Rounds)
	return mean
}

// Deviation is the standard deviation of the activity's time, in minutes.
func (a *Activity) Deviation() float64 {
	_, deviation := weighed(a.Time, a.Skips, a.Rounds)
	return deviation
}

// Network is a set of activities with the order that some of them must keep: an
// activity-on-node network. It never changes once built.
type Network struct {
	Activities []Activity
	// sorted is an order that the network allows, next and prev the edges, each list ascending.
	sorted     []int
	next, prev [][]int
	// earlier holds, for each activity, all that must come before it.
	earlier []set
	// chances are how likely each name of the activities' conditions is yes.
	chances map[string]float64
}

// link makes a network of edges and an order that they allow.
func link(activities []Activity, sorted []int, next [][]int) *Network {
	n := &Network{Activities: activities, sorted: sorted, next: next, prev: make([][]int, len(next))}
	edges := 0
	count := make([]int, len(next))
	for _, to := range next {
		edges += len(to)
		for _, j := range to {
			count[j]++
		}
	}
	room := make([]int, edges)
	for j, c := range count {
		n.prev[j], room = room[:0:c], room[c:]
	}
	for i, to := range next {
		for _, j := range to {
			n.prev[j] = append(n.prev[j], i)
		}
	}
	n.earlier = earlier(sorted, n.prev)
	return n
}

// before reports whether u must come before v, directly or through others.
func (n *Network) before(u, v int) bool { return n.earlier[v].has(u) }

// Ordered returns the network of a job: its steps, in the order that order.NewPrecedence works
// out, with the tools and the supports that they use. Of a tool there is what the
// machine's register says (procedure.Tool.Pieces), since that lies ready; of a support
// there is one. Protection is taken once for each of a step's people, as far as it goes.
//
// A support is busy through each step that names it. What it carries from one
// step to a later one is a matter of order: the steps that put it on and take it
// away are in a fixed order already, and a step that lists it only among its tools
// keeps its written place among them.
func Ordered(job *procedure.Job, p *order.Precedence) *Network {
	activities := make([]Activity, len(job.Steps))
	sorted := make([]int, len(job.Steps)) // as written: every edge leads to a later step
	for i, s := range job.Steps {
		activities[i] = Activity{
			Name: s.Title, Step: s, Time: s.Time, People: s.People, Who: tradesOf(s), Uses: uses(job, s),
			If: s.If, Skips: s.Skips, Rounds: s.Round.Rounds, Group: s.Round.First,
		}
		sorted[i] = i
	}
	next := make([][]int, len(job.Steps))
	for _, e := range p.Edges() {
		next[e.From] = append(next[e.From], e.To)
	}
	keepPlace(job, next)
	var chances map[string]float64
	if slices.ContainsFunc(job.Steps, func(s *procedure.Step) bool { return s.If != "" }) {
		chances = job.Procedure.Chances()
	}
	rounds(job, next)
	n := link(waits(job, activities, sorted, next))
	n.chances = chances
	return n
}

func tradesOf(s *procedure.Step) (ids []string) {
	for _, r := range s.Trades() {
		ids = append(ids, r.ID)
	}
	return ids
}

// rounds keeps the steps of a round together: what comes before one of them comes before all, and what comes after one after all.
func rounds(job *procedure.Job, next [][]int) {
	for i := 0; i < len(job.Steps); i++ {
		first := job.Steps[i].Round.First
		if first == "" {
			continue
		}
		last := i
		for last+1 < len(job.Steps) && job.Steps[last+1].Round.First == first {
			last++
		}
		for k := range next {
			for _, to := range slices.Clone(next[k]) {
				switch {
				case k < i && to >= i && to <= last:
					next[k] = insert(next[k], i)
				case k >= i && k <= last && to > last:
					next[last] = insert(next[last], to)
				}
			}
		}
		for k := i; k < last; k++ {
			next[k] = insert(next[k], k+1)
		}
		i = last
	}
}

// waits adds an activity behind all others for each wait of the job: it follows its step, and comes before what may not be touched
// meanwhile, or before all that follows from the step.
func waits(job *procedure.Job, activities []Activity, sorted []int, next [][]int) ([]Activity, []int, [][]int) {
	for i, s := range job.Steps {
		w := s.Wait()
		if w == nil {
			continue
		}
		minutes := w.Time.Float("min")
		at := len(activities)
		activities = append(activities, Activity{
			Name: s.Title, Step: s, Wait: w, People: w.People, Time: procedure.Estimate{Optimistic: minutes, Likely: minutes, Pessimistic: minutes},
			If: s.If.And(w.If), Skips: s.Skips, Rounds: s.Round.Rounds, Group: s.Round.First,
		})
		var held []int
		if len(w.On) == 0 {
			held = slices.Clone(next[i])
		}
		for k := i + 1; k < len(job.Steps); k++ {
			if len(w.On) > 0 && w.Holds(job.Steps[k]) {
				held = append(held, k)
			}
		}
		next[i] = append(next[i], at)
		next = append(next, held)
		sorted = slices.Insert(sorted, slices.Index(sorted, i)+1, at)
	}
	return activities, sorted, next
}

// insert puts a number into an ascending list that may hold it already.
func insert(list []int, x int) []int {
	if at, found := slices.BinarySearch(list, x); !found {
		return slices.Insert(list, at, x)
	}
	return list
}

// uses lists the tools and the supports that a step names, in its own order, each once.
func uses(job *procedure.Job, s *procedure.Step) []Use {
	var out []Use
	add := func(refs []procedure.Ref) {
		for _, r := range refs {
			if u, ok := use(job, s, r.ID); ok && !slices.ContainsFunc(out, func(o Use) bool { return o.ID == u.ID }) {
				out = append(out, u)
			}
		}
	}
	add(s.Tools)
	for _, a := range s.Actions() {
		add(a.With)
	}
	return out
}

// Together reports whether there are tools and supports enough for two steps of a job at the same time.
func Together(job *procedure.Job, a, b *procedure.Step) bool {
	for _, u := range uses(job, a) {
		for _, v := range uses(job, b) {
			if u.ID == v.ID && u.pieces()+v.pieces() > u.count() {
				return false
			}
		}
	}
	return true
}

// use is what a step takes of a thing that it names; ok is false for things that limit nothing.
func use(job *procedure.Job, s *procedure.Step, id string) (u Use, ok bool) {
	if job.Machine == nil {
		return Use{}, false
	}
	switch t := job.Machine.Thing(id); {
	case t == nil:
		return Use{}, false
	case t.Tool != nil:
		pieces, limited := t.Tool.Pieces()
		u = Use{Thing{ID: t.Row.ID, Name: t.Row.Name, Count: pieces}, 1}
		if t.Tool.Kind == procedure.Protection {
			u.Pieces = min(max(s.People, 1), pieces)
		}
		return u, limited
	case t.Support != nil && !lifting.Hands(t.Support):
		return Use{Thing{ID: t.Row.ID, Name: t.Row.Name, Count: 1}, 1}, true
	}
	return Use{}, false
}

// keepPlace adds the written order between the steps that list a support among
// their tools and those that put it on a part or take it away.
func keepPlace(job *procedure.Job, next [][]int) {
	for i, s := range job.Steps {
		for _, r := range s.Tools {
			if job.Machine == nil {
				continue
			}
			if t := job.Machine.Thing(r.ID); t == nil || t.Support == nil || lifting.Hands(t.Support) {
				continue
			}
			for j, other := range job.Steps {
				if i != j && acts(other, r.ID) {
					next[min(i, j)] = insert(next[min(i, j)], max(i, j))
				}
			}
		}
	}
}

// acts reports whether an action of the step names the thing after its preposition.
func acts(s *procedure.Step, id string) bool {
	return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
		return slices.ContainsFunc(a.With, func(r procedure.Ref) bool { return r.ID == id })
	})
}
