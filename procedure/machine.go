// Package procedure is the domain: libraries, machines with their registers,
// procedures with their steps, courses and quizzes. Plain types that the
// dialect's reader fills and everything later reads; nothing here parses or emits.
package procedure

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/measure"
	"matchmark/procedure/position"
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
	About   Prose `word:"introduction"`
	File    *text.File
	// Sources are the other files that its rows come from.
	Sources []*text.File `word:"-"`

	// LikeRef names the machine that this one is made from, and Without what it does not have of it; Like is that machine
	// once its rows are taken over.
	LikeRef Ref      `word:"-"`
	Without []Ref    `word:"-"`
	Like    *Machine `word:"-"`
	// Drawing stands on its card in lists, where only what these show is known.
	Drawing Drawing `word:"-"`

	Variants    []*Variant
	Parts       []*Part
	Fasteners   []*Fastener
	Connections []*Connection
	Fluids      []*Fluid
	Supports    []*Support
	Conditions  []*Condition
	Tools       []*Tool
	// Energies are the machine's sources of energy; NoEnergy says why there is none.
	Energies []*EnergySource
	NoEnergy string
	Figures  []*Figure

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
	SourceRegister     RegisterKind = "sources"
)

// Row is what all register rows have.
type Row struct {
	// ID is the name that steps use. A fastener's is its callout number.
	ID   string
	Name string
	// Variants lists the variants that the row applies to; empty means all.
	Variants []Ref `refers:"variant"`
	Note     string
	Span     text.Span // the row's id cell
}

// Residual is what is left of the hazard of a row.
type Residual struct {
	// Risk is what is left once all is done that the job does about it, in the words of the library's matrix; empty when nobody has rated it.
	Risk string
}

// Variant is one of a range of similar machines.
type Variant struct{ Row }

// Part is something that comes off, or that a fastener holds.
type Part struct {
	Row
	Residual
	// Letter is the part's reference in figures, a capital letter or two; may be empty.
	Letter string
	// Mass is zero when not stated.
	Mass measure.Quantity
	// Side is "left" or "right" for a part that has a twin.
	Side string
	// Twin is the part that looks like this one and must not be swapped with it.
	Twin Ref `refers:"part"`
	// Mark says what match mark the part needs before it comes off; empty for none.
	Mark string
	// Face says which way round the part goes back; empty when it cannot go wrong.
	Face string
	// Under lists the parts that must be off before this one can leave.
	Under []Ref `refers:"part"`
	// OnBench is the unit that must be off and set down when it comes off or goes on; empty when it may be anywhere.
	OnBench Ref `refers:"part"`
	// HeldBy is the part that it is pressed into or on to: it rides along with that until it is taken off by itself.
	HeldBy Ref `refers:"part"`
	// Stand says where the removed part stands and in what attitude, so that it cannot roll or fall.
	Stand string
	// Base is true for a part that stays in the machine (a frame, a housing).
	Base bool
	// Hazard says what it does to people; empty for nothing. The package hazard reads it.
	Hazard string
	// SingleUse is true when a new one goes in at refitting, such as a gasket.
	SingleUse bool
	// Waste says where it goes when it does not go back; empty when not stated.
	Waste string
	// Centre is its centre of mass, one place; Seat is where it rests in its place on what stays, and Feet is
	// where it stands once it is set down. Empty when not stated.
	Centre, Seat, Feet position.List
	// Footprint is the size of what it stands on once it is set down, and Height that of its centre of mass over it, for
	// a part of which no places are stated: the centre of mass is taken to be over the middle. Zero when not stated.
	Footprint position.Size
	Height    measure.Quantity
	// Round is true for a part that rolls on a flat floor.
	Round bool
	// Brought is true for what is put on for the job, such as a bracket or a lifting beam: it starts outside the machine and leaves it again.
	Brought bool
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
	Residual
	// Number is the callout number in figures.
	Number int `word:"-"` // the name, as a number
	Kind   FastenerKind
	// Thread is the designation by ISO 261/262 as written, such as "M12" or "M12x1.25"; empty for unthreaded kinds.
	Thread     string
	ThreadSpan text.Span
	// Hand is LeftHand for a thread that is undone clockwise, and empty for any other.
	Hand   string
	Length measure.Quantity
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
	// Stages are the passes in which it is tightened, as written: torques, shares of the torque in percent, angles. None for
	// one pass; Passes has them all.
	Stages     []measure.Quantity
	StagesSpan text.Span
	// Pattern is the order in which its pieces are tightened, one of Patterns; empty for any.
	Pattern string
	// TightAfter lists the fasteners that must be tight before this one is.
	TightAfter []Ref `refers:"fastener"`
	// Retorque says when the torque is tried once more, such as "after 8 h of work"; empty for never.
	Retorque string
	// Sequence is what else there is to say about the order of tightening; empty for nothing.
	Sequence string
	// Treatment is the thread treatment: oil, threadlocker, anti-seize, dry.
	Treatment string
	// Friction is the nut factor K of T = K·F·d; zero when not stated.
	Friction float64
	// SingleUse is true when a new one goes in at refitting, and Reused when the author says that the old one does.
	SingleUse bool
	Reused    bool `word:"-"` // as if nothing were said: it changes no page
	// Waste says where the old one goes, as a part's.
	Waste string
	// Hazard says what it does to people, as a part's.
	Hazard string
	// Joins lists the parts that it holds together, and the connections that come apart with it: the line of a banjo bolt.
	Joins []Ref `refers:"part,connection"`
	// Under lists the parts that must be off before it can be reached.
	Under []Ref `refers:"part"`
	// OnBench is the unit that must be off and set down when it is turned, as a part's.
	OnBench Ref `refers:"part"`
	// With says what belongs to each piece, such as "2 washers, nut"; empty for nothing. Kit has the counts.
	With string
	// Locks lists the fasteners that this one locks: a tab washer locks its nut.
	Locks []Ref `refers:"fastener"`
	// Bag is the bag or box that it goes into.
	Bag string
	// Brought is true for what is put in for the job, such as an eye bolt or a guide pin, as for a part.
	Brought bool
	// Eye is one of EyeMakes for an eye bolt; empty when not stated, and for what is none.
	Eye string
	Joint
}

// Joint is how a fastener or a connection carries weight from one part to another.
type Joint struct {
	// Joint is one of Joints; empty when not stated.
	Joint string
	// At is where it joins: one place, or one for each of several fasteners.
	At position.List
	// Rated is the load that it may carry at each place; zero when not stated.
	Rated measure.Quantity
}

// The joints.
const (
	PinJoint   = "pin"   // carries, and lets the parts turn
	FixedJoint = "fixed" // carries, and holds the parts at their angle
	NoJoint    = "none"  // carries nothing
)

// Joints lists the joints in the order of the reference page.
var Joints = []string{PinJoint, FixedJoint, NoJoint}

// Stiff reports whether the joint holds the angle at a place where so many fasteners stand. Between two parts three or more do, as
// in a flange; on what stays none do unless it is said, since feet and mounts give. Common practice, no source.
func (j *Joint) Stiff(fasteners int, onBase bool) bool {
	return j.Joint == FixedJoint || j.Joint == "" && fasteners >= 3 && !onBase
}

// The patterns in which the pieces of one fastener are tightened; numbered is the order in which the leaders of a figure
// stand in its source.
const (
	Crosswise = "crosswise"
	Outwards  = "from the middle outwards"
	InTurn    = "in turn"
	Numbered  = "numbered"
)

// Patterns lists the patterns in the order of the reference page.
var Patterns = []string{Crosswise, Outwards, InTurn, Numbered}

// LeftHand is a thread that is undone clockwise.
const LeftHand = "left"

// LeftHandMark ends the designation of a left-hand thread. Source: ISO 965-1, from memory.
const LeftHandMark = "LH"

// Passes are the passes in which the fastener is tightened after it is finger-tight, each a torque or an angle: of the
// stages or, without any, of torque and angle. A share of the torque is worked out.
func (f *Fastener) Passes() []measure.Quantity {
	if len(f.Stages) == 0 {
		var out []measure.Quantity
		for _, q := range []measure.Quantity{f.Torque, f.Angle} {
			if !q.IsZero() {
				out = append(out, q)
			}
		}
		return out
	}
	out := make([]measure.Quantity, 0, len(f.Stages))
	for _, q := range f.Stages {
		if q.Dimension() == measure.Ratio {
			q = f.Torque.Share(q)
		}
		out = append(out, q)
	}
	return out
}

// Turned reports whether one of the passes is an angle.
func (f *Fastener) Turned() bool {
	return slices.ContainsFunc(f.Passes(), func(q measure.Quantity) bool { return q.Dimension() == measure.Angle })
}

// Item is what belongs to each piece of a fastener, so many times.
type Item struct {
	Count int
	Name  string
}

// Kit is what belongs to each piece of the fastener besides itself. What has no number in front is there once.
func (f *Fastener) Kit() []Item {
	var out []Item
	for words := range strings.SplitSeq(f.With, ",") {
		words = strings.TrimSpace(words)
		first, rest, _ := strings.Cut(words, " ")
		if n, err := strconv.Atoi(first); err == nil && n > 0 && rest != "" {
			out = append(out, Item{n, strings.TrimSpace(rest)})
		} else if words != "" {
			out = append(out, Item{1, words})
		}
	}
	return out
}

// Pieces is how many single things lie in the bag when all of the fastener is out: itself and what belongs to it.
func (f *Fastener) Pieces() int {
	each := 1
	for _, i := range f.Kit() {
		each += i.Count
	}
	return f.Count * each
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
	EyeBolt     = "eye bolt"
	Shackle     = "shackle"
	Jack        = "jack"
	Stand       = "stand"
	Pallet      = "pallet"
	Tray        = "tray"
	Cradle      = "cradle"
	Chock       = "chock"
	Prop        = "prop"
	HandSupport = "hands"
)

// The hitches of a sling.
const (
	Straight = "straight"
	Choker   = "choker"
	Basket   = "basket"
)

// Hitches lists the hitches in the order of the reference page.
var Hitches = []string{Straight, Choker, Basket}

// ConnectionKinds and SupportKinds list the kinds in the order of the reference page.
var (
	ConnectionKinds = []string{Hose, Pipe, Cable, Connector, EarthStrap, "linkage", Belt, Chain}
	SupportKinds    = []string{Hoist, Sling, ChainSling, EyeBolt, Shackle, Jack, Stand, Pallet, Tray, Cradle, Chock, Prop, HandSupport}
)

// Connection is a hose, cable, linkage, belt, chain, electrical connector or earth strap.
type Connection struct {
	Row
	Residual
	// Kind is one of ConnectionKinds.
	Kind string
	// Letter is its reference in figures, as a part's.
	Letter string
	// Joins lists the parts that it connects.
	Joins []Ref `refers:"part"`
	// Needs lists the conditions that must hold before it comes off.
	Needs []Ref `refers:"condition"`
	// Mark says what mark it needs before it comes off; empty for none.
	Mark string
	// Carries is the fluid inside, if any.
	Carries Ref `refers:"fluid"`
	// Under lists the parts that must be off before it can be reached.
	Under []Ref `refers:"part"`
	// OnBench is the unit that must be off and set down when it is joined or taken apart, as a part's.
	OnBench Ref `refers:"part"`
	Stand   string
	// Hazard says what it does to people, as a part's.
	Hazard string
	Joint
}

// Bears reports whether the connection carries weight: what joins two parts rigidly, and says so. A coupling, a belt, a hose does not.
func (c *Connection) Bears() bool { return c.Joint.Joint == PinJoint || c.Joint.Joint == FixedJoint }

// Fluid is what is drained before a circuit is opened.
type Fluid struct {
	Row
	Residual
	Letter   string // as a part's
	Quantity measure.Quantity
	Drain    string // where it comes out
	// Under lists the parts that must be off before the place where it comes out can be reached.
	Under []Ref `refers:"part"`
	// OnBench is the unit that must be off and set down when it is drained, as a part's.
	OnBench   Ref `refers:"part"`
	Container Ref `refers:"tool"` // of the kind container
	// Hazard says what it does to people and floors, as a part's.
	Hazard string
	// Flush says what must be flushed before filling; empty for nothing.
	Flush string
	// SingleUse is true when the drained fluid does not go back.
	SingleUse bool
	// Waste says where the drained fluid goes, as a part's.
	Waste string
}

// Support is a jack, hoist, sling, stand, chock or a person's hands.
type Support struct {
	Row
	// Kind is one of SupportKinds.
	Kind string
	// Letter is its reference in figures, as a part's.
	Letter string
	// Capacity is the rated capacity, of a sling that of what Per says, and of one leg hanging straight when that is not stated; zero when not stated.
	Capacity measure.Quantity
	// Legs and Angle (from the horizontal, degrees) describe a sling; zero when not stated.
	Legs  int
	Angle measure.Quantity
	// OtherAngle is that of the second of two unequal legs; zero when both stand at Angle.
	OtherAngle measure.Quantity
	// Hitch is one of Hitches; empty for straight.
	Hitch string
	// Choke is the angle between the legs of a choker hitch at the choke; zero when not stated.
	Choke measure.Quantity
	// Tag is the load that the tag of a sling or an eye bolt allows in this arrangement; zero when not stated.
	Tag measure.Quantity
	// Per says what the capacity of a sling with several legs is that of, one of Pers; empty when not stated.
	Per string
	// RatedAngle is the angle of the legs from the horizontal for which the capacity of the assembly holds; zero when not stated.
	RatedAngle measure.Quantity
	// Eye is one of EyeMakes; empty when not stated, and for what is no eye bolt.
	Eye string
	// At is where it stands or hangs, where an act does not say so.
	At position.List
	// Into lists the eyes, lugs and beams of the machine that it is hooked into: fasteners and parts, which must be on while it carries.
	Into []Ref `refers:"fastener,part"`
}

// How eye bolts are made, which says what they keep of their rating when they are pulled at an angle.
const (
	PlainEye    = "plain"    // no collar
	CollarEye   = "collar"   // forged with a collar, DIN 580, ISO 3266
	ShoulderEye = "shoulder" // machinery eye bolt with a shoulder, by inch catalogues
	SwivelEye   = "swivel"   // turns into the pull; its rating holds in every direction
)

// EyeMakes lists them in the order of the reference page.
var EyeMakes = []string{PlainEye, CollarEye, ShoulderEye, SwivelEye}

// What the capacity of a sling with several legs is that of.
const (
	PerLeg      = "leg"      // one leg, hanging straight
	PerAssembly = "assembly" // all legs together, at RatedAngle, as a tag has it
)

// Pers lists them in the order of the reference page.
var Pers = []string{PerLeg, PerAssembly}

// Ability is what supports of a kind can do.
type Ability struct {
	// Hangs is true for what a load hangs from; Between for what hangs on that and needs it: a sling, an eye bolt.
	Hangs, Between bool
	// Below is true for what carries from below, and Raises for what lifts as well.
	Below, Raises bool
	// Rolling is true for what keeps from rolling, and Tipping for what keeps from tipping.
	Rolling, Tipping bool
	// Hands are true for people's hands.
	Hands bool
}

// Bears reports whether the support carries weight by itself.
func (a Ability) Bears() bool { return a.Hangs || a.Below || a.Hands }

// Holds reports whether weight comes on the support, by itself or on the way to a hook.
func (a Ability) Holds() bool { return a.Bears() || a.Between }

// abilities is what each kind of support can do.
var abilities = map[string]Ability{
	Hoist: {Hangs: true, Raises: true}, Sling: {Between: true}, ChainSling: {Between: true}, EyeBolt: {Between: true}, Shackle: {Between: true},
	Jack: {Below: true, Raises: true}, Stand: {Below: true}, Pallet: {Below: true}, Tray: {Below: true, Rolling: true}, Cradle: {Below: true, Rolling: true},
	Chock: {Rolling: true}, Prop: {Tipping: true}, HandSupport: {Hands: true, Raises: true},
}

// Ability is what the support can do. A kind that is not stated can carry, as far as anybody knows.
func (s *Support) Ability() Ability {
	if a, known := abilities[s.Kind]; known {
		return a
	}
	return Ability{Hangs: true, Below: true, Raises: true}
}

// Condition is a state of the machine that work needs: isolated, proved dead, cool, slack in the drive.
type Condition struct {
	Row
	// Needs lists the conditions that must hold before this one can be established.
	Needs []Ref `refers:"condition"`
	// Undo says how it is undone at refitting, such as "remove own lock and tag".
	Undo string
	// LostBy lists the conditions, connections, fluids and parts whose refitting or filling ends it.
	LostBy []Ref `refers:"condition,connection,fluid,part"`
	// Energy is true when the condition keeps energy away: no work on the machine without it.
	Energy bool
	// Zone is true when the condition bars the zone of a hanging load.
	Zone bool
	// By lists what is done to make it hold: the plug that is pulled, the valve that is shut, the bleed that is opened.
	By []Ref `refers:"connection,fastener,part"`
	// ProvedAt lists the parts at which it is proved: what covers one of them must be off by then.
	ProvedAt []Ref `refers:"part"`
	// ProvedBy lists the conditions whose proof proves this one, and nothing else does: a valve is proved shut by its open bleed.
	ProvedBy []Ref `refers:"condition"`
}

// BarsZone reports whether the condition bars the zone of a hanging load: its row says so, or its name speaks of a zone that is barred.
func (c *Condition) BarsZone() bool {
	return c.Zone || zoneWords.MatchString(c.ID) || zoneWords.MatchString(c.Name)
}

var zoneWords = regexp.MustCompile(`(?i)\bzone|\bbarred|\bbarrier|absperr|abgesperrt`)

// EnergyKinds lists the kinds of energy in the order of the reference page.
var EnergyKinds = []string{"electric", "spring", "gravity", "pressure", "heat", "motion", "fluid", "radiation"}

// EnergySource is something at the machine that can hurt people who work on it.
type EnergySource struct {
	Row
	Residual
	// Kind is one of EnergyKinds.
	Kind string
	// Where says where it is isolated, such as "main switch at the column"; may be empty.
	Where string
	// Isolated lists the conditions that keep it away, and Proved those by which that is proved.
	Isolated []Ref `refers:"condition"`
	Proved   []Ref `refers:"condition"`
	// Reaches lists the things at which it can hurt somebody; everything when empty.
	Reaches []Ref `refers:"part,connection,fluid"`
	// Guards lists the parts that stand against it while it is there.
	Guards []Ref `refers:"part"`
	// NoGuards says why nothing has to stand against it.
	NoGuards string
}

// KeepsAway reports whether a condition keeps energy away on a variant: its row says so, or a source of energy names it; and
// what these sources can reach, nil for everything.
func (m *Machine) KeepsAway(c *Condition, v *Variant) (energy bool, reaches []Ref) {
	energy, everywhere := c.Energy, c.Energy
	for _, x := range m.Energies {
		named := func(r Ref) bool { return r.ID == c.ID }
		if !AppliesTo(x.Variants, v) || !slices.ContainsFunc(x.Isolated, named) && !slices.ContainsFunc(x.Proved, named) {
			continue
		}
		energy = true
		everywhere = everywhere || len(x.Reaches) == 0
		reaches = append(reaches, x.Reaches...)
	}
	if everywhere {
		return energy, nil
	}
	return energy, reaches
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
	Document   ToolKind = "document" // a drawing, a manual, a data sheet
)

// ToolKinds lists the kinds in the order of the list sheet.
var ToolKinds = []ToolKind{HandTool, Lifting, Protection, Container, Marking, Consumable, Document}

// Tool is what must lie ready: tools, containers, protection, consumables.
type Tool struct {
	Row
	Kind ToolKind
	// Letter is its reference in figures, as a part's.
	Letter string
	// Quantity is how much or how many; zero when not stated.
	Quantity measure.Quantity
	// Single is true when there is only one in the shop.
	Single bool
	// Fits is what it is for, as written, and Use the same as read.
	Fits string
	Use  Fitting `word:"-"`
	// Against is what protection protects from, in the words of the column hazard.
	Against string
	// Revision is that of a document; empty when not stated.
	Revision string
	// Waste says where goes what is left of it: the oily rags, the empty tin.
	Waste string
}

// Fitting is what a tool is for. Steps that do such work need it, whether they list it or not.
type Fitting struct {
	// Drives are what it turns, as in the column drive of fasteners.
	Drives []string
	// Low and High are the least and the greatest torque that it is set to, or that it undoes when it is for such acts; zero when not stated.
	Low, High measure.Quantity
	// Tolerance is how far the torque that it is set to may be off, in percent; zero when not stated.
	Tolerance measure.Quantity
	// Verbs and Things are the acts that it is for: these verbs, and these things. Either may be empty: then it is for any.
	Verbs  []Verb
	Things []Ref
}

// Empty reports whether nothing is stated.
func (u *Fitting) Empty() bool {
	return len(u.Drives) == 0 && u.High.IsZero() && !u.OfActs()
}

// OfActs reports whether it is for certain acts only.
func (u *Fitting) OfActs() bool { return len(u.Verbs) > 0 || len(u.Things) > 0 }

// Names reports whether it is for certain acts, and the act is one of these.
func (u *Fitting) Names(a *Action) bool {
	return u.OfActs() && (len(u.Verbs) == 0 || slices.Contains(u.Verbs, a.Verb)) &&
		(len(u.Things) == 0 || slices.ContainsFunc(u.Things, func(r Ref) bool { return r.ID == a.Object.ID }))
}

// Reaches reports whether a torque lies in its range.
func (u *Fitting) Reaches(torque measure.Quantity) bool {
	return !u.High.IsZero() && torque.Dimension() == measure.Torque && u.Low.Compare(torque) <= 0 && torque.Compare(u.High) <= 0
}

// Pieces is how many of the tool lie ready for a job: the quantity, or one where none
// is stated. Limited is false for what a step uses up or leaves at the machine, for documents, and for
// protection that everybody has.
func (t *Tool) Pieces() (pieces int, limited bool) {
	counted := t.Quantity.Dimension() == measure.Count
	switch {
	case t.Kind == Consumable || t.Kind == Marking || t.Kind == Document, t.Kind == Protection && !counted && !t.Single:
		return 0, false
	case t.Single || !counted:
		return 1, true
	}
	return max(int(t.Quantity.Float("pcs")), 1), true
}

// Figure is a picture with numbered balloons.
type Figure struct {
	ID    string
	Title string
	Span  text.Span
	// Source is the picture's slash-separated path relative to the library.
	Source     string `word:"src"`
	SourceSpan text.Span
	// Describe says what the picture shows to someone who cannot see it.
	Describe string
	Balloons []Balloon
	// Width and Height are the picture's own size in pixels or view-box units; set when the picture is read.
	Width, Height float64 `word:"-"`
	// Picture stands for what is drawn; set where pictures are compared.
	Picture PictureSum
}

// PictureSum is a sum of a picture's bytes.
type PictureSum string

// Balloon is a part reference by ISO 6433: a number (fastener) or letters (any other thing that can be
// seen) with a leader to each place that it names, in the picture's own units.
type Balloon struct {
	Ref     Ref `refers:"thing"`
	Label   Point
	Targets []Point
	// Beside counts the balloons that stand before it in one row on one leader; 0 for the one that has the leader.
	Beside int
	// Free is true where the author leaves the balloon's place out; it is placed once the picture's size is known.
	Free bool
	Span text.Span
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

// Hazard is what the thing's row says that it does to whoever touches it; empty when it says nothing.
func (t *Thing) Hazard() string {
	switch {
	case t.Part != nil:
		return t.Part.Hazard
	case t.Fastener != nil:
		return t.Fastener.Hazard
	case t.Connection != nil:
		return t.Connection.Hazard
	case t.Fluid != nil:
		return t.Fluid.Hazard
	}
	return ""
}

// Waste is where the thing's row says that it goes when it is waste; empty when it does not say.
func (t *Thing) Waste() string {
	switch {
	case t.Part != nil:
		return t.Part.Waste
	case t.Fastener != nil:
		return t.Fastener.Waste
	case t.Fluid != nil:
		return t.Fluid.Waste
	case t.Tool != nil:
		return t.Tool.Waste
	}
	return ""
}

// Risk is what the thing's row says is left of its hazard; empty when it says nothing.
func (t *Thing) Risk() string {
	switch {
	case t.Part != nil:
		return t.Part.Risk
	case t.Fastener != nil:
		return t.Fastener.Risk
	case t.Connection != nil:
		return t.Connection.Risk
	case t.Fluid != nil:
		return t.Fluid.Risk
	}
	return ""
}

// Register returns the register that the thing stands in, and its row as the register's own type.
func (t *Thing) Register() (kind RegisterKind, row any) {
	switch t.Kind {
	case FastenerThing:
		return FastenerRegister, t.Fastener
	case PartThing:
		return PartRegister, t.Part
	case ConnectionThing:
		return ConnectionRegister, t.Connection
	case FluidThing:
		return FluidRegister, t.Fluid
	case SupportThing:
		return SupportRegister, t.Support
	case ConditionThing:
		return ConditionRegister, t.Condition
	}
	return ToolRegister, t.Tool
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
