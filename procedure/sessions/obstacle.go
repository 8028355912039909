package sessions

import (
	"cmp"
	"math"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// candidates is how many single steps an obstacle proposes at most.
const candidates = 3

// Obstacle is a run of work without a safe stop inside that does not fit into any session.
type Obstacle struct {
	// Item is where the run begins.
	Item *Item
	// From and To are its first and last step; nil for an item without steps.
	From, To *procedure.Step
	// Expected and Deviation are those of the run's work.
	Expected, Deviation float64
	// Needs is how long a session for it would have to be, at the stated confidence.
	Needs float64
	// Stops are the steps that would have to become safe stops so that a split
	// exists: as few as possible, chosen like the ends of sessions. None when even
	// all steps would not do.
	Stops []Proposal
	// Others are single steps that would do instead of the only one in Stops, the best first.
	Others []Proposal
	// TooLong are the runs that no safe stop can help with: single steps longer
	// than a session, or steps between which a load hangs.
	TooLong []Long
}

// Proposal is a step after which it would have to be safe to stop.
type Proposal struct {
	Item *Item
	Step *procedure.Step
	// Overrun is the larger chance of overrunning of the two sessions that would
	// meet there, each as short as the safe stops around allow.
	Overrun float64
}

// Long is a run of steps that cannot be interrupted and does not fit into a session.
type Long struct {
	Item     *Item
	From, To *procedure.Step
	// Needs is how long a session for it would have to be, at the stated confidence.
	Needs float64
	// Hangs is what hangs on a support in between; nil when the run is a single step.
	Hangs *procedure.Part
}

// obstacles goes through the runs between neighbouring cuts and explains those that do not fit.
func obstacles(all []piece, cuts []int, r Rules) []Obstacle {
	hangs := loads(all)
	var out []Obstacle
	from := 0
	for _, to := range cuts {
		if _, fits := worthOf(all[from:to], r); !fits {
			out = append(out, newObstacle(all[from:to], hangs[from:to], r))
		}
		from = to
	}
	return out
}

func newObstacle(run []piece, hangs []*procedure.Part, r Rules) Obstacle {
	mean, variance := r.sum(run)
	o := Obstacle{Item: run[0].item, From: run[0].step, To: run[len(run)-1].step, Expected: mean, Deviation: math.Sqrt(variance), Needs: needs(run, r)}
	// A step could become a safe stop when nothing hangs after it.
	var cuts []int
	for i := range run {
		if hangs[i] == nil || i == len(run)-1 {
			cuts = append(cuts, i+1)
		}
	}
	ends, ok := divide(run, cuts, r)
	if !ok {
		o.TooLong = tooLong(run, hangs, cuts, r)
		return o
	}
	for k, end := range ends[:len(ends)-1] {
		from := 0
		if k > 0 {
			from = ends[k-1]
		}
		o.Stops = append(o.Stops, propose(run, from, end, ends[k+1], r))
	}
	if len(o.Stops) == 1 {
		o.Others = others(run, cuts, ends[0], r)
	}
	return o
}

// others lists the steps that would do as well as the best one.
func others(run []piece, cuts []int, best int, r Rules) []Proposal {
	var out []Proposal
	for _, cut := range cuts[:len(cuts)-1] {
		_, before := worthOf(run[:cut], r)
		_, after := worthOf(run[cut:], r)
		if cut != best && before && after {
			out = append(out, propose(run, 0, cut, len(run), r))
		}
	}
	slices.SortStableFunc(out, func(a, b Proposal) int { return cmp.Compare(a.Overrun, b.Overrun) })
	return out[:min(len(out), candidates-1)]
}

func propose(run []piece, from, cut, to int, r Rules) Proposal {
	before, _ := worthOf(run[from:cut], r)
	after, _ := worthOf(run[cut:to], r)
	p := run[cut-1]
	return Proposal{Item: p.item, Step: p.step, Overrun: max(before.overrun(), after.overrun())}
}

func tooLong(run []piece, hangs []*procedure.Part, cuts []int, r Rules) []Long {
	var out []Long
	from := 0
	for _, to := range cuts {
		if _, fits := worthOf(run[from:to], r); !fits {
			out = append(out, Long{Item: run[from].item, From: run[from].step, To: run[to-1].step, Needs: needs(run[from:to], r), Hangs: hangs[from]})
			if to == from+1 {
				out[len(out)-1].Hangs = nil
			}
		}
		from = to
	}
	return out
}

// needs is how long a session for the pieces would have to be.
func needs(pieces []piece, r Rules) float64 {
	after, breaks := breaksIn(pieces, r.Break)
	mean, variance := r.sum(laid(pieces, after))
	return r.SetUp + r.ClearDown + breaks + mean + r.z()*math.Sqrt(variance)
}

// loads returns, for each piece, a part that hangs on a support after it, with no
// fastener that holds it: nobody may leave it like that. nil when nothing hangs.
func loads(all []piece) []*procedure.Part {
	out := make([]*procedure.Part, len(all))
	traces := map[*procedure.Job]*state.Trace{}
	for i, p := range all {
		if p.step == nil {
			continue
		}
		t := traces[p.item.Job]
		if t == nil {
			_, t = state.RunAfterRemoval(p.item.Job)
			traces[p.item.Job] = t
		}
		out[i] = Hanging(t.After(p.index))
	}
	return out
}

// Hanging returns a part that hangs on a support in a state, with no fastener that holds it: nobody may leave it
// like that. nil when nothing hangs.
func Hanging(s *state.State) *procedure.Part {
	for _, p := range s.Assembly.Parts {
		at := s.Part(p)
		if at.Is == state.Lifted || at.Is == state.InPlace && len(at.Carriers) > 0 && !s.Group(p).Anchored {
			return p.Part
		}
	}
	return nil
}
