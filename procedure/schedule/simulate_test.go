package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/order"
)

// plainShares simulates the slow and obvious way: each time is drawn afresh from
// its own beta distribution, and each run goes through all edges. It returns the
// shares of the runs that ended by the times.
func plainShares(n *Network, runs int, by []float64) []float64 {
	src := rand.NewPCG(11, 12)
	end := make([]float64, len(n.Activities))
	hits := make([]float64, len(by))
	for range runs {
		length := 0.0
		for _, i := range n.sorted {
			e := n.Activities[i].Time
			end[i] = e.Likely
			if span := e.Pessimistic - e.Optimistic; span > 0 {
				mean := (Expected(e) - e.Optimistic) / span
				both := mean*(1-mean)*36 - 1
				end[i] = e.Optimistic + span*distuv.Beta{Alpha: mean * both, Beta: (1 - mean) * both, Src: src}.Rand()
			}
			start := 0.0
			for _, j := range n.prev[i] {
				start = max(start, end[j])
			}
			end[i] += start
			length = max(length, end[i])
		}
		for k, x := range by {
			if length <= x {
				hits[k]++
			}
		}
	}
	for k := range hits {
		hits[k] /= float64(runs)
	}
	return hits
}

// uncertain is a random network with a range of times, skewed either way, for each activity.
func uncertain(t testing.TB, r *rand.Rand, size int) *Network {
	graph := order.NewGraph(size)
	activities := make([]Activity, size)
	for i := range activities {
		a := 1 + 9*r.Float64()
		span := 8 * r.Float64()
		activities[i].Time = procedure.Estimate{Optimistic: a, Likely: a + span*r.Float64(), Pessimistic: a + span}
		for j := range i {
			if r.IntN(size) < 2 {
				graph.Add(j, i)
			}
		}
	}
	return network(t, activities, graph)
}

// The stated error is held against plain sampling, on networks from one activity to
// 60 and at nine times around the mean: 99 % of the shares lie within three of the
// bounds of their standard errors, and all of them together do better than the bounds.
func TestSimulationAgainstPlainSampling(t *testing.T) {
	const plain = 20_000
	r := rand.New(rand.NewPCG(21, 21))
	far, all, squares := 0, 0, 0.0
	for _, size := range []int{1, 1, 2, 3, 4, 6, 8, 12, 16, 20, 30, 30, 45, 60} {
		n := uncertain(t, r, size)
		s := n.Simulate()
		var by []float64
		for z := -2.0; z <= 2; z += 0.5 {
			by = append(by, s.Mean()+z*s.Deviation())
		}
		for k, want := range plainShares(n, plain, by) {
			got, bound := s.Share(by[k])
			own := math.Sqrt(want * (1 - want) / plain) // the slow method's own error
			z := (got - want) / math.Hypot(bound, own)
			if squares += z * z; math.Abs(z) > 3 {
				far++
			}
			all++
		}
	}
	rms := math.Sqrt(squares / float64(all))
	t.Logf("%d shares, %d far off, root mean square %.2f of the bound", all, far, rms)
	if far > all/100 || rms > 0.85 {
		t.Errorf("%d of %d shares are more than three bounds off; root mean square %.2f of the bound", far, all, rms)
	}
}

func TestDrawnTimesHaveTheEstimatesMoments(t *testing.T) {
	for _, e := range []procedure.Estimate{usual, {Optimistic: 0, Likely: 0, Pessimistic: 6}, {Optimistic: 1, Likely: 9, Pessimistic: 9}, {Optimistic: 2, Likely: 5, Pessimistic: 8}, {Optimistic: 3, Likely: 3.1, Pessimistic: 11}} {
		s := row(t, e).Simulate()
		if !near(s.Mean(), Expected(e), 1e-4*(e.Pessimistic-e.Optimistic)) {
			t.Errorf("%v: mean %v, want %v", e, s.Mean(), Expected(e))
		}
		if sd := Deviation(e); !near(s.Deviation(), sd, 0.002*sd) {
			t.Errorf("%v: deviation %v, want %v", e, s.Deviation(), sd)
		}
		if s.Time(1) > e.Pessimistic || s.Time(1e-9) < e.Optimistic {
			t.Errorf("%v: drawn from %v to %v", e, s.Time(1e-9), s.Time(1))
		}
	}
}

// Quantiles between two shapes are interpolated; the distribution's own are those of gonum.
func TestQuantilesBetweenShapes(t *testing.T) {
	worst := 0.0
	for likely := 0.0; likely <= 1; likely += 1.0 / 97 {
		s := row(t, procedure.Estimate{Likely: likely, Pessimistic: 1}).Simulate()
		alpha, beta := betaOf(likely)
		for run, place := range places(0) {
			u := distuv.Beta{Alpha: alpha, Beta: beta}.CDF(float64(s.lengths[run]) / finest)
			worst = max(worst, math.Abs(u-(float64(place)+0.5)/roundRuns))
		}
	}
	if worst > 0.0025 {
		t.Errorf("a drawn quantile is off by %.4f", worst)
	}
}

// Chains of equal times come out close to their Edgeworth series (from memory), which
// has the skewness and the excess of the beta distribution: as close as bestSeed says.
func TestChainsAreSpreadWell(t *testing.T) {
	for _, e := range []procedure.Estimate{usual, {Optimistic: 2, Likely: 5, Pessimistic: 8}} {
		a, b := betaOf((e.Likely - e.Optimistic) / (e.Pessimistic - e.Optimistic))
		skewOne := 2 * (b - a) * math.Sqrt(a+b+1) / ((a + b + 2) * math.Sqrt(a*b))
		excessOne := 6 * ((a-b)*(a-b)*(a+b+1) - a*b*(a+b+2)) / (a * b * (a + b + 2) * (a + b + 3))
		all, squares := 0, 0.0
		for size := 6; size <= 60; size += 6 {
			f := row(t, repeated(e, size)...).SimulatedForecast()
			skew, excess := skewOne/math.Sqrt(float64(size)), excessOne/float64(size)
			for z := -2.0; z <= 2; z += 0.5 {
				want := distuv.UnitNormal.CDF(z) - distuv.UnitNormal.Prob(z)*(skew/6*(z*z-1)+excess/24*(z*z*z-3*z)+skew*skew/72*(z*z*z*z*z-10*z*z*z+15*z))
				got, _ := f.Simulation.Share(f.Times.Length + z*f.Times.Deviation)
				if all++; !near(got, want, 0.023) {
					t.Errorf("%d times %v, z %v: %.3f, want %.3f", size, e, z, got, want)
				}
				squares += (got - want) * (got - want)
			}
		}
		if rms := math.Sqrt(squares / float64(all)); rms > 0.008 {
			t.Errorf("%v: root mean square of the error %.4f", e, rms)
		}
	}
}

// Every quantile comes once a round, and two activities take theirs in orders of their own.
func TestOrdersOfQuantiles(t *testing.T) {
	for _, column := range []int{0, 63, 64, 500} {
		seen := map[uint16]bool{}
		for _, place := range places(column) {
			seen[place] = true
		}
		if len(seen) != roundRuns {
			t.Errorf("column %d has %d quantiles", column, len(seen))
		}
		for run, place := range places(column)[:roundRuns/2] {
			if opposite := places(column)[run+roundRuns/2]; place+opposite != roundRuns-1 {
				t.Fatalf("column %d takes the quantiles %d and %d in opposite runs", column, place, opposite)
			}
		}
	}
	for _, other := range []int{1, 63, 64, 128, 640} {
		same := 0
		for run, place := range places(0) {
			if places(other)[run] == place {
				same++
			}
		}
		if same > 10 { // one on average, if the orders are random
			t.Errorf("columns 0 and %d agree in %d runs", other, same)
		}
	}
}

// Networks that go through the same runs are compared under the same luck: nobody is done earlier with fewer people.
func TestNetworksShareTheirLuck(t *testing.T) {
	n := uncertain(t, rand.New(rand.NewPCG(5, 6)), 14)
	r, err := n.Roster(2)
	assert.NilError(t, err)
	both := Simulate(n, r.Rostered())
	if !slices.Equal(both[0].lengths, n.Simulate().lengths) || !slices.Equal(both[1].lengths, r.Rostered().Simulate().lengths) {
		t.Error("together the networks had other runs than alone")
	}
	longer := 0
	for run := range both[0].lengths {
		if both[1].lengths[run] < both[0].lengths[run] {
			t.Fatalf("in run %d two people are faster than people enough", run)
		}
		if both[1].lengths[run] > both[0].lengths[run] {
			longer++
		}
	}
	if longer == 0 {
		t.Error("two people are enough for this network")
	}
}

// Times that are far too long for grains are counted in coarser ones.
func TestVeryLongTimes(t *testing.T) {
	e := procedure.Estimate{Optimistic: 1e15, Likely: 2e15, Pessimistic: 3e15}
	n := row(t, e, e, e)
	if s := n.Simulate(); !near(s.Mean(), 6e15, 1e13) {
		t.Errorf("mean %g", s.Mean())
	}
}

// Slow: a run is as long as the longest of its ways, one activity after the other.
func TestRunByRun(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 61))
	for _, size := range []int{1, 2, 5, 9, 20} {
		n := uncertain(t, r, size)
		n.Activities[0].Time = fixed(4)
		d := newDraws(n.Activities, nil)
		var lengths []grains
		for from := 0; from < d.runs(); from += blockRuns {
			d.block(from)
			for run := range blockRuns {
				to := make([]grains, size) // the longest way to an activity's end
				for _, i := range n.sorted {
					for _, j := range n.prev[i] {
						to[i] = max(to[i], to[j])
					}
					to[i] += d.times[i][run]
				}
				lengths = append(lengths, slices.Max(to))
			}
		}
		if s := n.Simulate(); !slices.Equal(s.lengths, lengths) || s.Runs != len(lengths) {
			t.Errorf("%d activities: the runs have other lengths", size)
		}
	}
}

// Slow: one that comes before another one that must end first need not be waited for.
func TestNeededByDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 62))
	left := 0
	for range 30 {
		n := uncertain(t, r, 1+r.IntN(12))
		for i, got := range n.needed() {
			var want []int
			for _, j := range n.prev[i] {
				implied := false
				for _, k := range n.prev[i] {
					implied = implied || n.before(j, k)
				}
				if !implied {
					want = append(want, j)
				} else {
					left++
				}
			}
			if !slices.Equal(got, want) {
				t.Errorf("%d needs %v of %v, want %v", i, got, n.prev[i], want)
			}
		}
	}
	if left == 0 {
		t.Error("nothing was implied")
	}
}

// The fewer activities, the more rounds: those of all activities together are 32 at most, and no more than eight each.
func TestRoundsOfDraws(t *testing.T) {
	for size, rounds := range map[int]int{0: 8, 1: 8, 4: 8, 5: 6, 10: 3, 16: 2, 17: 1, 60: 1} {
		if got := parallel(t, repeated(usual, size)...).Simulate().Runs; got != rounds*512 {
			t.Errorf("%d activities: %d runs, want %d rounds of 512", size, got, rounds)
		}
	}
}

// A time that is drawn is rounded to the next billionth of a minute: of a shape that is worked out, by its own quantiles.
func TestDrawnTimesAreRounded(t *testing.T) {
	for _, e := range []procedure.Estimate{{Optimistic: 1, Likely: 2, Pessimistic: 3}, {Optimistic: 0, Likely: 0, Pessimistic: 7}, {Optimistic: 2, Likely: 9, Pessimistic: 10}} {
		s := row(t, e).Simulate()
		span := e.Pessimistic - e.Optimistic
		alpha, beta := betaOf((e.Likely - e.Optimistic) / span)
		for run, place := range places(0) {
			want := e.Optimistic + span*distuv.Beta{Alpha: alpha, Beta: beta}.Quantile((float64(place)+0.5)/roundRuns)
			if got := float64(s.lengths[run]) / finest; !near(got, want, 0.51/finest) {
				t.Fatalf("%v: run %d takes %v, want %v", e, run, got, want)
			}
		}
	}
}

// Times without a range are the same in every run, to the billionth of a minute.
func TestFixedTimesAreDrawnExactly(t *testing.T) {
	s := row(t, fixed(2.25), fixed(0), fixed(1.0/3)).Simulate()
	if !near(s.Mean(), 2.25+1.0/3, 1e-9) || s.Deviation() > 1e-9 || !near(s.Time(0.5), 2.25+1.0/3, 1e-9) {
		t.Errorf("%v ± %v, median %v", s.Mean(), s.Deviation(), s.Time(0.5))
	}
}

// Worked by hand: 1, 2, 3 and 4 minutes have the mean 2.5 and, of a sample, the variance 5/3.
func TestMomentsByHand(t *testing.T) {
	s := &Simulation{Runs: 4, scale: 10, lengths: []grains{20, 40, 10, 30}}
	sd := math.Sqrt(5.0 / 3)
	if !near(s.Mean(), 2.5, 1e-12) || !near(s.Deviation(), sd, 1e-12) || !near(s.MeanError(), sd/2, 1e-12) {
		t.Errorf("%v ± %v, error %v", s.Mean(), s.Deviation(), s.MeanError())
	}
	// Two of four by 2 minutes; with one more of each outcome three of six, so √(½·½/4).
	if p, e := s.Share(2); p != 0.5 || !near(e, 0.25, 1e-12) {
		t.Errorf("%v ± %v", p, e)
	}
	// None of four: one of six, so √(1/6·5/6/4).
	if p, e := s.Share(0); p != 0 || !near(e, math.Sqrt(5.0/144), 1e-12) {
		t.Errorf("%v ± %v", p, e)
	}
	one := &Simulation{Runs: 1, scale: 10, lengths: []grains{20}}
	if one.Deviation() != 0 {
		t.Errorf("one run deviates by %v", one.Deviation())
	}
	for p, want := range map[float64]float64{-1: 1, 0: 1, 2: 4} { // outside of what is asked for: the ends
		if got := s.Time(p); got != want {
			t.Errorf("share %v: %v, want %v", p, got, want)
		}
	}
}

func TestNth(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	for size := 1; size < 40; size++ {
		list := make([]grains, size)
		for i := range list {
			list[i] = grains(r.IntN(10))
		}
		for k := range list {
			below, upTo := 0, 0
			x := nth(append([]grains(nil), list...), k)
			for _, y := range list {
				if y < x {
					below++
				}
				if y <= x {
					upTo++
				}
			}
			if below > k || upTo <= k {
				t.Fatalf("the %d-th of %v is not %d", k, list, x)
			}
		}
	}
}

func BenchmarkSimulate(b *testing.B) {
	n := uncertain(b, rand.New(rand.NewPCG(1, 1)), 30)
	for b.Loop() {
		n.Simulate()
	}
}
