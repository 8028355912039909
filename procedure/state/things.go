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
	// Covers must be off before the part can leave; Beneath are the parts that it covers itself.
	Covers, Beneath []*Part
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
	// Lockers lock this fastener; Locked are those that this one locks.
	Lockers, Locked []*Fastener
	// Index is the fastener's place in Assembly.Fasteners.
	Index int
}

// Connection is a hose, cable, belt or the like with what it joins and needs.
type Connection struct {
	*procedure.Connection
	Parts []*Part
	// Conditions must hold before it comes off.
	Conditions []*Condition
	// Fluid is inside; nil for none.
	Fluid *Fluid
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
	// Index is the fluid's place in Assembly.Fluids.
	Index int

	ends []*Condition
}

// Support is a support with its capacity.
type Support struct {
	*procedure.Support
	// Kg is the rated capacity in kilograms; zero when not stated.
	Kg float64
	// Index is the support's place in Assembly.Supports.
	Index int
}

// Condition is a condition with those that it needs and those that need it.
type Condition struct {
	*procedure.Condition
	Requires, RequiredBy []*Condition
	// Index is the condition's place in Assembly.Conditions.
	Index int

	ends []*Condition
}

// Carries reports whether the fastener can carry weight from one part to another.
func (f *Fastener) Carries() bool {
	if len(f.Parts) < 2 {
		return false
	}
	switch f.Kind {
	case procedure.Bolt, procedure.Screw, procedure.Nut, procedure.Pin, procedure.Circlip, procedure.Clamp:
		return true
	}
	return false
}

// Ties reports whether a part that the fastener joins cannot leave while the fastener is in.
func (f *Fastener) Ties() bool {
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
