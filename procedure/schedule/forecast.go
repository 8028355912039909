package schedule

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Warning says why the normal approximation of a chance should not be trusted.
// Pages have words for each.
type Warning string

// The warnings.
const (
	// Trusted means that the two ways agree as far as chance allows.
	Trusted Warning = ""
	// ParallelPaths means that other paths are nearly as long as the critical
	// one: the whole ends when the last of them does, which is later than the
	// critical path alone says.
	ParallelPaths Warning = "parallel-paths"
	// NotNormal means that the length is not normally distributed: few activities, or a skewed one that outweighs the rest.
	NotNormal Warning = "not-normal"
)

// rivalChance is how likely a path must be longer than the critical one to be
// worth a warning; apart is the difference between two chances that a reader would notice.
const (
	rivalChance = 0.1
	apart       = 0.02
	maxRivals   = 3
)

// Rival is a path that may turn out longer than the critical one.
type Rival struct {
	// Path is the path, as indices of activities.
	Path []int
	// Length and Deviation are the path's expected time and standard deviation.
	Length, Deviation float64
	// Longer is the chance that this path takes longer than the critical one.
	Longer float64
	// Later is by how much later the later of the two ends, on average, than the critical path alone.
	Later float64
}

// Forecast is what can be said about when a network ends.
type Forecast struct {
	Network    *Network
	Times      Times
	Simulation *Simulation
	// Rivals are the paths that make the normal approximation too hopeful, the worst first; three at most.
	Rivals []Rival
}

// Chance is the chance of ending by a stated time, worked out in two ways.
type Chance struct {
	// By is the stated time, in minutes from the start.
	By float64
	// Normal takes the critical path as the whole and its length as normal.
	Normal float64
	// Simulated is the share of simulated runs, StandardError a bound of its standard error.
	Simulated, StandardError float64
	// Difference is Normal less Simulated.
	Difference float64
	// Warning says whether Normal can be trusted. Where it cannot, Simulated counts.
	Warning Warning
}

// Forecast puts together what the times and a simulation of the network say.
func (n *Network) Forecast(t Times, s *Simulation) *Forecast {
	return &Forecast{Network: n, Times: t, Simulation: s, Rivals: n.rivals(t)}
}

// By returns the chance of ending by a time, in minutes from the start.
//
// It warns of parallel paths when one is longer than the critical path with a
// chance of 10 % or more. Otherwise it warns when the two ways lie more than three
// standard errors and more than 2 % apart: of parallel paths when the simulated
// mean is late by more than three standard errors, else of a length that is not normal.
func (f *Forecast) By(time float64) Chance {
	c := Chance{By: time, Normal: f.Times.Normal(time)}
	c.Simulated, c.StandardError = f.Simulation.Share(time)
	c.Difference = c.Normal - c.Simulated
	differ := math.Abs(c.Difference) > max(3*c.StandardError, apart)
	switch {
	case len(f.Rivals) > 0 || differ && f.Simulation.Mean()-f.Times.Length > 3*f.Simulation.MeanError():
		c.Warning = ParallelPaths
	case differ:
		c.Warning = NotNormal
	}
	return c
}

// Normal returns the chance that the critical path ends by a time: the normal
// distribution function at (time - length) / deviation.
//
// Source: classical PERT (Malcolm, Roseboom, Clark and Fazar, 1959).
func (t Times) Normal(by float64) float64 {
	if t.Deviation == 0 {
		if by >= t.Length-same {
			return 1
		}
		return 0
	}
	return distuv.Normal{Mu: t.Length, Sigma: t.Deviation}.CDF(by)
}

// rivals finds, for every activity off the critical path, the longest path
// through it, and keeps those that have a fair chance to be the longest.
//
// What two paths share delays both alike. So the difference of their lengths has
// the variance of what only one of them has. With θ its deviation, s by how much
// the critical path is longer and x = s/θ, the other is longer with chance Φ(-x),
// and the later of the two ends θ·φ(x) - s·Φ(-x) after the critical path on average.
//
// Source: Clark, "The greatest of a finite set of random variables", 1961 (from memory).
func (n *Network) rivals(t Times) []Rival {
	heads, tails := n.heads(), n.tails()
	var out []Rival
	var path []int
	for i := range n.Activities {
		if slices.Contains(t.Path, i) {
			continue
		}
		path = append(path[:0], i)
		for j := heads[i].before; j >= 0; j = heads[j].before {
			path = append(path, j)
		}
		slices.Reverse(path)
		for j := tails[i].before; j >= 0; j = tails[j].before {
			path = append(path, j)
		}
		if slices.ContainsFunc(out, func(r Rival) bool { return slices.Equal(r.Path, path) }) {
			continue
		}
		if r := t.rival(path); r.Longer >= rivalChance {
			r.Path = slices.Clone(path)
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b Rival) int { return cmp.Compare(b.Later, a.Later) })
	return out[:min(len(out), maxRivals)]
}

// rival compares a path with the critical one. It does not keep the path.
func (t Times) rival(path []int) Rival {
	var r Rival
	variance, apart := 0.0, 0.0
	for _, i := range path {
		v := t.Windows[i].Deviation * t.Windows[i].Deviation
		r.Length += t.Windows[i].Expected
		variance += v
		if !slices.Contains(t.Path, i) {
			apart += v
		}
	}
	for _, i := range t.Path {
		if !slices.Contains(path, i) {
			apart += t.Windows[i].Deviation * t.Windows[i].Deviation
		}
	}
	r.Deviation = math.Sqrt(variance)
	theta, shorter := math.Sqrt(apart), nought(t.Length-r.Length)
	if theta == 0 {
		return r
	}
	x := shorter / theta
	r.Longer = distuv.UnitNormal.CDF(-x)
	r.Later = theta*distuv.UnitNormal.Prob(x) - shorter*r.Longer
	return r
}
