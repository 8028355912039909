package schedule

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure"
)

// Seed and Runs are what pages simulate with: the same library gives the same
// figures, and a simulated chance has a standard error of half a percent at most.
const (
	Seed = 1
	Runs = 10_000
)

// Simulation is many random runs through a network.
type Simulation struct {
	Runs int
	// Mean and Deviation are those of the whole length, in minutes; MeanError is the standard error of the mean.
	Mean, Deviation, MeanError float64
	// Critical is, for each activity, the share of runs in which it lay on a longest path.
	Critical []float64
	lengths  []float64 // ascending
}

// Simulate draws the time of every activity at random, many times over, and takes
// the longest path of each run. The same seed gives the same result.
//
// Times are drawn from the beta distribution between a and b that has the mean
// and the standard deviation of the three-point estimate. Classical PERT assumes
// that distribution. With it, what the simulation says differs from the normal
// approximation only for what the approximation leaves out: paths that run beside
// the critical one, and sums of few activities that are not normal. (The beta
// distribution with its mode at m and shape 4 has the same mean, but a standard
// deviation up to 13 % larger than (b - a) / 6.)
//
// Source: classical PERT (Malcolm, Roseboom, Clark and Fazar, 1959); simulation of
// networks and the criticality index: Van Slyke, 1963 (from memory).
func (n *Network) Simulate(seed uint64, runs int) *Simulation {
	s := &Simulation{Runs: runs, Critical: make([]float64, len(n.Activities)), lengths: make([]float64, runs)}
	src := rand.NewPCG(seed, 0)
	draws := make([]func() float64, len(n.Activities))
	for i, a := range n.Activities {
		draws[i] = sampler(a.Time, src)
	}
	drawn, finish := make([]float64, len(draws)), make([]float64, len(draws))
	onPath := make([]bool, len(draws))
	for run := range s.lengths {
		for i, draw := range draws {
			drawn[i] = draw()
		}
		s.lengths[run] = n.run(drawn, finish, onPath)
		for i, on := range onPath {
			if on {
				s.Critical[i]++
			}
		}
	}
	s.summarise()
	return s
}

// run works out the length of one run. It leaves in finish when each activity
// ends and in onPath which lie on a longest path.
func (n *Network) run(drawn, finish []float64, onPath []bool) float64 {
	length := 0.0
	for _, i := range n.sorted {
		start := 0.0
		for _, j := range n.prev[i] {
			start = max(start, finish[j])
		}
		finish[i] = start + drawn[i]
		length = max(length, finish[i])
	}
	for _, i := range slices.Backward(n.sorted) {
		onPath[i] = finish[i] >= length-same
		for _, j := range n.next[i] {
			onPath[i] = onPath[i] || onPath[j] && finish[i] >= finish[j]-drawn[j]-same
		}
	}
	return length
}

func (s *Simulation) summarise() {
	slices.Sort(s.lengths)
	runs := float64(s.Runs)
	for _, x := range s.lengths {
		s.Mean += x / runs
	}
	for _, x := range s.lengths {
		s.Deviation += (x - s.Mean) * (x - s.Mean)
	}
	s.Deviation = math.Sqrt(s.Deviation / max(runs-1, 1))
	s.MeanError = s.Deviation / math.Sqrt(runs)
	for i := range s.Critical {
		s.Critical[i] /= runs
	}
}

// Share returns the share of runs that ended by a time, and its standard
// error. For the error, one run more of each outcome is counted, so that it is
// not zero when all runs went the same way.
func (s *Simulation) Share(by float64) (p, standardError float64) {
	hits := float64(sortedUpTo(s.lengths, by+same))
	runs := float64(s.Runs)
	smoothed := (hits + 1) / (runs + 2)
	return hits / runs, math.Sqrt(smoothed * (1 - smoothed) / runs)
}

// Time returns the time by which a share p of the runs had ended, 0 < p ≤ 1.
func (s *Simulation) Time(p float64) float64 {
	i := int(math.Ceil(p*float64(s.Runs))) - 1
	return s.lengths[min(max(i, 0), s.Runs-1)]
}

// sortedUpTo counts the numbers of an ascending list that are at most x.
func sortedUpTo(list []float64, x float64) int {
	i, _ := slices.BinarySearchFunc(list, x, func(a, x float64) int {
		if a <= x {
			return -1
		}
		return 1
	})
	return i
}

// sampler returns what draws an activity's time.
func sampler(e procedure.Estimate, src rand.Source) func() float64 {
	span := e.Pessimistic - e.Optimistic
	if span <= 0 {
		return func() float64 { return Expected(e) }
	}
	mean := (Expected(e) - e.Optimistic) / span
	const variance = 1.0 / 36
	both := mean*(1-mean)/variance - 1 // alpha + beta, by the method of moments
	beta := distuv.Beta{Alpha: mean * both, Beta: (1 - mean) * both, Src: src}
	return func() float64 { return e.Optimistic + span*beta.Rand() }
}
