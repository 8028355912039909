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
	f := row(t, repeated(usual, 40)...).Forecast()
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
	for i, share := range f.Simulation.Critical() {
		if share != 1 {
			t.Errorf("activity %d is critical in %v of the runs of a chain", i, share)
		}
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
	f := n.Forecast()
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
	for i, share := range f.Simulation.Critical() {
		if !near(share, 0.5, 4*math.Sqrt(0.25/float64(f.Simulation.Runs))) {
			t.Errorf("activity %d is critical in %v of the runs", i, share)
		}
	}
}

func TestManyWeakRivalsWarnToo(t *testing.T) {
	// Ten paths, each longer than the critical one with a chance below 10 %.
	times := []procedure.Estimate{{Optimistic: 90, Likely: 100, Pessimistic: 110}}
	for range 10 {
		times = append(times, procedure.Estimate{Optimistic: 83.5, Likely: 93.5, Pessimistic: 103.5})
	}
	f := parallel(t, times...).Forecast()
	if c := f.By(100); len(f.Rivals) != 0 || c.Warning != ParallelPaths || c.Difference <= 0 {
		t.Errorf("%d rivals, %+v", len(f.Rivals), c)
	}
}

func TestOneSkewedTimeIsNotNormal(t *testing.T) {
	f := row(t, procedure.Estimate{Optimistic: 5, Likely: 5, Pessimistic: 60}).Forecast()
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
	if f := n.Forecast(); len(f.Rivals) != 0 {
		t.Errorf("a path that is always shorter is no rival: %+v", f.Rivals)
	}
	// Worked by hand: 2 minutes shorter, deviation of the difference 2: Φ(-1) = 0.1587 and 2·(φ(1) - Φ(-1)) = 0.1666.
	n = network(t, parallel(t, fixed(20), procedure.Estimate{Optimistic: 12, Likely: 18, Pessimistic: 24}, tail).Activities, graph)
	f := n.Forecast()
	if len(f.Rivals) != 1 || !near(f.Rivals[0].Longer, 0.1587, 5e-5) || !near(f.Rivals[0].Later, 0.1666, 5e-5) || !near(f.Rivals[0].Length, 78, 1e-9) {
		t.Errorf("%+v", f.Rivals)
	}
}

func TestForecastIsTheSameEachTime(t *testing.T) {
	n, _ := publishedNetwork(t, "02_pert_network.csv")
	a, b := n.Forecast(), n.Forecast()
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
