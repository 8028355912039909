package state

import (
	"fmt"

	"matchmark/procedure"
)

// Difference is one thing that is not as it was.
type Difference struct {
	Row *procedure.Row
	// Was and Is say in a word or two how the thing was and is.
	Was, Is string
	// Last is the index of the event in the later trace that left it so; None when nothing touched it.
	Last int32
}

var (
	fasteningWords = [...]string{"tight", "loose", "out"}
	placeWords     = [...]string{"in place", "lifted", "set down", "off"}
	levelWords     = [...]string{"full", "drained", "flushed"}
)

// String returns the state in a word.
func (f Fastening) String() string { return fasteningWords[f] }

// String returns the place in a word or two.
func (p Place) String() string { return placeWords[p] }

// String returns the level in a word.
func (l Level) String() string { return levelWords[l] }

// Differences lists what differs between two states of one assembly, in the
// order of the registers. Marks do not count, nor that something is new. A
// condition counts when its row says how it is undone; others pass by themselves.
func Differences(was, is *State) []Difference {
	var out []Difference
	a := is.Assembly
	for _, p := range a.Parts {
		x, y := was.Part(p), is.Part(p)
		if x.Is != y.Is {
			out = append(out, Difference{&p.Row, x.Is.String(), y.Is.String(), y.Last})
		} else if len(x.Carriers) != len(y.Carriers) && y.Is == InPlace {
			out = append(out, Difference{&p.Row, carried(x), carried(y), y.Last})
		}
	}
	for _, f := range a.Fasteners {
		x, y := was.Fastener(f), is.Fastener(f)
		switch {
		case x.Is != y.Is:
			out = append(out, Difference{&f.Row, x.Is.String(), y.Is.String(), y.Last})
		case x.Gone != y.Gone:
			out = append(out, Difference{&f.Row, pieces(f, x), pieces(f, y), y.Last})
		}
	}
	for _, c := range a.Connections {
		if x, y := was.Connection(c), is.Connection(c); x.Apart != y.Apart {
			out = append(out, Difference{&c.Row, joined(x), joined(y), y.Last})
		}
	}
	for _, f := range a.Fluids {
		if x, y := was.Fluid(f), is.Fluid(f); x.Is != y.Is {
			out = append(out, Difference{&f.Row, x.Is.String(), y.Is.String(), y.Last})
		}
	}
	for _, c := range a.Conditions {
		if x, y := was.Condition(c), is.Condition(c); c.Undo != "" && x.Holds() != y.Holds() {
			out = append(out, Difference{&c.Row, held(x), held(y), y.Last})
		}
	}
	return out
}

func pieces(f *Fastener, s FastenerState) string {
	return fmt.Sprintf("in with %d of its %d pieces", f.Count-int(s.Gone), f.Count)
}

func carried(p PartState) string {
	if len(p.Carriers) == 0 {
		return "without a support"
	}
	return "on a support"
}

func joined(c ConnectionState) string {
	if c.Apart {
		return "apart"
	}
	return "connected"
}

func held(c ConditionState) string {
	if c.Holds() {
		return "established"
	}
	return "not established"
}
