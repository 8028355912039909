package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mathext"

	"matchmark/procedure"
)

// A round of draws has so many runs; networks of few activities get several rounds.
const (
	roundRuns  = 512
	mostRounds = 8
	roundDraws = 32 // of activities and rounds together, from which on one round is enough
)

// blockRuns is how many runs are drawn, and go through a network, side by side; a
// round is a whole number of blocks.
const blockRuns = 32

// grains count the time of a simulation in whole numbers, which compare faster than floats.
type grains int64

// finest is how many grains make a minute, unless the times are so long that they would not fit.
const finest = 1e9

// draws are times of activities, drawn at random for many runs, block by block. The
// same activities get the same times each time.
//
// Times are drawn from the beta distribution between a and b that has the mean
// and the standard deviation of the three-point estimate. Classical PERT assumes
// that distribution. With it, what the simulation says differs from the normal
// approximation only for what the approximation leaves out: paths that run beside
// the critical one, and sums of few activities that are not normal. (The beta
// distribution with its mode at m and shape 4 has the same mean, but a standard
// deviation up to 13 % larger than (b - a) / 6.)
//
// Draws are stratified: in a round of 512 runs each activity takes each of its 512
// quantiles (k - ½)/512 once, in an order of its own. In the second half of a round
// every activity is as fast as it was slow in the first. A quantile is interpolated
// between those of 33 shapes of the distribution; the mean is exact then, and the
// standard deviation at most 0.1 % too small.
//
// Source: classical PERT (Malcolm, Roseboom, Clark and Fazar, 1959); Latin hypercube
// sampling: McKay, Beckman and Conover, 1979; antithetic runs: Hammersley and Morton,
// 1956 (both from memory).
type draws struct {
	rounds int
	// scale is how many grains make a minute.
	scale float64
	of    []drawn
	// by says when an activity is left out and how often it comes again; nil for one that is just done.
	by []*occurrence
	// names and groups are what is drawn for all activities alike, each run: answers, and how many rounds there are.
	names  []string
	yes    []float64
	groups []drawn
	// times holds what is drawn of each activity for the block.
	times [][blockRuns]grains
}

// drawn is how the time of one activity is drawn: low and, times left and right, the quantiles of two shapes.
type drawn struct {
	low, left, right float64
	from, to         *[roundRuns]float64 // nil for a time without a range
}

// occurrence is when an activity is left out, and the round that it is in.
type occurrence struct {
	when  procedure.When
	group int // of groups; -1 for none
}

func newDraws(activities []Activity, chances map[string]float64) *draws {
	d := &draws{
		rounds: min(max(roundDraws/max(len(activities), 1), 1), mostRounds), scale: finest,
		of: make([]drawn, len(activities)), times: make([][blockRuns]grains, len(activities)),
	}
	longest := 1.0
	for i := range activities {
		longest += activities[i].Time.Pessimistic * max(activities[i].Rounds.Pessimistic, 1)
	}
	d.scale = min(d.scale, math.MaxInt64/4/longest)
	d.occurrences(activities, chances)
	for i := range activities {
		d.of[i] = d.drawnOf(activities[i].Time)
		if d.of[i].from == nil {
			for run := range d.times[i] {
				d.times[i][run] = grains(d.of[i].low)
			}
		}
	}
	return d
}

// occurrences notes what is drawn for several activities alike.
func (d *draws) occurrences(activities []Activity, chances map[string]float64) {
	d.by = make([]*occurrence, len(activities))
	groups := map[string]int{}
	for i := range activities {
		a := &activities[i]
		if a.If == "" && a.Group == "" {
			continue
		}
		o := &occurrence{when: a.If, group: -1}
		for _, n := range a.If.Names() {
			if !slices.Contains(d.names, n) {
				d.names, d.yes = append(d.names, n), append(d.yes, chances[n])
			}
		}
		if a.Group != "" {
			at, known := groups[a.Group]
			if !known {
				at = len(d.groups)
				groups[a.Group] = at
				whole := draws{scale: 1}
				x := whole.drawnOf(a.Rounds)
				x.low -= rounding
				d.groups = append(d.groups, x)
			}
			o.group = at
		}
		d.by[i] = o
	}
}

// occur takes out of the block that was drawn what is left out, and repeats what comes in rounds.
func (d *draws) occur(round, from int) {
	answers := map[string]bool{}
	columns := func(k int) []uint16 { return places((len(d.of)+k)*d.rounds + round)[from : from+blockRuns] }
	for run := range blockRuns {
		for k, name := range d.names {
			answers[name] = float64(columns(k)[run])+0.5 < d.yes[k]*roundRuns
		}
		for i, o := range d.by {
			if o == nil {
				continue
			}
			if !o.when.Holds(answers) {
				d.times[i][run] = 0
				continue
			}
			if d.of[i].from == nil {
				d.times[i][run] = grains(d.of[i].low)
			}
			if o.group >= 0 {
				x, times := &d.groups[o.group], d.groups[o.group].low
				if x.from != nil {
					place := columns(len(d.names) + o.group)[run]
					times += x.left*x.from[place] + x.right*x.to[place]
				}
				d.times[i][run] = grains(float64(d.times[i][run]) * times)
			}
		}
	}
}

func (d *draws) runs() int { return d.rounds * roundRuns }

// rounding goes to the next whole grain.
const rounding = 0.5

func (d *draws) drawnOf(e procedure.Estimate) drawn {
	span := (e.Pessimistic - e.Optimistic) * d.scale
	if !(span > 0) {
		return drawn{low: Expected(e)*d.scale + rounding}
	}
	at := (e.Likely - e.Optimistic) * d.scale / span * shapes
	k := min(max(int(at), 0), shapes-1)
	right := (at - float64(k)) * span
	return drawn{low: e.Optimistic*d.scale + rounding, left: span - right, right: right, from: quantiles[k](), to: quantiles[k+1]()}
}

// block draws the runs from the given one on.
func (d *draws) block(from int) {
	round, from := from/roundRuns, from%roundRuns
	for i := range d.of {
		x, times := &d.of[i], &d.times[i]
		if x.from == nil {
			continue // drawn once and for all
		}
		for run, place := range places(i*d.rounds + round)[from : from+blockRuns] {
			times[run] = grains(x.low + x.left*x.from[place] + x.right*x.to[place])
		}
	}
	if len(d.names)+len(d.groups) > 0 {
		d.occur(round, from)
	}
}

// shapes is how many steps lie between the distribution whose most likely time is the optimistic one and that where it is the pessimistic one.
const shapes = 32

// quantiles holds, for each shape, the quantiles (k - ½)/512 of the time between 0 and 1 whose most
// likely value is shape/shapes. They are worked out when first asked for.
var quantiles = func() (out [shapes + 1]func() *[roundRuns]float64) {
	for shape := range out {
		if mirror := shapes - shape; mirror < shape {
			out[shape] = sync.OnceValue(func() *[roundRuns]float64 { return mirrored(out[mirror]()) })
			continue
		}
		out[shape] = sync.OnceValue(func() *[roundRuns]float64 { return quantilesOf(shape) })
	}
	return out
}()

func quantilesOf(shape int) *[roundRuns]float64 {
	alpha, beta := betaOf(float64(shape) / shapes)
	var out [roundRuns]float64
	for k := range out {
		out[k] = mathext.InvRegIncBeta(alpha, beta, (float64(k)+0.5)/roundRuns)
	}
	return &out
}

func mirrored(of *[roundRuns]float64) *[roundRuns]float64 {
	var out [roundRuns]float64
	for k := range out {
		out[k] = 1 - of[roundRuns-1-k]
	}
	return &out
}

// betaOf returns the parameters of the beta distribution of a time between 0 and 1
// with a most likely value: by the method of moments, from the mean (1 + 4m)/6 and the standard deviation 1/6.
func betaOf(likely float64) (alpha, beta float64) {
	mean := (4*likely + 1) / 6
	const variance = 1.0 / 36
	both := mean*(1-mean)/variance - 1
	return mean * both, (1 - mean) * both
}

// columns is how many random orders of the quantiles there are before they come again, shifted.
const columns = 64

// bestSeed is, of 1,500 seeds, the one whose orders spread the sums of 6 to 64 equal
// times best: their shares are off by 0.8 % in the root mean square and 2.3 % at most.
const bestSeed = 26

// orders holds random orders of the quantiles, the same each time, each twice in a row.
var orders = sync.OnceValue(func() *[columns][2 * roundRuns]uint16 {
	const half = roundRuns / 2
	var out [columns][2 * roundRuns]uint16
	random := rand.New(rand.NewPCG(bestSeed, roundRuns))
	for c := range out {
		for k, place := range random.Perm(half) {
			if random.IntN(2) == 1 {
				place = roundRuns - 1 - place
			}
			out[c][k], out[c][k+half] = uint16(place), uint16(roundRuns-1-place)
		}
		copy(out[c][roundRuns:], out[c][:roundRuns])
	}
	return &out
})

// places returns the order in which a column of draws takes its quantiles. Past
// the last of the random orders they come again, each begun at another place.
func places(column int) []uint16 {
	shift := column / columns * 37 % roundRuns
	return orders()[column%columns][shift : shift+roundRuns]
}
