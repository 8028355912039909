package state

import "matchmark/procedure"

// Fastening is how a fastener is.
type Fastening uint8

// The states of a fastener.
const (
	Tight Fastening = iota
	Loose           // turned loose, flattened, or fitted finger-tight
	Out
)

// Place is where a part is.
type Place uint8

// The places of a part.
const (
	InPlace Place = iota
	Lifted        // hangs clear on supports
	Down          // stands on supports
	Off           // taken off by hand
)

// Level is what a circuit holds.
type Level uint8

// The states of a fluid.
const (
	Full Level = iota
	Drained
	Flushed
)

// Standing is whether a condition holds.
type Standing uint8

// The states of a condition.
const (
	Open Standing = iota // not established, or undone
	Established
	Verified
	Lost
)

// None is the index of no event.
const None int32 = -1

// FastenerState is the state of one fastener.
type FastenerState struct {
	// Is is how those of its pieces are that are in; Out when none is.
	Is Fastening
	// Gone is how many of its pieces are out.
	Gone int16
	// New is true once a new one of a single-use fastener is in.
	New    bool
	Marked bool
	// Last is the index of the event that last changed Is, Kept of the last keep; None when there is none.
	Last, Kept int32
}

// In reports whether the fastener is in its place, tight or loose.
func (f FastenerState) In() bool { return f.Is != Out }

// PartState is the state of one part.
type PartState struct {
	Is     Place
	Marked bool
	// Last is the index of the event that last moved the part; None when there is none.
	Last int32
	// Carriers are the supports on the part, in the order in which they were put on.
	// They are slack while the part is down.
	Carriers []*Support
	// PutBy are the acts that put them on, one for each carrier.
	PutBy []*procedure.Action
	// On is what the part stands on while it is down, and DownBy the act that set it down.
	On     []*Support
	DownBy *procedure.Action
	// Rides is the part that this one left its place with; nil when it left by itself.
	Rides *Part
	// Aboard is true while it is still on that part.
	Aboard bool
}

// ConnectionState is the state of one connection.
type ConnectionState struct {
	Apart, Marked bool
	Last          int32
}

// FluidState is the state of one fluid.
type FluidState struct {
	Is Level
	// New is true once a single-use fluid was filled in anew.
	New  bool
	Last int32
}

// ConditionState is the state of one condition.
type ConditionState struct {
	Is   Standing
	Last int32
}

// Holds reports whether the condition is established, proved or not.
func (c ConditionState) Holds() bool { return c.Is == Established || c.Is == Verified }
