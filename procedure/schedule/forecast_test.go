package schedule

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure"
	"matchmark/procedure/order"
)

// row is a network of activities that follow each other.
func row(t *testing.T, times ...procedure.Estimate) *Network {
	n := parallel(t, times...)
	graph := order.NewGraph(len(times))
	for i := 1; i < len(times); i++ {
		graph.Add(i-1, i)
	}
	return network(t, n.Activities, graph)
}

func repeated(e procedure.Estimate, times int) (out []procedure.Estimate) {
	for range times {
		out = append(out, e)
	}
	return out
}

var usual = procedure.Estimate{Optimistic: 4, Likely: 6, Pessimistic: 10}

func TestLongChainsAreNormal(t *testing.T) {
	f := row(t, repeated(usual, 40)...).SimulatedForecast()
	for _, z := range []float64{-2, -1, 0, 0.5, 1, 2} {
		by := f.Times.Length + z*f.Times.Deviation
		c := f.By(by)
		// Three standard errors, and what 40 skewed times still lack to the normal: by the first term
		// of the Edgeworth series, skewness·(1 - z²)·φ(z)/6 (from memory), here at most 0.003.
		if !near(c.Normal, c.Simulated, 3*c.StandardError+0.003) || c.Warning != Trusted {
			t.Errorf("by %.1f: %+v", by, c)
		}
		if want := distuv.UnitNormal.CDF(z); !near(c.Normal, want, 1e-12) {
			t.Errorf("z %v: %v, want %v", z, c.Normal, want)
		}
	}
	if len(f.Rivals) != 0 {
		t.Errorf("a chain has no rivals: %+v", f.Rivals)
	}
}

// Two equal paths that share nothing: both have ended by their mean with half the chance of one, squared.
func TestTwoEqualPathsAreNotOne(t *testing.T) {
	const length = 30
	graph := order.NewGraph(2 * length)
	for i := range 2*length - 1 {
		if i != length-1 {
			graph.Add(i, i+1)
		}
	}
	n := network(t, parallel(t, repeated(usual, 2*length)...).Activities, graph)
	f := n.SimulatedForecast()
	c := f.By(f.Times.Length)
	if c.Warning != ParallelPaths || c.Normal != 0.5 {
		t.Fatalf("%+v", c)
	}
	if c.Difference < 0.2 || !near(c.Simulated, 0.25, 3*c.StandardError+0.01) {
		t.Errorf("%+v, want a simulated chance of a quarter", c)
	}
	if len(f.Rivals) != 1 || f.Rivals[0].Longer != 0.5 {
		t.Fatalf("rivals %+v", f.Rivals)
	}
	// The mean of the later of two equal normal times is sd/√π after their own mean (order statistics, from memory).
	late := f.Times.Deviation / math.Sqrt(math.Pi)
	if !near(f.Rivals[0].Later, late, 1e-9) || !near(f.Simulation.Mean()-f.Times.Length, late, 4*f.Simulation.MeanError()) {
		t.Errorf("later by %v, simulated %v, want %v", f.Rivals[0].Later, f.Simulation.Mean()-f.Times.Length, late)
	}
}

func TestManyWeakRivalsWarnToo(t *testing.T) {
	// Ten paths, each longer than the critical one with a chance below 10 %.
	times := []procedure.Estimate{{Optimistic: 90, Likely: 100, Pessimistic: 110}}
	for range 10 {
		times = append(times, procedure.Estimate{Optimistic: 83.5, Likely: 93.5, Pessimistic: 103.5})
	}
	f := parallel(t, times...).SimulatedForecast()
	if c := f.By(100); len(f.Rivals) != 0 || c.Warning != ParallelPaths || c.Difference <= 0 {
		t.Errorf("%d rivals, %+v", len(f.Rivals), c)
	}
}

func TestOneSkewedTimeIsNotNormal(t *testing.T) {
	f := row(t, procedure.Estimate{Optimistic: 5, Likely: 5, Pessimistic: 60}).SimulatedForecast()
	if c := f.By(f.Times.Length); c.Warning != NotNormal || len(f.Rivals) != 0 {
		t.Errorf("%+v", c)
	}
}

// What two paths share delays both alike: with a long common tail the rival is no more likely to win.
func TestRivalsAreComparedOnWhatTheyDoNotShare(t *testing.T) {
	tail := procedure.Estimate{Optimistic: 10, Likely: 60, Pessimistic: 110}
	graph := order.NewGraph(3)
	graph.Add(0, 2)
	graph.Add(1, 2)
	n := network(t, parallel(t, fixed(20), fixed(18), tail).Activities, graph)
	if f := n.SimulatedForecast(); len(f.Rivals) != 0 {
		t.Errorf("a path that is always shorter is no rival: %+v", f.Rivals)
	}
	// Worked by hand: 2 minutes shorter, deviation of the difference 2: Φ(-1) = 0.1587 and 2·(φ(1) - Φ(-1)) = 0.1666.
	n = network(t, parallel(t, fixed(20), procedure.Estimate{Optimistic: 12, Likely: 18, Pessimistic: 24}, tail).Activities, graph)
	f := n.SimulatedForecast()
	if len(f.Rivals) != 1 || !near(f.Rivals[0].Longer, 0.1587, 5e-5) || !near(f.Rivals[0].Later, 0.1666, 5e-5) || !near(f.Rivals[0].Length, 78, 1e-9) {
		t.Errorf("%+v", f.Rivals)
	}
}

// Worked by hand: paths of 10 minutes that are 0, 1, 1, 2 and 9 minutes shorter than the critical one, each
// with the deviation of the difference beside it. The three worst are kept, the worst first.
func TestRivalsByHand(t *testing.T) {
	graph := order.NewGraph(7)
	graph.Add(5, 6)
	spread := func(mean, half float64) procedure.Estimate {
		return procedure.Estimate{Optimistic: mean - half, Likely: mean, Pessimistic: mean + half}
	}
	n := network(t, parallel(t, fixed(10), spread(9, 3), spread(9, 6), spread(8, 6), spread(1, 1), spread(4, 3), spread(5, 6)).Activities, graph)
	f := n.SimulatedForecast()
	want := []Rival{ // θ·φ(s/θ) - s·Φ(-s/θ), with normal tables (from memory): φ(0.4472) = 0.36098, Φ(-0.4472) = 0.32736; φ(½) = 0.35207, Φ(-½) = 0.30854; φ(1) = 0.24197, Φ(-1) = 0.15866
		{Path: []int{5, 6}, Length: 9, Deviation: math.Sqrt(5), Longer: 0.32736, Later: 0.47982},
		{Path: []int{2}, Length: 9, Deviation: 2, Longer: 0.30854, Later: 0.39560},
		{Path: []int{3}, Length: 8, Deviation: 2, Longer: 0.15866, Later: 0.16662},
	}
	if len(f.Rivals) != len(want) {
		t.Fatalf("rivals %+v", f.Rivals)
	}
	for k, r := range f.Rivals {
		w := want[k]
		if !slices.Equal(r.Path, w.Path) || !near(r.Length, w.Length, 1e-9) || !near(r.Deviation, w.Deviation, 1e-9) || !near(r.Longer, w.Longer, 1e-4) || !near(r.Later, w.Later, 1e-4) {
			t.Errorf("rival %d: %+v, want %+v", k, r, w)
		}
	}
	// A rival that leaves the critical path in the middle and comes back to it: the path is whole, in its order.
	graph = order.NewGraph(5)
	for _, e := range [][2]int{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {3, 4}} {
		graph.Add(e[0], e[1])
	}
	f = network(t, parallel(t, usual, fixed(20), spread(19, 3), usual, usual).Activities, graph).SimulatedForecast()
	if len(f.Rivals) != 1 || !slices.Equal(f.Rivals[0].Path, []int{0, 2, 3, 4}) || !slices.Equal(f.Times.Path, []int{0, 1, 3, 4}) {
		t.Errorf("path %v, rivals %+v", f.Times.Path, f.Rivals)
	}
	// What they share adds to its deviation, and not to the difference: three times 1 minute, and 1 minute.
	if r := f.Rivals[0]; !near(r.Deviation, 2, 1e-9) || !near(r.Longer, 0.15866, 1e-4) {
		t.Errorf("%+v", r)
	}
}

// Chances that differ are a warning from 2 % and three standard errors on; of which kind says the mean.
func TestWarningsByHand(t *testing.T) {
	// A path of 10 minutes without spread has ended by then for certain; runs of which some took longer say less.
	forecast := func(runs, late int, by grains) *Forecast {
		s := &Simulation{Runs: runs, scale: 1000, lengths: make([]grains, runs)}
		for k := range s.lengths {
			s.lengths[k] = 10_000
			if k < late {
				s.lengths[k] = 10_000 + by
			} else if by < 100 && k < 2*late {
				s.lengths[k] = 10_000 - by // as much earlier: the mean stays
			}
		}
		return &Forecast{Times: Times{Length: 10}, Simulation: s}
	}
	for _, c := range []struct {
		runs, late int
		by         grains
		want       Warning
	}{
		{10_000, 0, 1000, Trusted},
		{10_000, 150, 1000, Trusted}, // 1.5 % in ten thousand runs are certain, and nobody would notice
		{10_000, 250, 1000, ParallelPaths},
		{10_000, 250, 10, NotNormal},
		{100, 5, 1000, Trusted}, // 5 % in a hundred runs may be chance: the error is 2.3 %
		{100, 30, 1000, ParallelPaths},
		{100, 30, 10, NotNormal},
	} {
		got := forecast(c.runs, c.late, c.by).By(10)
		if got.Warning != c.want || got.By != 10 || got.Normal != 1 || !near(got.Difference, float64(c.late)/float64(c.runs), 1e-9) {
			t.Errorf("%d of %d late by %d: %+v, want %q", c.late, c.runs, c.by, got, c.want)
		}
	}
	// Without spread, what the last bits of a sum leave over makes no difference.
	if f := (Times{Length: 10}); f.Normal(10-1e-10) != 1 || f.Normal(10-1e-6) != 0 {
		t.Error("the end is not when the path ends")
	}
}

func TestForecastIsTheSameEachTime(t *testing.T) {
	n, _ := publishedNetwork(t, "02_pert_network.csv")
	a, b := n.SimulatedForecast(), n.SimulatedForecast()
	if !slices.Equal(a.Simulation.lengths, b.Simulation.lengths) || a.By(50) != b.By(50) {
		t.Error("the same network gave another simulation")
	}
}

func TestShare(t *testing.T) {
	s := &Simulation{Runs: 4, scale: 10, lengths: []grains{20, 10, 30, 20}}
	for by, want := range map[float64]float64{0.5: 0, 1: 0.25, 2: 0.75, 2.5: 0.75, 3: 1} {
		if p, standardError := s.Share(by); p != want || standardError <= 0 {
			t.Errorf("by %v: %v ± %v, want %v", by, p, standardError, want)
		}
	}
	for p, want := range map[float64]float64{0.25: 1, 0.26: 2, 0.75: 2, 0.8: 3, 1: 3} {
		if got := s.Time(p); got != want {
			t.Errorf("share %v: %v, want %v", p, got, want)
		}
	}
}
