// Package procedure is the domain: libraries, machines with their registers,
// procedures with their steps, courses and quizzes. Plain types that the
// dialect's reader fills and everything later reads; nothing here parses or emits.
package procedure

import (
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Ref is a name as the author wrote it, with its place.
type Ref struct {
	ID   string
	Span text.Span
}

// Machine is what procedures work on: registers and figures that several
// procedures share. A row may apply to some variants only.
type Machine struct {
	ID    string
	Title string
	// Summary is one line for lists of machines.
	Summary string
	Span    text.Span
	About   Prose
	File    *text.File

	Variants    []*Variant
	Parts       []*Part
	Fasteners   []*Fastener
	Connections []*Connection
	Fluids      []*Fluid
	Supports    []*Support
	Conditions  []*Condition
	Tools       []*Tool
	Figures     []*Figure

	// RegisterTitles holds the author's own headings, by register kind.
	RegisterTitles map[RegisterKind]string

	things map[string]*Thing
}

// RegisterKind names one of a machine's registers.
type RegisterKind string

// The registers of a machine.
const (
	VariantRegister    RegisterKind = "variants"
	PartRegister       RegisterKind = "parts"
	FastenerRegister   RegisterKind = "fasteners"
	ConnectionRegister RegisterKind = "connections"
	FluidRegister      RegisterKind = "fluids"
	SupportRegister    RegisterKind = "supports"
	ConditionRegister  RegisterKind = "conditions"
	ToolRegister       RegisterKind = "tools"
)

// Row is what all register rows have.
type Row struct {
	// ID is the name that steps use. A fastener's is its callout number.
	ID   string
	Name string
	// Variants lists the variants that the row applies to; empty means all.
	Variants []Ref
	Note     string
	Span     text.Span // the row's id cell
}

// Variant is one of a range of similar machines.
type Variant struct{ Row }

// Part is something that comes off, or that a fastener holds.
type Part struct {
	Row
	// Letter is the part's reference in figures, a capital letter or two; may be empty.
	Letter string
	// Mass is zero when not stated.
	Mass measure.Quantity
	// Side is "left" or "right" for a part that has a twin.
	Side string
	// Twin is the part that looks like this one and must not be swapped with it.
	Twin Ref
	// Mark says what match mark the part needs before it comes off; empty for none.
	Mark string
	// Face says which way round the part goes back; empty when it cannot go wrong.
	Face string
	// Under lists the parts that must be off before this one can leave.
	Under []Ref
	// Stand says where the removed part stands and in what attitude, so that it cannot roll or fall.
	Stand string
	// Base is true for a part that stays in the machine (a frame, a housing).
	Base bool
}

// FastenerKind is what a fastener is.
type FastenerKind string

// The kinds of fastener.
const (
	Bolt      FastenerKind = "bolt"
	Screw     FastenerKind = "screw"
	Nut       FastenerKind = "nut"
	Stud      FastenerKind = "stud"
	Pin       FastenerKind = "pin"
	Circlip   FastenerKind = "circlip"
	TabWasher FastenerKind = "tab washer"
	Clamp     FastenerKind = "clamp"
	Key       FastenerKind = "key"
	Plug      FastenerKind = "plug"
)

// FastenerKinds lists the kinds in the order of the reference page.
var FastenerKinds = []FastenerKind{Bolt, Screw, Nut, Stud, Pin, Circlip, TabWasher, Clamp, Key, Plug}

// Threaded reports whether fasteners of this kind have a thread and a torque.
func (k FastenerKind) Threaded() bool {
	switch k {
	case Bolt, Screw, Nut, Stud, Plug:
		return true
	}
	return false
}

// Fastener is one callout number: one or several like fasteners that are undone together.
type Fastener struct {
	Row
	// Number is the callout number in figures.
	Number int
	Kind   FastenerKind
	// Thread is the designation by ISO 261/262 as written, such as "M12" or "M12x1.25"; empty for unthreaded kinds.
	Thread     string
	ThreadSpan text.Span
	Length     measure.Quantity
	// Class is the property class by ISO 898-1, such as "8.8".
	Class     string
	ClassSpan text.Span
	// Drive is the key that turns it, such as "hex 18 mm" or, for an inner hexagon, "hex key 8 mm".
	Drive     string
	DriveSpan text.Span
	// Count is how many there are under this number.
	Count int
	// Torque is the tightening torque; zero when NoTorque says why there is none.
	Torque     measure.Quantity
	TorqueSpan text.Span
	// Tolerance is the allowed deviation of the torque, in the same dimension or in percent; zero when not stated.
	Tolerance measure.Quantity
	// Angle is a further turn after the torque, in degrees; zero for none.
	Angle measure.Quantity
	// NoTorque is the author's reason why there is no torque.
	NoTorque string
	// Sequence is the tightening sequence as written, such as "crosswise, in two passes"; empty for any.
	Sequence string
	// Treatment is the thread treatment: oil, threadlocker, anti-seize, dry.
	Treatment string
	// Friction is the nut factor K of T = K·F·d; zero when not stated.
	Friction float64
	// SingleUse is true when a new one goes in at refitting.
	SingleUse bool
	// Joins lists the parts that it holds together.
	Joins []Ref
	// Locks lists the fasteners that this one locks: a tab washer locks its nut.
	Locks []Ref
	// Bag is the bag or box that it goes into.
	Bag string
}

// The kinds of connection and of support that rules look at.
const (
	Hose        = "hose"
	Pipe        = "pipe"
	Cable       = "cable"
	Connector   = "electrical connector"
	EarthStrap  = "earth strap"
	Belt        = "belt"
	Chain       = "chain"
	Hoist       = "hoist"
	Sling       = "sling"
	ChainSling  = "chain sling"
	HandSupport = "hands"
)

// ConnectionKinds and SupportKinds list the kinds in the order of the reference page.
var (
	ConnectionKinds = []string{Hose, Pipe, Cable, Connector, EarthStrap, "linkage", Belt, Chain}
	SupportKinds    = []string{Hoist, Sling, ChainSling, "jack", "stand", "chock", HandSupport}
)

// Connection is a hose, cable, linkage, belt, chain, electrical connector or earth strap.
type Connection struct {
	Row
	// Kind is one of ConnectionKinds.
	Kind string
	// Joins lists the parts that it connects.
	Joins []Ref
	// Needs lists the conditions that must hold before it comes off.
	Needs []Ref
	// Mark says what mark it needs before it comes off; empty for none.
	Mark string
	// Carries is the fluid inside, if any.
	Carries Ref
	Stand   string
}

// Fluid is what is drained before a circuit is opened.
type Fluid struct {
	Row
	Quantity  measure.Quantity
	Drain     string // where it comes out
	Container Ref    // a tool of kind container
	Hazard    string
	// Flush says what must be flushed before filling; empty for nothing.
	Flush string
	// SingleUse is true when the drained fluid does not go back.
	SingleUse bool
}

// Support is a jack, hoist, sling, stand, chock or a person's hands.
type Support struct {
	Row
	// Kind is one of SupportKinds.
	Kind string
	// Capacity is the rated capacity, of a sling that of one leg hanging straight; zero when not stated.
	Capacity measure.Quantity
	// Legs and Angle (from the horizontal, degrees) describe a sling; zero when not stated.
	Legs  int
	Angle measure.Quantity
}

// Condition is a state of the machine that work needs: isolated, proved dead, cool, slack in the drive.
type Condition struct {
	Row
	// Needs lists the conditions that must hold before this one can be established.
	Needs []Ref
	// Undo says how it is undone at refitting, such as "remove own lock and tag".
	Undo string
	// LostBy lists the conditions, connections, fluids and parts whose refitting or filling ends it.
	LostBy []Ref
	// Energy is true when the condition keeps energy away: no work on the machine without it.
	Energy bool
}

// ToolKind says on which list a tool stands.
type ToolKind string

// The kinds of tool.
const (
	HandTool   ToolKind = "tool"
	Consumable ToolKind = "consumable"
	Container  ToolKind = "container"
	Protection ToolKind = "protection" // personal protective equipment
	Lifting    ToolKind = "lifting"
	Marking    ToolKind = "marking"
)

// ToolKinds lists the kinds in the order of the list sheet.
var ToolKinds = []ToolKind{HandTool, Lifting, Protection, Container, Marking, Consumable}

// Tool is what must lie ready: tools, containers, protection, consumables.
type Tool struct {
	Row
	Kind ToolKind
	// Quantity is how much or how many; zero when not stated.
	Quantity measure.Quantity
	// Single is true when there is only one in the shop.
	Single bool
}

// Figure is a picture with numbered balloons.
type Figure struct {
	ID    string
	Title string
	Span  text.Span
	// Source is the picture's slash-separated path relative to the library.
	Source     string
	SourceSpan text.Span
	// Describe says what the picture shows to someone who cannot see it.
	Describe string
	Balloons []Balloon
	// Width and Height are the picture's own size in pixels or view-box units; set when the picture is read.
	Width, Height float64
}

// Balloon is a part reference by ISO 6433: a number (fastener) or letter (part)
// with a leader to each place that it names, in the picture's own units.
type Balloon struct {
	Ref     Ref
	Label   Point
	Targets []Point
	Span    text.Span
}

// Point is a place in a picture, in the picture's own units from the top left corner.
type Point struct{ X, Y float64 }

// ThingKind says in which register a name stands.
type ThingKind int

// The kinds of thing that an action can be done to.
const (
	FastenerThing ThingKind = iota + 1
	PartThing
	ConnectionThing
	FluidThing
	SupportThing
	ConditionThing
	ToolThing
)

// Thing is a registered thing of any kind; exactly one pointer is set.
type Thing struct {
	Kind       ThingKind
	Row        *Row
	Fastener   *Fastener
	Part       *Part
	Connection *Connection
	Fluid      *Fluid
	Support    *Support
	Condition  *Condition
	Tool       *Tool
}

// Index builds the machine's table of names. The first of two rows with one
// name wins. Call it once all registers are filled.
func (m *Machine) Index() {
	things := m.Things()
	m.things = make(map[string]*Thing, len(things))
	for i := range things {
		t := &things[i]
		if _, taken := m.things[t.Row.ID]; !taken && t.Row.ID != "" {
			m.things[t.Row.ID] = t
		}
	}
}

// Things returns all registered things, register by register.
func (m *Machine) Things() []Thing {
	out := make([]Thing, 0, len(m.Fasteners)+len(m.Parts)+len(m.Connections)+len(m.Fluids)+len(m.Supports)+len(m.Conditions)+len(m.Tools))
	add := func(t Thing) { out = append(out, t) }
	for _, x := range m.Fasteners {
		add(Thing{Kind: FastenerThing, Row: &x.Row, Fastener: x})
	}
	for _, x := range m.Parts {
		add(Thing{Kind: PartThing, Row: &x.Row, Part: x})
	}
	for _, x := range m.Connections {
		add(Thing{Kind: ConnectionThing, Row: &x.Row, Connection: x})
	}
	for _, x := range m.Fluids {
		add(Thing{Kind: FluidThing, Row: &x.Row, Fluid: x})
	}
	for _, x := range m.Supports {
		add(Thing{Kind: SupportThing, Row: &x.Row, Support: x})
	}
	for _, x := range m.Conditions {
		add(Thing{Kind: ConditionThing, Row: &x.Row, Condition: x})
	}
	for _, x := range m.Tools {
		add(Thing{Kind: ToolThing, Row: &x.Row, Tool: x})
	}
	return out
}

// Thing returns the registered thing with that name, or nil.
func (m *Machine) Thing(id string) *Thing { return m.things[id] }

// Figure returns the machine's figure with that name, or nil.
func (m *Machine) Figure(id string) *Figure {
	for _, f := range m.Figures {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// Variant returns the variant with that name, or nil.
func (m *Machine) Variant(id string) *Variant {
	for _, v := range m.Variants {
		if v.ID == id {
			return v
		}
	}
	return nil
}

// AppliesTo reports whether a list of variants covers the given one. An empty
// list covers all; a nil variant (a machine without variants) is covered by any list.
func AppliesTo(variants []Ref, v *Variant) bool {
	if len(variants) == 0 || v == nil {
		return true
	}
	for _, r := range variants {
		if r.ID == v.ID {
			return true
		}
	}
	return false
}
