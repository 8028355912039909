package revise

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// UsualCorrelation is the correlation of a team's times that is taken where records do not tell.
//
// Source: common practice, no source.
const UsualCorrelation = 0.3

// Pace is how much teams have a pace of their own.
type Pace struct {
	// Correlation is that of the times which one team takes for two steps, each against what all
	// take for it; from 0 to 1. Low and High are its 95 % interval.
	Correlation, Low, High float64
	// Teams and Records are what it was found in; Known is false when they are too few, and
	// Correlation is UsualCorrelation then.
	Teams, Records int
	Known          bool
}

// fewTeams is how many teams it takes to say anything of paces.
const fewTeams = 3

// paceOf finds the common pace in deviations, team by team: the logarithms of times over what the step usually takes.
//
// Source: intraclass correlation of the one-way random model, ICC(1,1) of Shrout and
// Fleiss, 1979, with Fisher's interval (from memory); teams of several sizes count by their
// mean size less what it varies.
func paceOf(teams [][]float64) Pace {
	p := Pace{Correlation: UsualCorrelation}
	sum, squares := 0.0, 0.0
	for _, team := range teams {
		p.Teams++
		p.Records += len(team)
		squares += float64(len(team) * len(team))
		for _, d := range team {
			sum += d
		}
	}
	k, n := float64(p.Teams), float64(p.Records)
	if p.Teams < fewTeams || p.Records <= p.Teams {
		return p
	}
	between, within := 0.0, 0.0
	for _, team := range teams {
		own := mean(team)
		between += float64(len(team)) * (own - sum/n) * (own - sum/n)
		for _, d := range team {
			within += (d - own) * (d - own)
		}
	}
	between, within = between/(k-1), within/(n-k)
	if within < 1e-12 {
		return p // all times of a team are the same: they were not measured
	}
	size := (n - squares/n) / (k - 1)
	of := func(ratio float64) float64 { return min(max((ratio-1)/(ratio+size-1), 0), 1) }
	f := between / within
	p.Known = true
	p.Correlation = of(f)
	p.Low = of(f / distuv.F{D1: k - 1, D2: n - k}.Quantile(0.975))
	p.High = of(f * distuv.F{D1: n - k, D2: k - 1}.Quantile(0.975))
	return p
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// weights are what each of a step's times counts for: a team's n times together count for
// n / (1 + (n - 1) · correlation), between n of them and one. What has no team is a team of its own.
//
// Source: variance of the mean of equally correlated times; the weights of partial pooling.
func weights(teams []string, correlation float64) []float64 {
	count := map[string]int{}
	for _, t := range teams {
		count[t]++
	}
	out := make([]float64, len(teams))
	for i, t := range teams {
		out[i] = 1
		if t != "" {
			out[i] = 1 / (1 + float64(count[t]-1)*correlation)
		}
	}
	return out
}

// weightedMedian is the time below and above which half of the weight lies; of two such times their mean.
func weightedMedian(times, weights []float64) float64 {
	order := make([]int, len(times))
	half := 0.0
	for i, w := range weights {
		order[i] = i
		half += w / 2
	}
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case times[a] < times[b]:
			return -1
		case times[a] > times[b]:
			return 1
		}
		return 0
	})
	const even = 1e-9
	below := 0.0
	for k, i := range order {
		below += weights[i]
		if math.Abs(below-half) < even && k+1 < len(order) {
			return (times[i] + times[order[k+1]]) / 2
		}
		if below > half {
			return times[i]
		}
	}
	return times[order[len(order)-1]]
}
