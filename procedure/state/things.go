package state

import (
	"slices"

	"matchmark/procedure"
)

// Part is a part with what bears on it.
type Part struct {
	*procedure.Part
	// Fasteners and Connections are those that join it, in the order of the registers.
	Fasteners   []*Fastener
	Connections []*Connection
	// Holder is the part that it is pressed into, nil for none, and Pressed are those that are pressed into it.
	Holder  *Part
	Pressed []*Part
	// Covers must be off before the part can leave; Beneath are the parts that it covers itself.
	Covers, Beneath []*Part
	// Bench is the unit that must be off and set down when it comes off or goes on; nil for anywhere.
	Bench *Part
	// Kg is the mass in kilograms; zero when not stated.
	Kg float64
	// Seated is true for a part that no fastener carries: it sits by itself.
	Seated bool
	// Rooted is true when carrying fasteners lead from the part to a base part.
	Rooted bool

	// Index is the part's place in Assembly.Parts.
	Index int

	ends []*Condition
}

// Fastener is a callout number with what it joins and locks.
type Fastener struct {
	*procedure.Fastener
	// Parts are the parts that it joins.
	Parts []*Part
	// Holds are the connections that come apart with it, and Covers the parts that must be off before it can be reached.
	Holds  []*Connection
	Covers []*Part
	// Bench is the unit that must be off and set down when it is turned; nil for anywhere.
	Bench *Part
	// First are the fasteners that must be tight before this one is.
	First []*Fastener
	// Lockers lock this fastener; Locked are those that this one locks.
	Lockers, Locked []*Fastener
	// Index is the fastener's place in Assembly.Fasteners.
	Index int

	ends []*Condition
}

// Connection is a hose, cable, belt or the like with what it joins and needs.
type Connection struct {
	*procedure.Connection
	Parts []*Part
	// Conditions must hold before it comes off.
	Conditions []*Condition
	// Fluid is inside; nil for none.
	Fluid *Fluid
	// HeldBy are the fasteners that it comes apart with, and Covers the parts that must be off before it can be reached.
	HeldBy []*Fastener
	Covers []*Part
	// Bench is the unit that must be off and set down when it is joined or taken apart; nil for anywhere.
	Bench *Part
	// Index is the connection's place in Assembly.Connections.
	Index int

	ends []*Condition
}

// Fluid is a fluid with the connections that carry it.
type Fluid struct {
	*procedure.Fluid
	Connections []*Connection
	// Plugs close the circuit: plugs in a part that no other fluid's connections lead to.
	Plugs []*Fastener
	// Covers must be off before the place where it comes out can be reached.
	Covers []*Part
	// Bench is the unit that must be off and set down when it is drained; nil for anywhere.
	Bench *Part
	// Index is the fluid's place in Assembly.Fluids.
	Index int

	ends []*Condition
}

// Support is a support with its capacity.
type Support struct {
	*procedure.Support
	// Kg is the rated capacity in kilograms; zero when not stated.
	Kg float64
	// Eyes and Lugs are what it is hooked into.
	Eyes []*Fastener
	Lugs []*Part
	// Index is the support's place in Assembly.Supports.
	Index int
}

// Bears reports whether the support carries weight by itself: a sling does not without a hook, and a chock never does.
func (x *Support) Bears() bool { return x.Ability().Bears() }

// Condition is a condition with those that it needs and those that need it.
type Condition struct {
	*procedure.Condition
	Requires, RequiredBy []*Condition
	// Energy is true when it keeps energy away: its row says so, or a source of the machine names it.
	Energy bool
	// Reaches lists what the sources that it keeps away can reach; nil for everything.
	Reaches []procedure.Ref
	// Covers are the parts over those at which it is proved.
	Covers []*Part
	// Proves are the conditions that are proved with it.
	Proves []*Condition
	bleeds bool // a fastener makes it: a bleed, a drain
	// Index is the condition's place in Assembly.Conditions.
	Index int

	ends []*Condition
}

// Carries reports whether the fastener can carry weight from one part to another.
func (f *Fastener) Carries() bool {
	if len(f.Parts) < 2 || len(f.Holds) > 0 || f.Joint.Joint == procedure.NoJoint { // the bolt of a line carries the line
		return false
	}
	switch f.Kind {
	case procedure.Bolt, procedure.Screw, procedure.Nut, procedure.Pin, procedure.Circlip, procedure.Clamp:
		return true
	}
	return false
}

// Ties reports whether a part that the fastener joins cannot leave while the fastener is in. An eye that is brought leaves with its part.
func (f *Fastener) Ties() bool {
	if f.Brought && len(f.Parts) == 1 {
		return false
	}
	switch f.Kind {
	case procedure.Plug, procedure.Stud, procedure.Key:
		return false
	}
	return len(f.Parts) > 0
}

// TightAtOnce reports whether the fastener is tight as soon as it is fitted: kinds
// that have no thread, and of clamps those that nothing turns: no thread, torque or drive.
func (f *Fastener) TightAtOnce() bool {
	return f.Rigid() || f.Kind == procedure.Clamp && f.Torque.IsZero() && f.Thread == "" && f.Drive == ""
}

// Rigid reports whether the fastener is either in or out, with nothing to loosen.
func (f *Fastener) Rigid() bool {
	switch f.Kind {
	case procedure.Pin, procedure.Circlip, procedure.Key:
		return true
	}
	return false
}

// Joins reports whether the fastener joins the part.
func (f *Fastener) Joins(p *Part) bool { return slices.Contains(f.Parts, p) }

// Outlives reports whether another condition, which needs this one, ends before it. What is proved dead ends with the lock; but a
// bleed is shut before the valve opens that it proved.
func (c *Condition) Outlives(x *Condition) bool {
	return !c.Energy || !x.Energy || x.bleeds || slices.Contains(x.Proves, c)
}

// MadeBy reports whether the condition's row names the thing as what is done to make it hold.
func (c *Condition) MadeBy(id string) bool {
	return slices.ContainsFunc(c.By, func(r procedure.Ref) bool { return r.ID == id })
}
