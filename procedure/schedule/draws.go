package schedule

import (
	"math"
	"math/rand/v2"
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

// Draws are times of activities, drawn at random for many runs. The same
// activities get the same draws. Networks that have the same activities, as the
// rosters of a job, can share them, and are compared under the same luck then.
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
// quantiles (k - ½)/512 once, in an order of its own. A quantile is interpolated
// between those of 33 shapes of the distribution; the mean is exact then, and the
// standard deviation at most 0.1 % too small.
//
// Source: classical PERT (Malcolm, Roseboom, Clark and Fazar, 1959); Latin hypercube
// sampling: McKay, Beckman and Conover, 1979 (from memory).
type Draws struct {
	runs int
	// scale is how many grains make a minute.
	scale float64
	// times holds the runs of the first activity, then those of the second, and so on.
	times []grains
}

// grains count the time of a simulation in whole numbers, which compare faster than floats.
type grains int64

// finest is how many grains make a minute, unless the times are so long that they would not fit.
const finest = 1e9

// Draw draws times of activities.
func Draw(activities []Activity) *Draws {
	rounds := min(max(roundDraws/max(len(activities), 1), 1), mostRounds)
	d := &Draws{runs: rounds * roundRuns, scale: finest}
	longest := 1.0
	for i := range activities {
		longest += activities[i].Time.Pessimistic
	}
	d.scale = min(d.scale, math.MaxInt64/4/longest)
	d.times = make([]grains, len(activities)*d.runs)
	for i := range activities {
		for round := range rounds {
			from := i*d.runs + round*roundRuns
			d.draw(d.times[from:from+roundRuns], activities[i].Time, i*rounds+round)
		}
	}
	return d
}

// of returns the times of the i-th activity.
func (d *Draws) of(i int) []grains { return d.times[i*d.runs : (i+1)*d.runs] }

// draw fills in the times of one activity for one round; column chooses the order of its quantiles.
func (d *Draws) draw(out []grains, e procedure.Estimate, column int) {
	span := (e.Pessimistic - e.Optimistic) * d.scale
	if !(span > 0) {
		fixed := grains(math.Round(Expected(e) * d.scale))
		for run := range out {
			out[run] = fixed
		}
		return
	}
	at := (e.Likely - e.Optimistic) * d.scale / span * shapes
	k := min(max(int(at), 0), shapes-1)
	right := (at - float64(k)) * span
	left, low := span-right, e.Optimistic*d.scale+0.5
	from, to := quantiles[k](), quantiles[k+1]()
	for run, place := range order512(column) {
		out[run] = grains(low + left*from[place] + right*to[place])
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

// orders holds random orders of the quantiles, the same each time.
var orders = sync.OnceValue(func() *[columns][2 * roundRuns]uint16 {
	var out [columns][2 * roundRuns]uint16
	random := rand.New(rand.NewPCG(1, roundRuns))
	for c := range out {
		for k, place := range random.Perm(roundRuns) {
			out[c][k], out[c][k+roundRuns] = uint16(place), uint16(place)
		}
	}
	return &out
})

// order512 returns the order in which a column of draws takes its quantiles. Past
// the last of the random orders they come again, each begun at another place.
func order512(column int) []uint16 {
	shift := column / columns * 37 % roundRuns
	return orders()[column%columns][shift : shift+roundRuns]
}
