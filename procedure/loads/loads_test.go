package loads_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/loads"
	"matchmark/procedure/measure"
	"matchmark/procedure/position"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/statics"
)

// set is a generator that is flanged to its engine, both on one skid.
const set = `
base skid
part engine 680
part generator 480
bolt 2 engine generator
bolt 3 generator skid
bolt 4 engine skid
hoist hoist 1000
hoist crane 1000
sling sling 800
jack jack 500
jack second 500
hands helper
stand cradle 1000
`

// placed states the places of the set: mounts at 200, the flange at 1300, generator feet at 1500 and 2100.
func placed(change ...func(m *procedure.Machine)) *procedure.Machine {
	m := statetest.Machine(set)
	m.Thing("engine").Part.Centre, m.Thing("generator").Part.Centre = "700", "1800"
	for no, at := range map[string]position.List{"2": "1300", "3": "1500 / 2100", "4": "200"} {
		m.Thing(no).Fastener.At = at
	}
	m.Thing("2").Fastener.Count = 8
	m.Thing("sling").Support.Legs, m.Thing("sling").Support.Angle = 2, measure.Must("60 deg")
	m.Thing("jack").Support.At, m.Thing("hoist").Support.At = "1250", "1800"
	for _, c := range change {
		c(m)
	}
	return m
}

// after is the balance of a part after the last act of a job.
func after(m *procedure.Machine, part, steps string, places ...position.List) *loads.Balance {
	j := statetest.Procedure(m, "a: "+steps).Jobs()[0]
	for _, a := range j.Steps[0].Actions() {
		if a.Verb == procedure.Hang && len(places) > 0 {
			a.At, places = places[0], places[1:]
		}
	}
	t := state.Run(j)
	return loads.Of(t.End(), t.Assembly.Part(part))
}

// shares writes what each hold has, those on something that stays only.
func shares(b *loads.Balance) string {
	var out []string
	for _, x := range b.Shares {
		if !x.Grounded && x.Line == nil {
			continue
		}
		name := ""
		switch {
		case x.Fastener != nil:
			name = x.Fastener.ID
		case x.Seat != nil:
			name = "seat"
		default:
			name = x.Line.Supports[0].ID
		}
		out = append(out, fmt.Sprintf("%s %.0f..%.0f", name, x.Least, x.Most))
	}
	return strings.Join(out, ", ")
}

// The figures follow from moments by hand: the jack has 680 · 500 / 1050 = 323.8 kg of the engine, the mounts the rest.
func TestParted(t *testing.T) {
	b := after(placed(), "engine", "support engine with jack; support generator with hoist, sling; remove 2, 3")
	if !b.Judged || !b.Holds || !b.Strained || shares(b) != "4 356..356, jack 324..324" {
		t.Errorf("%+v: %s", b, shares(b))
	}
	b = after(placed(), "generator", "support engine with jack; support generator with hoist, sling; remove 2, 3")
	if !b.Judged || b.Free == nil || b.Free.Off != 0 || b.Crooked() || shares(b) != "hoist 480..480" {
		t.Errorf("%+v: %s", b, shares(b))
	}
}

func TestWhatIsForbidden(t *testing.T) {
	for _, c := range []struct{ name, part, steps, over string }{
		{"no jack under the engine", "engine", "support generator with hoist, sling; remove 2", "4"},
		{"a jack before its centre of mass, and the mounts out", "engine", "support engine with jack; support generator with hoist; remove 2, 4", "jack"},
	} {
		b := after(placed(), c.part, c.steps)
		if !b.Judged || b.Holds || b.Fall == nil || b.Fall.How != statics.Tips || len(b.About) != 1 {
			t.Errorf("%s: %+v", c.name, b)
			continue
		}
		about := ""
		if h := b.About[0]; h.Fastener != nil {
			about = h.Fastener.ID
		} else {
			about = h.Line.Supports[0].ID
		}
		if about != c.over || len(b.Falling) != 1 || b.Falling[0].ID != c.part {
			t.Errorf("%s: over %s, %v", c.name, about, b.Falling)
		}
	}
}

func TestRatings(t *testing.T) {
	weak := func(m *procedure.Machine) { m.Thing("jack").Support.Capacity = measure.Must("300 kg") }
	b := after(placed(weak), "engine", "support engine with jack; support generator with hoist, sling; remove 2, 3")
	if b.Holds || !b.Overrated || len(b.Beyond) != 1 || b.Beyond[0].Line == nil {
		t.Errorf("a jack for 300 kg: %+v", b)
	}
	mount := func(m *procedure.Machine) { m.Thing("4").Fastener.Rated = measure.Must("300 kg") }
	b = after(placed(mount), "engine", "support engine with jack; support generator with hoist, sling; remove 2, 3")
	if b.Holds || !b.Overrated || len(b.Beyond) != 1 || b.Beyond[0].Fastener == nil {
		t.Errorf("mounts for 300 kg: %+v", b)
	}
}

// Two hoists on the generator alone, at 1600 and 2200: two thirds and one third of 480 kg. Source: the share of two cranes is W · other distance / sum.
func TestTwoHoists(t *testing.T) {
	b := after(placed(), "generator", "support generator with hoist; support generator with crane; remove 2, 3; hold", "1600", "2200")
	if !b.Holds || shares(b) != "hoist 320..320, crane 160..160" {
		t.Errorf("%+v: %s", b, shares(b))
	}
	b = after(placed(), "generator", "support generator with hoist, crane; remove 2, 3", "1600 / 2200")
	if shares(b) != "hoist 320..320, crane 160..160" {
		t.Errorf("in one act: %s", shares(b))
	}
	b = after(placed(), "generator", "support generator with hoist, crane; remove 2, 3", "1900 / 2200")
	if b.Holds || b.Fall == nil || b.Fall.How != statics.Swings {
		t.Errorf("both behind the middle: %+v", b)
	}
}

// Two legs at 1700 and 2000 below a hook at 1800: the shares are 2/3 and 1/3 of 480 kg, the pulls these by the sine of 60°.
func TestLegs(t *testing.T) {
	hoist := func(m *procedure.Machine) { m.Thing("hoist").Support.At = "" }
	b := after(placed(hoist), "generator", "support generator with hoist, sling; remove 2, 3", "1700 / 2000")
	if len(b.Lines) != 1 || len(b.Legs[&b.Lines[0]]) != 2 {
		t.Fatalf("%+v", b)
	}
	legs := b.Legs[&b.Lines[0]]
	for i, want := range []float64{320, 160} {
		if math.Abs(legs[i].Share-want) > 1e-9 || math.Abs(legs[i].Pull-want/math.Sin(math.Pi/3)) > 1e-9 {
			t.Errorf("leg %d: %+v, want %v kg", i, legs[i], want)
		}
	}
	if b = after(placed(hoist), "generator", "support generator with hoist, sling; remove 2, 3", "1900 / 2000"); !b.Crooked() {
		t.Errorf("beside both legs: %+v", b)
	}
}

// A few millimetres are a tilt that is told, and no fault; 130 mm below a height of 500 mm are 14.6°.
func TestHooksBesideTheCentre(t *testing.T) {
	for _, c := range []struct {
		centre, at position.List
		tilt       float64
		crooked    bool
	}{
		{"1800", "1805", 0, false}, {"1800", "1950", 0, true},
		{"1800, 0, 500", "1805, 0, 1000", math.Atan(5.0/500) * 180 / math.Pi, false}, {"1800, 0, 500", "1800, 130, 1000", math.Atan(130.0/500) * 180 / math.Pi, true},
		{"1800, 0, 500", "1800, 5, 300", 0, true},
	} {
		m := placed(func(m *procedure.Machine) { m.Thing("generator").Part.Centre = c.centre })
		b := after(m, "generator", "support generator with hoist; remove 2, 3", c.at)
		if b.Free == nil || math.Abs(b.Free.Tilt-c.tilt) > 1e-9 || b.Crooked() != c.crooked {
			t.Errorf("%s under %s: %+v", c.centre, c.at, b.Free)
		}
	}
}

// What is not stated is named, and nothing is judged then.
func TestLacks(t *testing.T) {
	none := statetest.Machine(set)
	if b := after(none, "engine", "support engine with jack; remove 2"); b.Judged || b.Placed {
		t.Errorf("without places: %+v", b)
	}
	for name, c := range map[string]func(m *procedure.Machine){
		"engine": func(m *procedure.Machine) { m.Thing("engine").Part.Centre = "" },
		"4":      func(m *procedure.Machine) { m.Thing("4").Fastener.At = "" },
		"jack":   func(m *procedure.Machine) { m.Thing("jack").Support.At = "" },
	} {
		b := after(placed(c), "engine", "support engine with jack; support generator with hoist; remove 2, 3")
		if b.Judged || len(b.Lacks) != 1 {
			t.Errorf("%s: %+v", name, b)
			continue
		}
		got := ""
		switch l := b.Lacks[0]; {
		case l.Part != nil:
			got = l.Part.ID
		case l.Fastener != nil:
			got = l.Fastener.ID
		case l.Support != nil:
			got = l.Support.ID
		}
		if got != name {
			t.Errorf("lacks %s, want %s", got, name)
		}
	}
}

func TestStanding(t *testing.T) {
	for _, c := range []struct {
		name        string
		change      func(p *procedure.Part)
		known       bool
		edge, angle float64
	}{
		{"nothing stated", func(p *procedure.Part) { p.Centre = "" }, false, 0, 0},
		{"on a line", func(p *procedure.Part) { p.Feet = "1500 / 2100" }, true, 300, 0},
		{"beside its feet", func(p *procedure.Part) { p.Feet = "1500 / 1700" }, true, -100, 0},
		{"by its footprint", func(p *procedure.Part) { p.Centre, p.Footprint, p.Height = "", "150 x 500", measure.Must("600 mm") }, true, 75, math.Atan(75.0/600) * 180 / math.Pi},
		{"on four feet", func(p *procedure.Part) {
			p.Centre, p.Feet = "1800, 0, 500", "1500, -250, 0 / 1500, 250, 0 / 2100, -250, 0 / 2100, 250, 0"
		}, true, 250, math.Atan(250.0/500) * 180 / math.Pi},
	} {
		m := placed(func(m *procedure.Machine) { c.change(m.Thing("generator").Part) })
		trace := state.Run(statetest.Procedure(m, "a: support engine with jack; support generator with hoist; remove 2, 3; lift generator with hoist; set down generator on cradle").Jobs()[0])
		s, known := loads.StandingOf(trace.End(), trace.Assembly.Part("generator"))
		if known != c.known || math.Abs(s.Edge-c.edge) > 1e-9 || math.Abs(s.Angle-c.angle) > 1e-9 {
			t.Errorf("%s: %+v, %v", c.name, s, known)
		}
	}
}
