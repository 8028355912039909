package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure/quiz/itemanalysis"
)

// rats are tumours in 70 groups of rats.
//
// Data: R. E. Tarone, Biometrics 38 (1982), as in A. Gelman et al., Bayesian Data Analysis, table 5.1 (from memory). The mean 0.136
// and the deviation 0.103 of the 70 shares are printed there, and here tell whether the numbers were remembered rightly.
var rats = []Count{
	{0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 20}, {0, 19}, {0, 19}, {0, 19}, {0, 19}, {0, 18}, {0, 18}, {0, 17},
	{1, 20}, {1, 20}, {1, 20}, {1, 20}, {1, 19}, {1, 19}, {1, 18}, {1, 18}, {2, 25}, {2, 24}, {2, 23}, {2, 20}, {2, 20}, {2, 20},
	{2, 20}, {2, 20}, {2, 20}, {1, 10}, {5, 49}, {2, 19}, {5, 46}, {3, 27}, {2, 17}, {7, 49}, {7, 47}, {3, 20}, {3, 20}, {2, 13},
	{9, 48}, {10, 50}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {4, 20}, {10, 48}, {4, 19}, {4, 19}, {4, 19}, {5, 22},
	{11, 46}, {12, 49}, {5, 20}, {5, 20}, {6, 23}, {5, 19}, {6, 22}, {6, 20}, {6, 20}, {6, 20}, {16, 52}, {15, 47}, {15, 46}, {9, 24},
}

func TestRats(t *testing.T) {
	var shares []float64
	for _, c := range rats {
		shares = append(shares, float64(c.Right)/float64(c.Of))
	}
	if m, sd := stat.MeanStdDev(shares, nil); len(rats) != 70 || math.Abs(m-0.136) > 0.0005 || math.Abs(sd-0.1035) > 0.0005 {
		t.Fatalf("%d groups, mean %.4f, deviation %.4f", len(rats), m, sd)
	}
	p := Pool(rats)
	// The same source fits a beta distribution to all groups: its density is highest near a = 2.4, b = 14.3,
	// where the mean is 0.144 and the deviation 0.083.
	if math.Abs(p.Difficulty-0.144) > 0.012 || math.Abs(p.Between-0.083) > 0.012 {
		t.Errorf("mean %.4f, between %.4f", p.Difficulty, p.Between)
	}
	// As likely as the best fit there is, but for a little: the moments are not the maximum.
	best := math.Inf(-1)
	for a := 0.5; a < 8; a += 0.1 {
		for b := 2.0; b < 50; b += 0.5 {
			best = max(best, likelihood(rats, a, b))
		}
	}
	within := p.Between * p.Between / (p.Difficulty * (1 - p.Difficulty))
	sum := (1 - within) / within
	if got := likelihood(rats, p.Difficulty*sum, (1-p.Difficulty)*sum); got < best-1.5 {
		t.Errorf("log-likelihood %.3f, the best is %.3f", got, best)
	}
	// 9 of 24: drawn from 0.375 to the mean by a prior of so many rats.
	if want := (9 + p.Difficulty*sum) / (24 + sum); math.Abs(p.Classes[69]-want) > 1e-9 || p.Classes[69] > 0.375 || p.Classes[69] < 0.2 {
		t.Errorf("%v, want %v", p.Classes[69], want)
	}
}

func likelihood(classes []Count, a, b float64) float64 {
	beta := func(x, y float64) float64 {
		lx, _ := math.Lgamma(x)
		ly, _ := math.Lgamma(y)
		lxy, _ := math.Lgamma(x + y)
		return lx + ly - lxy
	}
	out := 0.0
	for _, c := range classes {
		out += beta(a+float64(c.Right), b+float64(c.Of-c.Right)) - beta(a, b)
	}
	return out
}

// Classes that are alike are one class: the interval is Wilson's. By hand: 9 of 12 and 18 of 24 are both 75 %.
func TestAlike(t *testing.T) {
	low, high := itemanalysis.Wilson(27, 36)
	for _, classes := range [][]Count{{{9, 12}, {18, 24}, {0, 0}}, {{27, 36}}} {
		p := Pool(classes)
		if p.Difficulty != 0.75 || p.Between != 0 || p.Classes[0] != 0.75 || math.Abs(p.Low-low) > 1e-12 || math.Abs(p.High-high) > 1e-12 {
			t.Errorf("%v: %+v", classes, p)
		}
	}
	for _, all := range []Count{{12, 12}, {0, 12}} {
		if p := Pool([]Count{all, all}); p.Between != 0 || math.IsNaN(p.Low) || p.Classes[1] != p.Difficulty {
			t.Errorf("%+v", p)
		}
	}
}

// Drawn to the common share, classes of 12 are nearer to the truth than by their own counts, and the interval holds it.
func TestShrinkageIsNearer(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 9))
	truth := distuv.Beta{Alpha: 7, Beta: 3, Src: random}
	var own, drawn float64
	held, sets := 0, 400
	for range sets {
		var classes []Count
		var shares []float64
		for range 8 {
			share := truth.Rand()
			right := 0
			for range 12 {
				if random.Float64() < share {
					right++
				}
			}
			classes, shares = append(classes, Count{right, 12}), append(shares, share)
		}
		p := Pool(classes)
		for i, share := range shares {
			own += (float64(classes[i].Right)/12 - share) * (float64(classes[i].Right)/12 - share)
			drawn += (p.Classes[i] - share) * (p.Classes[i] - share)
		}
		if p.Low <= 0.7 && 0.7 <= p.High {
			held++
		}
	}
	t.Logf("squared error %.3f by counts, %.3f drawn; the interval holds the mean in %d of %d", own, drawn, held, sets)
	if drawn > 0.8*own || held < sets*90/100 {
		t.Errorf("squared error %.3f by counts, %.3f drawn; the interval holds the mean in %d of %d", own, drawn, held, sets)
	}
}
