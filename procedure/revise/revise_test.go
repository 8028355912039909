package revise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"gotest.tools/v3/assert"
	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/learning"
	"matchmark/procedure/measure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/text"
)

var usual = procedure.Estimate{Optimistic: 4, Likely: 6, Pessimistic: 10}

// one is a procedure with one step of that estimate.
func one(e procedure.Estimate) []*procedure.Procedure {
	return []*procedure.Procedure{{ID: "job", Steps: []*procedure.Step{{ID: "a", Time: e}}}}
}

// plain is a sample of times each of which counts in full.
func plain(minutes ...float64) sample {
	return sample{times: minutes, weights: slices.Repeat([]float64{1}, len(minutes))}
}

// placed is an estimate that stands in a file, so that it can be written.
func placed(e procedure.Estimate) procedure.Estimate {
	e.Span = text.NewFile("p.md", []byte("{time=4/6/10}")).Span(6, 12)
	return e
}

func timesOf(minutes ...float64) (out []Record) {
	for _, m := range minutes {
		out = append(out, Record{Step: "a", Minutes: m})
	}
	return out
}

func revision(t *testing.T, e procedure.Estimate, minutes ...float64) Revision {
	t.Helper()
	r := Times(one(e), timesOf(minutes...), Practice{}, Memory{})
	if len(r.Revisions) != 1 || len(r.Unplaced) != 0 {
		t.Fatalf("%+v", r)
	}
	return r.Revisions[0]
}

// Worked by hand from the documented weights, for an author's 4/6/10.
func TestFewRecordsCountLightly(t *testing.T) {
	for _, test := range []struct {
		minutes []float64
		m       float64
	}{
		{[]float64{12}, 6 * math.Pow(2, 1.0/6)},
		{[]float64{12, 12, 12, 12, 12}, 6 * math.Sqrt2},
		{slices.Repeat([]float64{12}, 45), 6 * math.Pow(2, 0.9)},
		{[]float64{6}, 6},
	} {
		if got := revised(usual, plain(test.minutes...)).Likely; math.Abs(got-test.m) > 1e-9 {
			t.Errorf("%d records: m %v, want %v", len(test.minutes), got, test.m)
		}
	}
	// A single record shows no spread: the author's stays, in proportion.
	if e := revised(usual, plain(12)); math.Abs(e.Optimistic/e.Likely-4.0/6) > 1e-9 || math.Abs(e.Pessimistic/e.Likely-10.0/6) > 1e-9 {
		t.Errorf("%+v", e)
	}
	// low² and high² are averaged: (5·(2/18)² + 1·x²)/6 and (5·(4/18)² + 1·x²)/6; the records 3 and 9 lie half of their median off on either side.
	e := revised(usual, plain(3, 9))
	low, high := math.Sqrt((5.0*4/324+0.25)/6), math.Sqrt((5.0*16/324+0.25)/6)
	if math.Abs(e.Likely-6) > 1e-9 || math.Abs(e.Optimistic-6*(1-3*low)) > 1e-9 || math.Abs(e.Pessimistic-6*(1+3*high)) > 1e-9 {
		t.Errorf("%+v, low %v, high %v", e, low, high)
	}
}

// Times drawn as the estimate 6/9/15 says, with breaks and slips among them, must bring back its
// expected time and deviation whatever the author thought.
func TestManyRecordsWin(t *testing.T) {
	truth := procedure.Estimate{Optimistic: 6, Likely: 9, Pessimistic: 15}
	random := rand.New(rand.NewPCG(2, 2))
	mean := (schedule.Expected(truth) - 6) / 9
	both := mean*(1-mean)*36 - 1
	beta := distuv.Beta{Alpha: mean * both, Beta: (1 - mean) * both, Src: random}
	var minutes []float64
	breaks := 0
	for i := range 400 {
		m := 6 + 9*beta.Rand()
		switch {
		case i%6 == 0:
			m += 25 + 20*random.Float64() // a break
			breaks++
		case i%40 == 1:
			m = 0.2 // the step was tapped through
			breaks++
		}
		minutes = append(minutes, m)
	}
	for _, author := range []procedure.Estimate{usual, {Optimistic: 20, Likely: 30, Pessimistic: 60}, {}} {
		v := revision(t, author, minutes...)
		e := revised(author, plain(used(minutes, author)...))
		if !(math.Abs(schedule.Expected(e)-schedule.Expected(truth)) < 0.35) || !(math.Abs(schedule.Deviation(e)-schedule.Deviation(truth)) < 0.3) {
			t.Errorf("author %v: %v, expected %v, deviation %v", author, e, schedule.Expected(e), schedule.Deviation(e))
		}
		if len(v.LeftOut) != breaks || v.Used != 400-breaks || !v.Changed {
			t.Errorf("author %v: %d of %d breaks and slips left out", author, len(v.LeftOut), breaks)
		}
	}
}

func used(minutes []float64, author procedure.Estimate) (out []float64) {
	low, high := limits(minutes, author)
	for _, m := range minutes {
		if m >= low && m <= high {
			out = append(out, m)
		}
	}
	return out
}

func TestOutliers(t *testing.T) {
	for _, test := range []struct {
		name    string
		minutes []float64
		want    string
	}{
		{"few, against the author's times", []float64{31, 30, 1.3, 1.4}, "31 too-long 30, 1.3 too-short 1.3333333333333333"},
		{"many, against their median", []float64{20, 21, 19, 20, 22, 60, 5}, "60 too-long 28.38, 5 too-short 14.09"},
		{"rounded to whole minutes", []float64{8, 8, 8, 8, 8, 8, 9, 11, 12}, "12 too-long 11.35"},
	} {
		v := revision(t, usual, test.minutes...)
		var got []string
		for _, l := range v.LeftOut {
			got = append(got, fmt.Sprintf("%v %s %v", l.Record.Minutes, l.Why, l.Limit))
		}
		want := strings.Split(test.want, ", ")
		if len(got) != len(want) || v.Used+len(got) != v.Records || v.Records != len(test.minutes) {
			t.Errorf("%s: %q, used %d", test.name, got, v.Used)
			continue
		}
		for i := range got {
			if !strings.HasPrefix(got[i], want[i]) {
				t.Errorf("%s: %q, want %q", test.name, got[i], want[i])
			}
		}
	}
	r := Times(one(usual), []Record{{Step: "a", Minutes: 6, Interrupted: true}}, Practice{}, Memory{})
	if v := r.Revisions[0]; v.Used != 0 || v.LeftOut[0].Why != Interrupted || v.Changed || v.New != usual || v.Value != "4/6/10" {
		t.Errorf("%+v", v)
	}
}

func TestRepetitionsAreAllowedFor(t *testing.T) {
	curve, err := learning.New(learning.Crawford, 0.8)
	assert.NilError(t, err)
	// The estimate is for a first time: 6 minutes then are 4.8 the second and 3.84 the fourth time.
	records := []Record{{Step: "a", Minutes: 4.8, Repetition: 2}, {Step: "a", Minutes: 3.84, Repetition: 4}, {Step: "a", Minutes: 6}}
	v := Times(one(usual), records, Practice{Curve: curve, Stated: 1}, Memory{}).Revisions[0]
	if math.Abs(v.Median-6) > 1e-9 || v.Used != 3 {
		t.Errorf("%+v", v)
	}
	// An outlier's limit is told in the minutes that were recorded: 30 for the first, 24 for the second time.
	v = Times(one(usual), []Record{{Step: "a", Minutes: 25, Repetition: 2}}, Practice{Curve: curve, Stated: 1}, Memory{}).Revisions[0]
	if len(v.LeftOut) != 1 || math.Abs(v.LeftOut[0].Limit-24) > 1e-9 {
		t.Errorf("%+v", v.LeftOut)
	}
}

func TestEstimatesStayInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.SampledFrom([]float64{0, 0.1, 1, 4, 50}).Draw(t, "a")
		m := a + rapid.SampledFrom([]float64{0, 0.05, 1, 30}).Draw(t, "m")
		b := m + rapid.SampledFrom([]float64{0, 0.05, 4, 300}).Draw(t, "b")
		old := procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b}
		minutes := rapid.SliceOfN(rapid.Float64Range(0.01, 500), 1, 12).Draw(t, "minutes")
		v := Times(one(old), timesOf(minutes...), Practice{}, Memory{}).Revisions[0]
		e := v.New
		if !(0 <= e.Optimistic && e.Optimistic <= e.Likely && e.Likely <= e.Pessimistic) || math.IsInf(e.Pessimistic, 0) {
			t.Fatalf("%v by %v: %v", old, minutes, e)
		}
		if v.Changed && (e.Likely <= 0 || a > 0 && e.Optimistic <= 0) {
			t.Fatalf("%v by %v: a time of nothing in %v", old, minutes, e)
		}
		if v.Changed {
			// What is written reads back as what was meant.
			ra, rm, rb, err := measure.ParseEstimate(v.Value)
			if err != nil || ra != e.Optimistic || rm != e.Likely || rb != e.Pessimistic {
				t.Fatalf("%q reads %v/%v/%v (%v), want %v", v.Value, ra, rm, rb, err, e)
			}
		} else if e != old {
			t.Fatalf("unchanged, but %v is now %v", old, e)
		}
		// The order of the records does not matter.
		other := slices.Clone(minutes)
		slices.Reverse(other)
		if w := Times(one(old), timesOf(other...), Practice{}, Memory{}).Revisions[0]; w.New != v.New || w.Used != v.Used || w.Median != v.Median {
			t.Fatalf("%+v, backward %+v", v, w)
		}
	})
}

func TestDigits(t *testing.T) {
	for _, test := range []struct{ e, want string }{
		{"0.512/1.04/1.98", "0.5/1/2"}, {"2.2/6.3/9.8", "2/6.5/10"}, {"10.4/12.5/100.6", "10/13/101"}, {"6.1/6.2/6.2", "6"}, {"0/0.01/0.02", "0/0.1/0.1"}, {"0.01/0.02/3", "0.1/0.1/3"},
	} {
		var e procedure.Estimate
		if _, err := fmt.Sscanf(test.e, "%f/%f/%f", &e.Optimistic, &e.Likely, &e.Pessimistic); err != nil {
			t.Fatal(err)
		}
		if got := schedule.Format(rounded(e)); got != test.want {
			t.Errorf("%s: %s, want %s", test.e, got, test.want)
		}
	}
	// An estimate with finer digits than the revised one would have is not changed for them alone.
	if v := revision(t, procedure.Estimate{Optimistic: 4.1, Likely: 6.1, Pessimistic: 10.1}, 6.1); v.Changed || v.Value != "4.1/6.1/10.1" {
		t.Errorf("%+v", v)
	}
}

func TestWhoseRecord(t *testing.T) {
	file := text.NewFile("p.md", []byte("0123456789"))
	shared := func(at int, id string) *procedure.Step {
		return &procedure.Step{ID: id, Time: usual, Span: file.Span(at, at+1)}
	}
	variant := &procedure.Variant{Row: procedure.Row{ID: "belt"}}
	chain := &procedure.Variant{Row: procedure.Row{ID: "chain"}}
	machine := &procedure.Machine{Variants: []*procedure.Variant{variant, chain}}
	own := shared(2, "hub")
	own.Variants = []procedure.Ref{{ID: "belt"}}
	out := &procedure.Procedure{ID: "out", Machine: machine, Steps: []*procedure.Step{shared(1, "isolate"), own}}
	in := &procedure.Procedure{ID: "in", Steps: []*procedure.Step{shared(1, "isolate"), shared(3, "hub")}}
	records := []Record{
		{Step: "isolate"}, {Step: "isolate", Procedure: "in"}, {Step: "hub"}, {Step: "hub", Procedure: "in"}, {Step: "hub", Procedure: "out", Variant: "belt"},
		{Step: "hub", Procedure: "out", Variant: "chain"}, {Step: "hub", Procedure: "out", Variant: "bolt"}, {Step: "isolat"}, {Step: "isolate", Procedure: "ouut"}, {Step: "hup", Procedure: "in"},
		{Step: "isolate", Variant: "chain"}, {Step: "isolate", Procedure: "in", Variant: "chain"},
	}
	for i := range records {
		records[i].Minutes = 6
	}
	r := Times([]*procedure.Procedure{out, in}, records, Practice{}, Memory{})
	var got []string
	for _, v := range r.Revisions {
		got = append(got, fmt.Sprintf("%s in %d: %d", v.Step.ID, len(v.Procedures), v.Records))
	}
	for _, l := range r.Unplaced {
		got = append(got, strings.TrimSpace(fmt.Sprint(l.Record.Step, " ", l.Why, " ", l.Suggest)))
	}
	want := []string{"isolate in 2: 3", "hub in 1: 1", "hub in 1: 1", "hub ambiguous-step", "hub other-variant", "hub unknown-variant belt", "isolat unknown-step isolate", "isolate unknown-procedure out", "hup unknown-step hub", "isolate unknown-variant"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("\n%q, want\n%q", got, want)
	}
}
