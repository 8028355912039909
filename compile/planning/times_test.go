package planning

import (
	"math"
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/procedure/schedule"
)

// The expected times are worked out by hand: 6 + 10 + 10 + 4 minutes for one person; with
// two the covers come off side by side. Each cover's variance is ((16 - 4) / 6)² = 4.
func TestTimesPage(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/covers/times.html")
	pagetest.Expect(t, p, map[string][]string{
		".plan-figures dd": {"30 min", "30 min", "20 min", "20 min"},
		".crews tbody th":  {"1 person", "2 people"},
		".lanes li": {
			"Person 1 (leads): 4 steps, works 30 min",
			"Person 1 (leads): 3 steps, works 20 min", "Person 2: 1 step, works 10 min, waits 10 min",
		},
		".roster tbody tr": {
			"0:00 0:06 1 Look at it no slack yes", "0:06 0:16 2 Left cover no slack yes step 1",
			"0:16 0:26 3 Right cover no slack yes somebody, from step 2", "0:26 0:30 4 Count all no slack Hold point yes step 3",
			"0:00 0:06 1 Look at it no slack yes", "0:06 0:16 2 Left cover no slack yes step 1",
			"0:06 0:16 3 Right cover no slack yes step 1", "0:16 0:20 4 Count all no slack Hold point yes step 2",
		},
		".windows tbody tr": {
			"1 Look at it 6 min 0:00 0:06 0:00 0:06 no slack", "2 Left cover 10 min ± 2 min 0:06 0:16 0:06 0:16 no slack",
			"3 Right cover 10 min ± 2 min 0:06 0:16 0:06 0:16 no slack", "4 Count all 4 min 0:16 0:20 0:16 0:20 no slack",
		},
		".rivals li": {"Steps 1, 3, 4: 20 min. In 50 % of cases they take longer than the longest path."},
	})
	if text := p.Text(); !strings.Contains(text, "its variance is 4 min²") || !strings.Contains(text, "More people would not shorten it") {
		t.Error(text)
	}
	if w := p.Texts(".plan-warning"); len(w) != 1 || !strings.Contains(w[0], "about the same time") {
		t.Errorf("warnings %q", w)
	}
	for _, a := range p.All(".windows tbody a") {
		if !strings.HasPrefix(a.Attributes["href"], "steps.html#") {
			t.Errorf("a step leads to %q", a.Attributes["href"])
		}
	}
}

// A job whose steps state one time each has no chances, and nothing to warn of.
func TestTimesWithoutSpread(t *testing.T) {
	lib := library()
	for _, s := range lib.Procedures[0].Steps {
		s.Time = fixed(5)
	}
	p := pagetest.Page(t, emit(t, lib), "procedure/covers/times.html")
	if len(p.All(".chances")) > 0 || len(p.All(".plan-warning")) > 0 || !strings.Contains(p.Text(), "Give a range, such as 4/6/10") {
		t.Error(p.Text())
	}
	pagetest.Expect(t, p, map[string][]string{".crews tbody tr": {"1 person 20 min – No, shortest possible", "2 people 15 min 5 min No, shortest possible"}})
}

// The covers take the only socket: two people are no quicker than one, and more would not help. With
// two sockets they are, and each socket is named by its number where somebody waits for it.
func TestTimesWithAToolForEach(t *testing.T) {
	lib := library()
	lib.Procedures[0].Steps[2].Tools = refs("socket")
	p := pagetest.Page(t, emit(t, lib), "procedure/covers/times.html")
	pagetest.Expect(t, p, map[string][]string{
		".plan-figures dd": {"30 min", "30 min", "30 min"},
		".crews tbody tr":  {"1 person 30 min – 34 min No, shortest possible"},
	})
	if !strings.Contains(p.Text(), "More people would not shorten it") {
		t.Error(p.Text())
	}
	lib.Machines[0].Tools[0].Quantity = measure.Must("2 pcs")
	p = pagetest.Page(t, emit(t, lib), "procedure/covers/times.html")
	pagetest.Expect(t, p, map[string][]string{".plan-figures dd": {"30 min", "30 min", "20 min", "20 min"}})

	third := *lib.Procedures[0].Steps[2]
	third.ID, third.Title = "third", "Third cover"
	lib.Procedures[0].Steps = slices.Insert(lib.Procedures[0].Steps, 3, &third)
	lib.Procedures[0].Steps[4].After = refs("left", "right", "third")
	lib.Courses[0].Pace.People = 3
	p = pagetest.Page(t, emit(t, lib), "procedure/covers/times.html")
	pagetest.Expect(t, p, map[string][]string{".crews tbody th": {"1 person", "2 people"}})
	if text := p.Text(); !strings.Contains(text, "no. 1") || !strings.Contains(text, "no. 2") || !strings.Contains(text, "Socket 13 mm, from step 2") {
		t.Error(text)
	}
}

// Two equal paths of symmetric times: both end in time in a quarter of cases, not in half, as the one alone.
func TestChancesOfTwoEqualPaths(t *testing.T) {
	w := newWork(analysis.New(library().Procedures[0]).Jobs[0], 2)
	c := w.forecast.By(20)
	if math.Abs(c.Normal-0.5) > 1e-9 || math.Abs(c.Simulated-0.25) > 4*c.StandardError || c.Warning != schedule.ParallelPaths {
		t.Errorf("%+v", c)
	}
}

func TestPercentAndClock(t *testing.T) {
	e := emitterIn(t, "de")
	for p, want := range map[float64]string{0: "0 %", 0.004: "unter 1 %", 0.25: "25 %", 0.994: "99 %", 0.996: "über 99 %", 1: "100 %"} {
		if got := e.percent(p); got != want {
			t.Errorf("%g: %q, want %q", p, got, want)
		}
	}
	for d, want := range map[float64]string{0.1234: "+12,3", -0.02: "−2", 0.0004: "0", -0.0004: "0"} {
		if got := e.difference(d); got != want {
			t.Errorf("%g: %q, want %q", d, got, want)
		}
	}
	for m, want := range map[float64]string{0: "0:00", 29.5: "0:30", 59.4: "0:59", 125: "2:05"} {
		if got := clock(m); got != want {
			t.Errorf("%g: %q, want %q", m, got, want)
		}
	}
}

// A step for three starts the rosters at three people.
func TestStepsForSeveral(t *testing.T) {
	lib := library()
	lib.Procedures[0].Steps[3].People = 3
	p := pagetest.Page(t, emit(t, lib), "procedure/covers/times.html")
	pagetest.Expect(t, p, map[string][]string{".crews tbody th": {"3 people"}, ".roster thead .does": {"P1", "P2", "P3"}})
	if svg := p.All(".chart .together"); len(svg) != 1 || strings.Count(svg[0].Attributes["d"], "M") != 3 {
		t.Errorf("bars of the step for three: %d paths", len(svg))
	}
	if own := pagetest.Page(t, emit(t, lib), "course/week/plan.html").Texts(".plan-warning"); len(own) != 1 || own[0] != "Too few people. Step 4, Count all, takes 3; there are 2." {
		t.Errorf("%q", own)
	}
}

// Each bar of the chart lies where its time says, over the bands.
func TestBars(t *testing.T) {
	if m, mark := stretch(45); m != 15 || mark != 5 {
		t.Errorf("45 min: bands of %g", m)
	}
	if m, _ := stretch(241); m != 90 {
		t.Errorf("241 min: bands of %g", m)
	}
	if m, mark := stretch(4000); m != 1020 || mark != 180 {
		t.Errorf("4000 min: bands of %g, marks at %g", m, mark)
	}
	p := pagetest.Page(t, emit(t, library()), "procedure/covers/times.html")
	charts := p.All(".chart")
	if len(charts) != 2 || len(charts[0].All("svg")) != 2 || len(charts[1].All("svg")) != 2 {
		t.Fatalf("%d charts", len(charts)) // 30 and 20 minutes in bands of 15
	}
	numbers := charts[0].Texts(".number tspan")
	if strings.Join(numbers, " ") != "1 2 2 3 4" { // the left cover goes on over the first band's end
		t.Errorf("numbers %q", numbers)
	}
	bars := charts[0].All(".bar")[0].Attributes["d"]
	if !strings.HasPrefix(bars, "M85 42h245v28h-245z") { // 6 of 15 minutes of 616 pixels, less the outline
		t.Errorf("bars %s", bars)
	}
}

func TestSameEachTime(t *testing.T) {
	a, b := emit(t, library()), emit(t, library())
	for at := range a {
		if string(a[at]) != string(b[at]) {
			t.Errorf("%s differs", at)
		}
	}
}

func TestMissingMachine(t *testing.T) {
	lib := library()
	if err := EmitProcedure(lib, pagetest.Theme(t), nil, analysis.New(&procedure.Procedure{ID: "x"}), 0); err == nil || !strings.Contains(err.Error(), "machine") {
		t.Errorf("%v", err)
	}
}
