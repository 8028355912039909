package lifting

import (
	"errors"
	"math"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/published"
)

// The assumed lift by hand: 23 · 25/40 · (1-.003·25) · (.82+4.5/40) · (1-.0032·30) · 1 · .95 = 10.65 kg.
func TestByHand(t *testing.T) {
	for _, c := range []struct {
		mass   string
		people int
		band   Band
		reason Reason
		load   float64
	}{
		{"10 kg", 1, Within, "", 10},
		{"22 lb", 1, Within, "", 9.97903214},
		{"12 kg", 1, Raised, "", 12},
		{"20 kg", 2, Within, "", 10},
		{"24 kg", 2, Raised, "", 12},
		{"40 kg", 1, High, "", 40},
		{"10 kg", 0, Within, "", 10},
		{"30 kg", 3, NotJudged, TooManyPeople, 0},
		{"", 1, NotJudged, NoMass, 0},
		{"10 mm", 1, NotJudged, NoMass, 0},
	} {
		var mass measure.Quantity
		if c.mass != "" {
			mass = measure.Must(c.mass)
		}
		v := ByHand(mass, c.people, nil)
		if v.Band != c.band || v.Reason != c.reason || !near(v.Lift.Load, c.load, 1e-9) || !v.Assumed {
			t.Errorf("%s by %d: %+v", c.mass, c.people, v)
		}
		if v.Reason == "" && !near(v.Result.RWL, 10.6492, 0.001) {
			t.Errorf("%s by %d: RWL %.4f", c.mass, c.people, v.Result.RWL)
		}
	}
	stated := Lift{System: US(), Origin: Position{Horizontal: 10, Vertical: 30}, Coupling: Good}
	v := ByHand(measure.Must("51 lb"), 1, &stated)
	if v.Assumed || !near(v.Result.Index, 1, 1e-12) || v.Band != Within {
		t.Errorf("the best lift there is: %+v", v)
	}
	if stated.Load != 0 {
		t.Error("the caller's geometry was changed")
	}
	if v := ByHand(measure.Must("5 kg"), 1, &Lift{System: Metric(), Travel: -1}); v.Reason != BadGeometry {
		t.Errorf("negative travel: %+v", v)
	}
	if v := ByHand(measure.Must("5 kg"), 1, &Lift{}); v.Reason != BadGeometry {
		t.Errorf("no system: %+v", v)
	}
}

// Source: ashleysling.com (calculating sling angles) and sharrowlifting.com
// (sling catalogue p. 99), which agree. They truncate: 40° and 35° are up to 0.0015 low.
func TestPublishedFactors(t *testing.T) {
	for _, row := range published.Rows(t, "05_sling_factors.csv") {
		got, err := Factor(row.Number(t, "angle_deg"))
		if err != nil || !near(got, row.Number(t, "factor_published"), 0.002) || !near(1/got, row.Number(t, "reduction_published"), 0.001) ||
			!near(got, row.Number(t, "computed_1_over_sin"), 6e-6) {
			t.Errorf("%s°: %.5f (%v), want %s", row["angle_deg"], got, err, row["factor_published"])
		}
	}
}

// Source: worked examples of sharrowlifting.com, kwrs.com/products/212 and
// ashleysling.com, which use factors rounded to three decimals.
func TestPublishedSlings(t *testing.T) {
	var file struct {
		Examples []struct {
			Load    float64   `json:"load_lb"`
			Legs    int       `json:"legs"`
			Angles  []float64 `json:"angle_deg"`
			Tension []float64 `json:"tension_per_leg_lb"`

			PerSling  float64 `json:"load_per_sling_lb"`
			L         float64 `json:"L_in"`
			H         float64 `json:"H_in"`
			Factor    float64 `json:"factor"`
			Rating    float64 `json:"min_rating_lb"`
			Rated     float64 `json:"rating_lb"`
			Reduction float64 `json:"reduction"`
			Reduced   float64 `json:"reduced_rating_lb"`
		}
	}
	published.JSON(t, "05_sling_examples.json", &file)
	checks := 0
	for _, e := range file.Examples {
		for i, angle := range e.Angles {
			got, err := LegTension(e.Load, CarryingLegs(e.Legs, false), angle)
			if err != nil || !near(got, e.Tension[i], 0.001*e.Tension[i]) {
				t.Errorf("%v lb at %v°: %.1f (%v), want %v", e.Load, angle, got, err, e.Tension[i])
			}
			checks++
		}
		if e.L == 0 {
			continue
		}
		angle := math.Asin(e.H/e.L) * 180 / math.Pi // the factor by the sling's sides is L/H
		f, err := Factor(angle)
		switch {
		case err != nil:
			t.Error(err)
		case e.Factor > 0:
			if got, err := LegTension(e.PerSling, 1, angle); err != nil || !near(f, e.Factor, 1e-9) || !near(got, e.Rating, 1e-6) {
				t.Errorf("L %v, H %v: factor %v, tension %v (%v)", e.L, e.H, f, got, err)
			}
		case !near(1/f, e.Reduction, 1e-9) || !near(e.Rated/f, e.Reduced, 1e-6):
			t.Errorf("L %v, H %v: reduction %v", e.L, e.H, 1/f)
		}
		checks++
	}
	if checks != 8 {
		t.Errorf("%d checks", checks)
	}
}

func TestAngles(t *testing.T) {
	for angle, flat := range map[float64]bool{29.99: true, 0: true, -1: false, 90.1: false, math.Inf(1): false, math.NaN(): false} {
		_, err := Factor(angle)
		var e *AngleError
		if !errors.As(err, &e) || e.TooFlat() != flat || e.Error() == "" {
			t.Errorf("%v°: %v", angle, err)
		}
		if _, err := LegTension(100, 2, angle); err == nil {
			t.Errorf("%v° has a tension", angle)
		}
	}
}

func TestCarryingLegs(t *testing.T) {
	for _, c := range []struct {
		legs  int
		chain bool
		want  int
	}{{0, false, 1}, {1, false, 1}, {2, false, 2}, {3, false, 2}, {4, false, 2}, {2, true, 2}, {3, true, 3}, {4, true, 3}} {
		if got := CarryingLegs(c.legs, c.chain); got != c.want {
			t.Errorf("%d legs, chain %v: %d, want %d", c.legs, c.chain, got, c.want)
		}
	}
}

func support(kind, capacity string, legs int, angle string) *procedure.Support {
	s := &procedure.Support{Kind: kind, Legs: legs}
	if capacity != "" {
		s.Capacity = measure.Must(capacity)
	}
	if angle != "" {
		s.Angle = measure.Must(angle)
	}
	return s
}

func TestByGear(t *testing.T) {
	hoist, hands := support("hoist", "250 kg", 0, ""), support("hands", "", 0, "")
	for _, c := range []struct {
		name     string
		mass     string
		supports []*procedure.Support
		gear     Gear
		reason   Reason
		weakest  int
		canCarry float64
	}{
		{"hoist", "200 kg", []*procedure.Support{hoist}, Carries, "", 0, 250},
		{"exactly", "250 kg", []*procedure.Support{hoist}, Carries, "", 0, 250},
		{"above", "250.1 kg", []*procedure.Support{hoist}, Overloaded, "", 0, 250},
		{"force", "100 kg", []*procedure.Support{support("jack", "2 kN", 0, "")}, Carries, "", 0, 2000 / 9.80665},
		{"sling at 30°", "200 kg", []*procedure.Support{hoist, support("sling", "200 kg", 2, "30 deg")}, Carries, "", 1, 200},
		{"sling at 90°", "200 kg", []*procedure.Support{hoist, support("sling", "100 kg", 2, "90 deg")}, Carries, "", 1, 200},
		{"sling is the weakest", "180 kg", []*procedure.Support{hoist, support("sling", "100 kg", 2, "60 deg")}, Overloaded, "", 1, 173.2051},
		{"four legs count as two", "180 kg", []*procedure.Support{support("sling", "100 kg", 4, "60 deg")}, Overloaded, "", 0, 173.2051},
		{"chain counts three", "180 kg", []*procedure.Support{support("chain sling", "100 kg", 4, "60 deg")}, Carries, "", 0, 259.8076},
		{"angle not stated", "150 kg", []*procedure.Support{support("sling", "200 kg", 2, "")}, Carries, "", 0, 200},
		{"one leg hangs straight", "150 kg", []*procedure.Support{support("sling", "200 kg", 1, "")}, Carries, "", 0, 200},
		{"too flat", "10 kg", []*procedure.Support{hoist, support("sling", "500 kg", 2, "29 deg")}, Refused, TooFlat, 0, 250},
		{"no angle at all", "10 kg", []*procedure.Support{support("sling", "500 kg", 2, "100 deg")}, GearNotJudged, BadAngle, -1, 0},
		{"angle in millimetres", "10 kg", []*procedure.Support{support("sling", "500 kg", 2, "45 mm")}, GearNotJudged, BadAngle, -1, 0},
		{"no capacity", "10 kg", []*procedure.Support{hoist, support("stand", "", 0, "")}, GearNotJudged, NoCapacity, 0, 250},
		{"no capacity, but overloaded", "300 kg", []*procedure.Support{support("stand", "", 0, ""), hoist}, Overloaded, "", 1, 250},
		{"no mass", "", []*procedure.Support{hoist}, GearNotJudged, NoMass, 0, 250},
		{"hands only", "10 kg", []*procedure.Support{hands}, GearNotJudged, NoSupport, -1, 0},
		{"hands steady it", "200 kg", []*procedure.Support{hands, hoist}, Carries, "", 0, 250},
	} {
		var mass measure.Quantity
		if c.mass != "" {
			mass = measure.Must(c.mass)
		}
		v := ByGear(mass, c.supports)
		if v.Gear != c.gear || v.Reason != c.reason || v.Weakest != c.weakest {
			t.Errorf("%s: %+v", c.name, v)
			continue
		}
		if c.weakest >= 0 && !near(v.Items[c.weakest].CanCarry, c.canCarry, 0.001) {
			t.Errorf("%s: can carry %.4f, want %v", c.name, v.Items[c.weakest].CanCarry, c.canCarry)
		}
	}
	v := ByGear(measure.Must("100 kg"), []*procedure.Support{support("sling", "200 kg", 2, "")})
	if i := v.Items[0]; !i.AngleAssumed || i.Angle != 30 || !near(i.Tension, 100, 1e-9) || i.Legs != 2 {
		t.Errorf("%+v", i)
	}
}
