package sheet

import (
	"slices"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/fastening"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
)

// lifting64 is the small library with a rated sling, and a hood of 12 kg that one person takes off.
func lifting64() *procedure.Library {
	lib := library()
	m := lib.Machines[0]
	m.Variants = nil
	m.Supports[1].Capacity = measure.Must("200 kg")
	m.Parts = append(m.Parts, &procedure.Part{Row: row("hood", "hood"), Letter: "A", Mass: measure.Must("12 kg")})
	m.Index()
	list := actions(procedure.Remove, "hood")
	list.Lift = procedure.HandLift{Reach: measure.Must("40 cm"), Grip: "fair"}
	steps := lib.Procedures[0].Steps
	steps[1].People = 1
	steps[1].Blocks = append(steps[1].Blocks, list)
	return lib
}

// Two legs at 60°: 64/2 · 1.155 = 37 kg on each, and 200 kg · 2/1.155 = 346.4 kg can
// hang on both (published factor 1.155, testdata/reference/05_sling_factors.csv).
func TestLiftWithGear(t *testing.T) {
	p := pagetest.Page(t, emit(t, lifting64()), "procedure/out/lift.html")
	pagetest.Expect(t, p, map[string][]string{
		".sheet-kind":            {"Lift sheet"},
		".sheet-lead strong":     {"This sheet is a plausibility check. It certifies nothing."},
		".gear-lift h2":          {"Step 3: Lift G drive gearbox, 64 kg"},
		".gear-lift tbody tr":    {"chain hoist weakest 250 kg 64 kg 250 kg", "web sling 200 kg 2 60° 37 kg on each leg 346.4 kg"},
		".gear-lift .verdict":    {"The load is within the capacity. The weakest item is chain hoist: its capacity as rigged is 250 kg, and the load is 26 % of that."},
		".gear-lift .sign .rule": {"Lift released by (signature)", "Time"},
		".gear-lift .alarm":      nil,
	})
	looks := p.Texts(".gear-lift .check-lines li")
	if len(looks) != 8 || len(p.All(".gear-lift .check-lines i")) != 8 || !strings.HasSuffix(looks[0], "64 kg") {
		t.Errorf("before the lift: %q", looks)
	}
	all := p.Text()
	for _, words := range []string{"under a suspended load", "trained people", "Inspect each sling", "hook latch"} {
		if !strings.Contains(all, words) {
			t.Errorf("no caution says %q", words)
		}
	}
}

// The assumed lift by hand allows 23 · 25/40 · (1-.003·25) · (.82+4.5/40) · (1-.0032·30) · 1 · .95
// = 10.65 kg at the start, so that 12 kg have an index of 1.13.
func TestLiftByHand(t *testing.T) {
	p := pagetest.Page(t, emit(t, lifting64()), "procedure/out/lift.html")
	pagetest.Expect(t, p, map[string][]string{
		".hand-lifts .verdict":         {"Above the limit (index above 1): use a second person or lifting gear, or stand closer and twist less."},
		".hand-lifts .geometry":        {"reach 40 cm · hands from 50 cm assumed · to 90 cm assumed · twist 30° assumed · grip fair"},
		".hand-lifts .equation strong": {"10.6 kg"},
		".hand-lifts .equation": {
			"At the start: 23 kg × HM 0.625 × VM 0.925 × DM 0.933 × AM 0.904 × FM 1 × CM 0.95 = 10.6 kg",
			"At the end: 23 kg × HM 0.625 × VM 0.955 × DM 0.933 × AM 0.904 × FM 1 × CM 1 = 11.6 kg",
		},
	})
	if got := p.Texts(".hand-lifts tbody tr")[0]; got != "2 Remove A hood 12 kg 1 12 kg 10.6 kg 1.13" {
		t.Errorf("the row says %q", got)
	}
}

func TestVerdictsOfGear(t *testing.T) {
	for _, c := range []struct {
		name     string
		mass     string
		capacity string
		angle    string
		want     string
		doubt    bool
	}{
		{"heavy", "400 kg", "200 kg", "60 deg", "Overloaded: chain hoist can carry 250 kg. Do not lift like this.", true},
		{"sling weaker than the hoist", "64 kg", "20 kg", "60 deg", "Overloaded: web sling can carry 34.6 kg. Do not lift like this.", true},
		{"flat sling", "64 kg", "200 kg", "20 deg", "A sling leg is flatter than 30°. Do not lift like this: use longer legs or a spreader.", true},
		{"no rating", "64 kg", "", "60 deg", "Not judged: a rated capacity is not stated. Find that out before the lift.", true},
		{"no mass", "", "200 kg", "60 deg", "Not judged: the mass is not stated. Find that out before the lift.", true},
	} {
		lib := lifting64()
		m := lib.Machines[0]
		m.Parts[0].Mass, m.Supports[1].Capacity, m.Supports[1].Angle = measure.Quantity{}, measure.Quantity{}, measure.Must(c.angle)
		if c.mass != "" {
			m.Parts[0].Mass = measure.Must(c.mass)
		}
		if c.capacity != "" {
			m.Supports[1].Capacity = measure.Must(c.capacity)
		}
		p := pagetest.Page(t, emit(t, lib), "procedure/out/lift.html")
		verdict := p.All(".gear-lift .verdict")[0]
		if verdict.Text() != c.want || strings.Contains(verdict.Attributes["class"], "alarm") != c.doubt {
			t.Errorf("%s: %q, want %q", c.name, verdict.Text(), c.want)
		}
	}
}

// A load that stands on a jack has no hook to look at.
func TestLiftFromBelow(t *testing.T) {
	lib := lifting64()
	m := lib.Machines[0]
	m.Supports[0].Kind = "jack"
	lib.Procedures[0].Steps[2].Blocks[0].(*procedure.ActionList).Actions[1].With = refs("hoist")
	looks := strings.Join(pagetest.Page(t, emit(t, lib), "procedure/out/lift.html").Texts(".gear-lift .check-lines li"), "\n")
	if strings.Contains(looks, "hook") || !strings.Contains(looks, "cannot tip") {
		t.Errorf("before the lift:\n%s", looks)
	}
}

// Every reason and verdict that may stand on a sheet has words in every language.
func TestReasonsHaveWords(t *testing.T) {
	theme := pagetest.Theme(t)
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range []fastening.Reason{
			fastening.NotThreaded, fastening.SealingPlug, fastening.NoThread, fastening.OtherThread, fastening.WrongThread,
			fastening.NoClass, fastening.OtherClass, fastening.WrongClass, fastening.NotInClass, fastening.NoTorque,
		} {
			if !words.Has("sheet.torque.reason." + string(r)) {
				t.Errorf("%s: no words for the reason %s", lang, r)
			}
		}
		for _, r := range []lifting.Reason{
			lifting.NoMass, lifting.TooManyPeople, lifting.BadGeometry, lifting.NoSupport, lifting.NoCapacity, lifting.BadAngle, lifting.TooFlat,
		} {
			if !words.Has("sheet.lift.reason." + string(r)) {
				t.Errorf("%s: no words for the reason %s", lang, r)
			}
		}
		titles := map[string]bool{}
		for _, k := range []Kind{Checklist, Tools, Torque, Lift, Labels} {
			titles[k.Title(words)] = true
		}
		if len(titles) != 5 || slices.ContainsFunc([]Kind{Torque, Lift}, func(k Kind) bool { return strings.HasPrefix(k.Title(words), "[") }) {
			t.Errorf("%s: titles %v", lang, titles)
		}
	}
}

// Two lifts of one step are two sections of the page.
func TestTwoLiftsInOneStep(t *testing.T) {
	lib := lifting64()
	list := lib.Procedures[0].Steps[2].Blocks[0].(*procedure.ActionList)
	list.Actions = append(list.Actions, &procedure.Action{Verb: procedure.Lift, Object: ref("hood"), With: refs("hoist")})
	ids := map[string]bool{}
	for _, h := range pagetest.Page(t, emit(t, lib), "procedure/out/lift.html").All(".gear-lift h2") {
		ids[h.Attributes["id"]] = true
	}
	if len(ids) != 2 {
		t.Errorf("the headings of two lifts have the ids %v", ids)
	}
}

// What is still bolted to the load hangs on the hook with it; of four legs two are taken to carry.
func TestWhatComesAlong(t *testing.T) {
	lib := lifting64()
	m := lib.Machines[0]
	m.Parts = append(m.Parts, &procedure.Part{Row: row("frame", "frame"), Base: true},
		&procedure.Part{Row: row("bracket", "bracket"), Mass: measure.Must("6 kg")}, &procedure.Part{Row: row("cap", "cap")})
	m.Fasteners[0].Joins = refs("gearbox", "frame")
	m.Fasteners = append(m.Fasteners,
		&procedure.Fastener{Row: row("20", "bracket bolt"), Kind: procedure.Bolt, Count: 1, Joins: refs("gearbox", "bracket")},
		&procedure.Fastener{Row: row("21", "cap screw"), Kind: procedure.Screw, Count: 1, Joins: refs("bracket", "cap")})
	m.Supports[1].Legs = 4
	m.Index()
	pagetest.Expect(t, pagetest.Page(t, emit(t, lib), "procedure/out/lift.html"), map[string][]string{
		".gear-lift h2":       {"Step 3: Lift G drive gearbox, 70 kg or more with bracket, cap mass not stated, not counted: cap"},
		".gear-lift tbody tr": {"chain hoist weakest 250 kg 70 kg 250 kg", "web sling 200 kg 4 · 2 taken to carry 60° 40.4 kg on each leg 346.4 kg"},
	})
}

// Legs at 60° and 45°: the steep one has 64 kg · cos 45° / sin 105° = 46.9 kg, the other 33.1 kg (law of sines at the hook).
func TestUnequalLegs(t *testing.T) {
	lib := lifting64()
	lib.Machines[0].Supports[1].OtherAngle = measure.Must("45 deg")
	pagetest.Expect(t, pagetest.Page(t, emit(t, lib), "procedure/out/lift.html"), map[string][]string{
		".gear-lift tbody tr": {"chain hoist weakest 250 kg 64 kg 250 kg", "web sling 200 kg 2 · other leg at 45° 60° at most 46.9 kg on a leg 273.2 kg"},
	})
}

// What lies between a sling and its load: nothing where it grips a round one, a pad at each edge elsewhere, and no line for what hooks in.
func TestLaid(t *testing.T) {
	round, square := &procedure.Part{Round: true}, &procedure.Part{}
	eyes := []procedure.Ref{{ID: "4"}}
	for _, x := range []struct {
		support procedure.Support
		load    *procedure.Part
		want    string
	}{
		{procedure.Support{Kind: procedure.Sling, Hitch: procedure.Choker}, round, "sheet.lift.look.bare"},
		{procedure.Support{Kind: procedure.Sling, Hitch: procedure.Choker}, square, "sheet.lift.look.padded"},
		{procedure.Support{Kind: procedure.ChainSling, Hitch: procedure.Choker}, round, "sheet.lift.look.padded"},
		{procedure.Support{Kind: procedure.Sling}, square, "sheet.lift.look.padded"},
		{procedure.Support{Kind: procedure.ChainSling, Into: eyes}, square, ""},
		{procedure.Support{Kind: procedure.EyeBolt}, square, ""},
		{procedure.Support{Kind: procedure.Hoist}, square, ""},
	} {
		if got := laid(&x.support, x.load); got != x.want {
			t.Errorf("%v on a load that is round: %v: %q, not %q", x.support.Kind, x.load.Round, got, x.want)
		}
	}
}
