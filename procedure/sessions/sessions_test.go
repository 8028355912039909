package sessions

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
)

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

const machine = `
base frame
part gearbox 60
bolt 1 gearbox frame
bolt 2 gearbox frame
hoist hoist 250
stand pallet 500
`

// job builds a job from steps such as "a 30: remove 1; stop" or "a 10/20/60: hold".
func job(steps ...string) *procedure.Job {
	var lines []string
	var times []procedure.Estimate
	for _, s := range steps {
		head, body, _ := strings.Cut(s, ":")
		id, time, _ := strings.Cut(head, " ")
		lines = append(lines, id+": "+body)
		times = append(times, estimate(time))
	}
	j := statetest.Job(machine, strings.Join(lines, "\n"))
	for i, s := range j.Steps {
		s.Time = times[i]
	}
	return j
}

func estimate(s string) (e procedure.Estimate) {
	if _, err := fmt.Sscanf(s, "%f/%f/%f", &e.Optimistic, &e.Likely, &e.Pessimistic); err != nil {
		fmt.Sscanf(s, "%f", &e.Likely)
		e.Optimistic, e.Pessimistic = e.Likely, e.Likely
	}
	return e
}

func whole(j *procedure.Job) []Item { return []Item{{Title: "Job", Job: j}} }

// ends writes the last step of each session.
func ends(p *Plan) string {
	var out []string
	for _, s := range p.Sessions {
		last := "other"
		for _, r := range s.Rows {
			if r.Kind == WorkRow {
				if last = "other"; r.Step != nil {
					last = r.Step.ID
				}
			}
		}
		out = append(out, last)
	}
	return strings.Join(out, " ")
}

func split(t *testing.T, items []Item, r Rules) *Plan {
	t.Helper()
	p, err := Split(items, r)
	assert.NilError(t, err)
	return p
}

func TestSessionsEndAtSafeStopsOnly(t *testing.T) {
	hold := job("a 50: stop", "b 50: remove 1", "c 50: hold", "d 50: remove 2", "e 10: mark gearbox")
	for _, b := range hold.Steps[2].Blocks {
		if h, ok := b.(*procedure.Hold); ok {
			h.SafeStop = true
		}
	}
	for _, test := range []struct {
		name  string
		items []Item
		want  string
		stops []Stop
	}{
		{"marked steps and hold points", whole(hold), "a c e", []Stop{StepStop, HoldStop, EndOfJob}},
		{"a quiz", []Item{{Job: job("a 100: remove 1")}, {Title: "Quiz", Time: estimate("20")}, {Job: job("b 100: remove 1")}}, "a other b", []Stop{EndOfJob, AfterOther, EndOfJob}},
		{"the end of a job", []Item{{Job: job("a 100: remove 1")}, {Job: job("b 100: remove 1")}}, "a b", []Stop{EndOfJob, EndOfJob}},
		{"a run of steps", []Item{{Job: hold, From: "b", To: "c"}}, "c", []Stop{HoldStop}},
	} {
		p := split(t, test.items, Rules{Length: 110, Confidence: 0.9})
		if got := ends(p); got != test.want || len(p.Breaches) != 0 || len(p.Obstacles) != 0 {
			t.Errorf("%s: sessions end at %s, want %s; %+v", test.name, got, test.want, p)
			continue
		}
		for i, s := range p.Sessions {
			if s.Stop != test.stops[i] || !s.Fits {
				t.Errorf("%s: session %d: %+v", test.name, i+1, s)
			}
		}
	}
}

// Worked by hand: 4 steps of te 40 and sd 4. Two together need 80 + 1.2816·5.657 = 87.25 at 90 %
// (normal quantile from tables), three need 120 + 1.2816·6.928 = 128.88. Set-up and clear-down take 15.
func TestConfidence(t *testing.T) {
	j := job("a 28/40/52: stop", "b 28/40/52: stop", "c 28/40/52: stop", "d 28/40/52: stop")
	r := Rules{Length: 102.3, SetUp: 10, ClearDown: 5, Confidence: 0.9}
	p := split(t, whole(j), r)
	if ends(p) != "b d" {
		t.Fatalf("sessions end at %s", ends(p))
	}
	s := p.Sessions[0]
	if !near(s.Work, 80, 1e-9) || !near(s.Deviation, 5.657, 5e-4) || !near(s.CarefulEnd, 102.25, 5e-3) || !near(s.End, 95, 1e-9) || !near(s.Spare, 7.3, 1e-9) {
		t.Errorf("%+v", s)
	}
	if want := 0.5 * math.Erfc(7.3/5.6569/math.Sqrt2); !near(s.Overrun, want, 1e-5) || s.Overrun > 0.1 {
		t.Errorf("overrun %v, want %v", s.Overrun, want)
	}
	if r.Length = 102.2; ends(split(t, whole(j), r)) != "a b c d" {
		t.Error("102.2 minutes are not enough for two steps with 90 % confidence")
	}
	if r.Length = 144; ends(split(t, whole(j), r)) != "b d" {
		t.Error("of two sessions, two and two steps are safer than three and one")
	}
	r.Length, r.Confidence = 102.2, 0.85
	if ends(split(t, whole(j), r)) != "b d" {
		t.Error("with less confidence they fit")
	}
	if !near(p.Expected, 160, 1e-9) || !near(p.Deviation, 8, 1e-9) {
		t.Errorf("all work: %v, deviation %v", p.Expected, p.Deviation)
	}
}

func TestFactorOfLearners(t *testing.T) {
	j := job("a 40: stop", "b 40: stop", "c 40: stop")
	p := split(t, []Item{{Job: j, Factor: 1.5}}, Rules{Length: 100, Confidence: 0.9})
	if ends(p) != "a b c" || p.Expected != 180 {
		t.Errorf("%s, %v", ends(p), p.Expected)
	}
}

// slowest tries every set of cuts.
func slowest(all []piece, cuts []int, r Rules) (sessions int, worst worth) {
	sessions = math.MaxInt
	for set := range 1 << (len(cuts) - 1) {
		from, n, w, fits := 0, 0, worth{math.Inf(1), math.Inf(1)}, true
		for k, cut := range cuts {
			if k < len(cuts)-1 && set>>k&1 == 0 {
				continue
			}
			v, ok := worthOf(all[from:cut], r)
			fits = fits && ok
			if v.less(w) {
				w = v
			}
			from, n = cut, n+1
		}
		if fits && (n < sessions || n == sessions && worst.less(w)) {
			sessions, worst = n, w
		}
	}
	return sessions, worst
}

func TestSplitAgainstEverySplit(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	found, none := 0, 0
	for k := range 300 {
		var steps []string
		for i := range 3 + random.IntN(8) {
			a := 5 + random.IntN(20)
			m := a + random.IntN(20)
			step := fmt.Sprintf("s%d %d/%d/%d: remove 1", i, a, m, m+random.IntN(30))
			if random.IntN(3) > 0 {
				step += "; stop"
			}
			steps = append(steps, step)
		}
		r := Rules{Length: float64(50 + random.IntN(80)), SetUp: 5, ClearDown: 5, Confidence: 0.9}
		if random.IntN(2) == 0 {
			r.Break = Break{Length: 10, Every: 40}
		}
		p := split(t, whole(job(steps...)), r)
		all, _, err := pieces(whole(job(steps...)))
		assert.NilError(t, err)
		want, worst := slowest(all, stops(all), r)
		if want == math.MaxInt {
			none++
			if len(p.Sessions) != 0 || len(p.Obstacles) == 0 {
				t.Errorf("library %d: %d sessions where no split exists", k, len(p.Sessions))
			}
			continue
		}
		found++
		risk := 0.0
		for i, s := range p.Sessions {
			risk = max(risk, s.Overrun)
			if !s.Fits || s.CarefulEnd > r.Length+same || s.Overrun > 0.1+1e-9 || s.Stop == NotSafe || s.Number != i+1 {
				t.Errorf("library %d: %+v", k, s)
			}
		}
		if len(p.Sessions) != want || !near(risk, worst.overrun(), 1e-12) || len(p.Obstacles) != 0 {
			t.Errorf("library %d: %d sessions at %v, want %d at %v", k, len(p.Sessions), risk, want, worst.overrun())
		}
	}
	if found < 50 || none < 20 {
		t.Errorf("%d with and %d without a split are too few to show anything", found, none)
	}
}

func TestAsLaidOut(t *testing.T) {
	j := job("a 40: stop", "b 40: remove 1", "c 40: stop")
	p, err := As([][]Item{{{Job: j, To: "b"}, {Title: "Quiz", Time: estimate("10")}}, {{Job: j, From: "c"}}, {}}, Rules{Length: 60, SetUp: 5, Confidence: 0.9})
	assert.NilError(t, err)
	if ends(p) != "other c other" || p.Sessions[0].Fits || p.Sessions[0].Overrun != 1 || p.Sessions[0].Spare != -35 || !p.Sessions[1].Fits || p.Sessions[1].Overrun != 0 || p.Sessions[2].Work != 0 {
		t.Errorf("%s: %+v", ends(p), p.Sessions)
	}
	if len(p.Breaches) != 1 || p.Breaches[0].Step.ID != "b" {
		t.Errorf("breaches %+v", p.Breaches)
	}
	// Going on with the next step is no breach, but the session's end is not safe.
	p, err = As([][]Item{{{Job: j, To: "b"}}, {{Job: j, From: "c"}}}, Rules{Length: 100, Confidence: 0.9})
	if err != nil || len(p.Breaches) != 0 || p.Sessions[0].Stop != NotSafe || p.Sessions[1].Stop != StepStop {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestItemsThatMakeNoSense(t *testing.T) {
	j := job("a 5: remove 1", "b 5: remove 2")
	r := Rules{Length: 60, Confidence: 0.9}
	for _, test := range []struct {
		items []Item
		rules Rules
		want  string
	}{
		{[]Item{{Title: "Job", Job: j, From: "x"}}, r, "Job: there is no step x"},
		{[]Item{{Title: "Job", Job: j, To: "x"}}, r, "Job: there is no step x"},
		{[]Item{{Title: "Job", Job: j, From: "b", To: "a"}}, r, "the step b comes after the step a"},
		{nil, Rules{Confidence: 0.9}, "is no session"},
		{nil, Rules{Length: math.Inf(1), Confidence: 0.9}, "is no session"},
		{nil, Rules{Length: 60, SetUp: 40, ClearDown: 20, Confidence: 0.9}, "leave nothing"},
		{nil, Rules{Length: 60, SetUp: -1, Confidence: 0.9}, "leave nothing"},
		{nil, Rules{Length: 60, Confidence: 0.9, Break: Break{Length: 10}}, "makes no sense"},
		{nil, Rules{Length: 60, Confidence: 1}, "confidence"},
		{nil, Rules{Length: 60, Confidence: 0.4}, "confidence"},
		{nil, Rules{Length: 60, Confidence: math.NaN()}, "confidence"},
	} {
		if _, err := Split(test.items, test.rules); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: %v, want %q", test.rules, err, test.want)
		}
		if _, err := As([][]Item{test.items}, test.rules); err == nil {
			t.Errorf("%+v: laid out without an error", test.rules)
		}
	}
}

func TestNothingToSplit(t *testing.T) {
	for _, items := range [][]Item{nil, {{Job: &procedure.Job{Procedure: &procedure.Procedure{}}}}} {
		if p := split(t, items, Rules{Length: 60, Confidence: 0.9}); len(p.Sessions) != 0 || len(p.Obstacles) != 0 || len(p.Breaches) != 0 {
			t.Errorf("%+v", p)
		}
	}
}

func TestClock(t *testing.T) {
	r := Rules{Start: 8*60 + 30}
	for minutes, want := range map[float64]string{0: "08:30", 74.4: "09:44", 74.5: "09:45", 15.5 * 60: "00:00", 30 * 60: "14:30", -9 * 60: "23:30"} {
		if got := r.Clock(minutes); got != want {
			t.Errorf("%v minutes: %s, want %s", minutes, got, want)
		}
	}
}

// Sixteen steps of 20/30/40 minutes: standard deviations of 3.33 min. By hand: apart their sum deviates by 4 · 3.33 = 13.3 min, with a
// correlation of 0.3 by the root of 0.7 · 16 · 3.33² + 0.3 · (16 · 3.33)² = 31.3 min, and with 1 by all of 53.3 min. Drawn teams
// with a pace of their own, by one common factor, overrun as often as the plan says.
func TestCommonPace(t *testing.T) {
	var items []Item
	for range 16 {
		items = append(items, Item{Title: "quiz", Time: procedure.Estimate{Optimistic: 20, Likely: 30, Pessimistic: 40}})
	}
	for pace, want := range map[float64]float64{0: 13.333, 0.3: 31.269, 1: 53.333} {
		r := Rules{Length: 500, Confidence: 0.9, CommonPace: pace}
		p, err := As([][]Item{items}, r)
		assert.NilError(t, err)
		s := p.Sessions[0]
		if math.Abs(s.Deviation-want) > 0.001 || math.Abs(p.Deviation-want) > 0.001 {
			t.Errorf("pace %v: deviations %.3f and %.3f, want %.3f", pace, s.Deviation, p.Deviation, want)
		}
		const runs = 20_000
		late, allKeep := 0, 0
		draw := rand.New(rand.NewPCG(11, 11))
		for range runs {
			kept := true
			for team := range 4 {
				total, common := 0.0, draw.NormFloat64()
				for range 16 {
					total += 30 + 10.0/3*(math.Sqrt(pace)*common+math.Sqrt(1-pace)*draw.NormFloat64())
				}
				if total > 500 {
					kept = false
					if team == 0 {
						late++
					}
				}
			}
			if kept {
				allKeep++
			}
		}
		error4 := func(p float64) float64 { return 4*math.Sqrt(p*(1-p)/runs) + 1e-9 }
		if got := float64(late) / runs; math.Abs(got-s.Overrun) > error4(s.Overrun) {
			t.Errorf("pace %v: overruns with %.4f, of drawn teams %.4f", pace, s.Overrun, got)
		}
		if got := float64(allKeep) / runs; math.Abs(got-s.AllKeep(4, 0)) > error4(s.AllKeep(4, 0)) {
			t.Errorf("pace %v: all of four keep it with %.4f, drawn %.4f", pace, s.AllKeep(4, 0), got)
		}
	}
	p, _ := As([][]Item{items}, Rules{Length: 500, Confidence: 0.9, CommonPace: 0.3})
	if s := p.Sessions[0]; !near(s.AllKeep(1, 7), 1-s.Overrun, 1e-12) || !near(s.AllKeep(2, 20), (1-s.Overrun)*0.5, 1e-9) { // 480 and 20 minutes are all 500
		t.Errorf("%.4f, %.4f", s.AllKeep(1, 7), s.AllKeep(2, 20))
	}
	if s := (Session{Spare: 10}); s.AllKeep(3, 5) != 1 || s.AllKeep(3, 6) != 0 {
		t.Error("times without a spread end when they say")
	}
	if _, err := As([][]Item{items}, Rules{Length: 500, Confidence: 0.9, CommonPace: 1.1}); err == nil {
		t.Error("a correlation of 1.1 is taken")
	}
}
