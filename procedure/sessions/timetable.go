package sessions

import (
	"math"
	"slices"

	"matchmark/procedure/state"
)

// breaksIn returns after how many pieces a break is taken, and how long all breaks
// take. No break is taken at the end.
func breaksIn(pieces []piece, b Break) (after []int, total float64) {
	if b.Length == 0 {
		return nil, 0
	}
	worked := 0.0
	for i, p := range pieces {
		if i == 0 {
			worked += p.proving()
		}
		worked += p.mean
		if p.stop == NotSafe || i == len(pieces)-1 {
			continue
		}
		next := 0.0 // work up to the next safe stop or the end
		for _, q := range pieces[i+1:] {
			next += q.mean
			if q.stop != NotSafe {
				break
			}
		}
		if worked+next > b.Every+same {
			at := i + 1
			worked = pieces[at].proving()
			if i > 0 && pieces[i-1].stop != NotSafe && pieces[at].provedBy(p.step) && !slices.Contains(after, i) {
				at = i // what proves energy away is done once, after the break
				worked = p.proving() + p.mean
			}
			after = append(after, at)
			total += b.Length
		}
	}
	return after, total
}

// newSession puts pieces on the clock.
func newSession(pieces []piece, number int, r Rules) Session {
	after, breaks := breaksIn(pieces, r.Break)
	mean, variance := r.sum(laid(pieces, after))
	w, fits := worthOf(pieces, r)
	s := Session{
		Number: number, Work: mean, Deviation: math.Sqrt(variance), Breaks: breaks,
		Spare: w.spare, Overrun: w.overrun(), Fits: fits,
		End: r.Length - w.spare, CarefulEnd: r.Length - w.spare + r.z()*math.Sqrt(variance),
	}
	if len(pieces) > 0 {
		s.Stop = pieces[len(pieces)-1].stop
	}

	now := 0.0
	add := func(row Row, length float64) {
		row.Start, row.End = now, now+length
		now = row.End
		s.Rows = append(s.Rows, row)
	}
	// A row must start so early that all work from it on ends in time with the stated confidence.
	latest := func(work []piece, breaks int) float64 {
		mean, variance := r.sum(work)
		return r.Length - r.ClearDown - mean - r.z()*math.Sqrt(variance) - float64(breaks)*r.Break.Length
	}
	left, stretch, fresh := len(after), 0.0, true
	work := laid(pieces, after) // from the row that is put on the clock on
	if r.SetUp > 0 {
		add(Row{Kind: SetUpRow, Latest: latest(work, left) - r.SetUp}, r.SetUp)
	}
	put := func(row Row, p piece) {
		row.Item, row.Step, row.Job, row.Latest = p.item, p.step, p.job, latest(work, left)
		add(row, p.mean)
		work = work[1:]
		stretch += p.mean
		if r.Break.Length > 0 && stretch > r.Break.Every+same {
			s.LongStretch = true
		}
	}
	for i, p := range pieces {
		stopped := i == 0
		if left > 0 && after[len(after)-left] == i {
			add(Row{Kind: BreakRow, Latest: latest(work, left)}, r.Break.Length)
			left--
			stretch, stopped = 0, true
		}
		if stopped {
			for k, proof := range p.proofs {
				put(Row{Kind: ProofRow, Checkpoint: k == 0}, proof)
			}
		}
		put(Row{Kind: WorkRow, Stop: p.stop, Checkpoint: fresh || p.item != pieces[i-1].item || p.step != nil && state.Hold(p.step) != nil}, p)
		fresh = p.stop != NotSafe
	}
	if r.ClearDown > 0 {
		add(Row{Kind: ClearDownRow, Latest: r.Length - r.ClearDown}, r.ClearDown)
	}
	return s
}
