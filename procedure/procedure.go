package procedure

import (
	"slices"

	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Library is everything that is compiled together.
type Library struct {
	Title string
	// Language is the language of the pages' fixed words, a BCP 47 tag such as "en".
	Language string
	// LanguageSpan is where the language is stated; it points nowhere when it is not.
	LanguageSpan text.Span
	// Address is where the site will be served, such as "https://shop.example/"; empty when it is only opened from disk.
	Address    string
	Machines   []*Machine
	Procedures []*Procedure
	Courses    []*Course
	Quizzes    []*Quiz
	Files      []*text.File
}

// Procedure is one job: the steps that take something out, or that set something up.
type Procedure struct {
	ID      string
	Title   string
	Summary string
	Edition string
	// Machine is resolved from MachineRef once the library is read; nil when it does not exist.
	Machine    *Machine
	MachineRef Ref
	// Aims are what a learner can do afterwards.
	Aims    []string
	Span    text.Span
	About   Prose
	Figures []*Figure
	Steps   []*Step
	File    *text.File
	// WayBack is what the author adds to the derived refitting; nil for nothing.
	WayBack *WayBack
	// Back is the derived refitting, and Forth the procedure that it brings back;
	// at most one is set, once the refitting has been derived.
	Back, Forth *Procedure
}

// WayBack is what an author adds to the refitting that is derived from a procedure.
type WayBack struct {
	ProcedureRef Ref
	// Steps take the place of the derived step of the same name, or are put in.
	Steps []*Step
	// Out names what does not go back.
	Out     []Ref
	Figures []*Figure
	File    *text.File
}

// Estimate is a three-point estimate of a duration in minutes.
type Estimate struct {
	Optimistic, Likely, Pessimistic float64
	Span                            text.Span
}

// Step is one screen at the bench.
type Step struct {
	ID    string
	Title string
	// Number counts from 1 within the procedure or, in a Job, within the variant.
	Number   int
	Span     text.Span // the opening line
	Time     Estimate
	People   int
	Tools    []Ref
	Needs    []Ref // conditions that must hold when the step starts
	After    []Ref // steps that must be done before, as the author states
	Variants []Ref
	// Figure is shown with the step; empty when its callouts name figures of their own.
	Figure Ref
	// SafeStop is true when work can be interrupted after this step.
	SafeStop bool
	Blocks   []Block
}

// Block is one piece of a step, in the author's order. The concrete types are
// *Instruction, *Caution, *Tip, *KeyPoint, *Callout, *ActionList, *Hold,
// *Inspection and *Illustration.
type Block interface {
	// Applies reports whether the block is meant for the variant.
	Applies(v *Variant) bool
	// Place is the block's opening line, or its first word.
	Place() text.Span
	// Texts returns the block's pieces of prose, in order.
	Texts() []*Prose
	// Clone returns a copy whose prose can be changed without changing the block's.
	Clone() Block
}

// Common is what all blocks have.
type Common struct {
	Span text.Span
	// Variants is set for blocks inside a variant block; empty means all.
	Variants []Ref
}

// Applies reports whether the block is meant for the variant.
func (c Common) Applies(v *Variant) bool { return AppliesTo(c.Variants, v) }

// Place is where the block stands.
func (c Common) Place() text.Span { return c.Span }

// Instruction is what to do, in the author's words.
type Instruction struct {
	Common
	Prose Prose
}

// Signal is a signal word of ANSI Z535.6, most severe first.
type Signal string

// The four signal words. Notice is not about injury.
const (
	Danger      Signal = "danger"
	WarningWord Signal = "warning"
	CautionWord Signal = "caution"
	Notice      Signal = "notice"
)

// Caution warns before the action that it is about.
type Caution struct {
	Common
	Signal Signal
	// About lists the things whose action the caution stands before; may be empty.
	About []Ref
	// OutOnly is true for a hazard of taking out, which the derived refitting does not repeat.
	OutOnly bool
	Prose   Prose
}

// Tip is advice of the trade that makes the work easier.
type Tip struct {
	Common
	Prose Prose
}

// KeyPoint makes or breaks the step (TWI job instruction), with its reason.
type KeyPoint struct {
	Common
	Point  string
	Reason Prose
}

// Callout is a fastener callout: actions on callout numbers, shown on a figure.
type Callout struct {
	Common
	Figure  Ref
	Actions []*Action
}

// ActionList is what is done to parts, connections, fluids, supports and conditions.
type ActionList struct {
	Common
	// Lift is how a part is lifted by hand, as far as the author says.
	Lift    HandLift
	Actions []*Action
}

// HandLift is the geometry of a lift by hand, by the names of the NIOSH revised
// lifting equation. A zero quantity is not stated.
type HandLift struct {
	// Reach is the horizontal distance of the hands from the ankles (H).
	Reach measure.Quantity
	// From and To are the height of the hands above the floor at the start and at the end (V).
	From, To measure.Quantity
	// Twist is the angle between the way the feet and the load point (A).
	Twist measure.Quantity
	// Grip is the coupling: good, fair or poor.
	Grip string
}

// Action is one verb done to one thing.
type Action struct {
	Verb     Verb
	VerbSpan text.Span
	Object   Ref
	// With lists the further things that the verb's preposition names: the
	// support that takes a part, the container that takes a fluid.
	With []Ref
	// Reason says why a fastener is kept, or anything else worth knowing; may be empty.
	Reason Prose
	Span   text.Span
}

// Hold is a hold point: each confirmation must be given before the next step.
type Hold struct {
	Common
	Title         string
	Confirmations []Prose
	// Signature names who signs the hold point, such as "trainer"; empty when the learner's own ticks do.
	Signature string
	// SafeStop is true when work can be interrupted here.
	SafeStop bool
}

// Inspection says what to look at and what is acceptable.
type Inspection struct {
	Common
	// Of is the thing that is inspected.
	Of    Ref
	Items []InspectionItem
}

// InspectionItem is one thing to look at.
type InspectionItem struct {
	Look   string
	Accept Prose
	// Limits is set when the acceptable state is a measured range.
	Limits *Limits
	Span   text.Span
}

// Illustration shows a figure without fasteners.
type Illustration struct {
	Common
	Figure Ref
}

// Step returns the procedure's step with that name, or nil.
func (p *Procedure) Step(id string) *Step {
	for _, s := range p.Steps {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// WrittenSteps returns all steps that authors wrote: the procedure's own, and those of its way back.
func (p *Procedure) WrittenSteps() []*Step {
	if p.WayBack == nil {
		return p.Steps
	}
	return append(slices.Clone(p.Steps), p.WayBack.Steps...)
}

// Figure returns the figure with that name, of the procedure or else of its machine; nil when there is none.
func (p *Procedure) Figure(id string) *Figure {
	for _, f := range p.Figures {
		if f.ID == id {
			return f
		}
	}
	if p.Machine == nil {
		return nil
	}
	return p.Machine.Figure(id)
}

// Actions returns the step's actions in order. The list must not be changed: that
// of a step with one list of actions, as most have, is the block's own.
func (s *Step) Actions() []*Action {
	var out []*Action
	for _, b := range s.Blocks {
		var more []*Action
		switch b := b.(type) {
		case *Callout:
			more = b.Actions
		case *ActionList:
			more = b.Actions
		}
		if out == nil {
			out = slices.Clip(more)
		} else {
			out = append(out, more...)
		}
	}
	return out
}

// EachProse calls f with every piece of prose in the step, in order.
func (s *Step) EachProse(f func(Prose)) {
	for _, b := range s.Blocks {
		for _, p := range b.Texts() {
			f(*p)
		}
	}
}

// FigureNames returns the figures that the step shows, in order, each once.
func (s *Step) FigureNames() []string {
	var out []string
	add := func(r Ref) {
		if r.ID != "" && !slices.Contains(out, r.ID) {
			out = append(out, r.ID)
		}
	}
	add(s.Figure)
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case *Callout:
			add(b.Figure)
		case *Illustration:
			add(b.Figure)
		}
	}
	return out
}
