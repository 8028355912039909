package sessions

import (
	"math"

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
			after = append(after, i+1)
			total += b.Length
			worked = 0
		}
	}
	return after, total
}

// newSession puts pieces on the clock.
func newSession(pieces []piece, number int, r Rules) Session {
	after, breaks := breaksIn(pieces, r.Break)
	mean, variance := sum(pieces)
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
		mean, variance := sum(work)
		return r.Length - r.ClearDown - mean - r.z()*math.Sqrt(variance) - float64(breaks)*r.Break.Length
	}
	left, stretch, fresh := len(after), 0.0, true
	if r.SetUp > 0 {
		add(Row{Kind: SetUpRow, Latest: latest(pieces, left) - r.SetUp}, r.SetUp)
	}
	for i, p := range pieces {
		if left > 0 && after[len(after)-left] == i {
			add(Row{Kind: BreakRow, Latest: latest(pieces[i:], left)}, r.Break.Length)
			left--
			stretch = 0
		}
		row := Row{Kind: WorkRow, Item: p.item, Step: p.step, Stop: p.stop, Latest: latest(pieces[i:], left)}
		row.Checkpoint = fresh || p.item != pieces[i-1].item || p.step != nil && state.Hold(p.step) != nil
		add(row, p.mean)
		fresh = p.stop != NotSafe
		stretch += p.mean
		if r.Break.Length > 0 && stretch > r.Break.Every+same {
			s.LongStretch = true
		}
	}
	if r.ClearDown > 0 {
		add(Row{Kind: ClearDownRow, Latest: r.Length - r.ClearDown}, r.ClearDown)
	}
	return s
}
