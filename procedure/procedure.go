package procedure

import (
	"slices"
	"strconv"

	"matchmark/procedure/measure"
	"matchmark/procedure/position"
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
	Address string
	// Papers are those for trainers that it makes, in the order of the list Papers, and Matrix rates what is left of a risk on them.
	Papers     []Paper      `word:"-"` // what is made, and not what it says
	Matrix     RiskMatrix   `word:"-"`
	Machines   []*Machine   `word:"-"` // compared one by one
	Procedures []*Procedure `word:"-"`
	Courses    []*Course    `word:"-"`
	Quizzes    []*Quiz      `word:"-"`
	// Trades are the trades and tickets of the workshop's people, in the order of library.yaml.
	Trades []Trade `word:"-"`
	// Glossary is nil for a library that has none.
	Glossary *Glossary    `word:"-"`
	Files    []*text.File `word:"-"`
}

// Trade is a trade or a ticket that somebody has: electrician, slinger.
type Trade struct{ ID, Name string }

// TradeNames are the names of trades, as people say them.
func (l *Library) TradeNames(refs []Ref) (names []string) {
	for _, r := range refs {
		name := r.ID
		for _, t := range l.Trades {
			if t.ID == r.ID {
				name = t.Name
			}
		}
		names = append(names, name)
	}
	return names
}

// Procedure is one job: the steps that take something out, or that set something up.
type Procedure struct {
	ID      string
	Title   string
	Summary string
	Edition string
	// Machine is resolved from MachineRef once the library is read; nil when it does not exist.
	Machine    *Machine `word:"-"`
	MachineRef Ref      `word:"machine"`
	// Aims are what a learner can do afterwards.
	Aims    []string
	Span    text.Span
	About   Prose `word:"introduction"`
	Figures []*Figure
	Steps   []*Step `word:"-"` // compared by themselves
	File    *text.File
	// RefitFile is what the author adds to the derived refitting; nil for nothing.
	RefitFile *RefitFile `word:"-"` // compared as a procedure of its own
	// Refitting is the derived refitting, and Removal, of a refitting, the procedure that it is derived from;
	// at most one is set, once the refitting has been derived.
	Refitting, Removal *Procedure `word:"-"`
	// Sheets are those of its jobs, where only what lists show of a procedure is known; no author writes them.
	Sheets []SheetOf `word:"-"`
	// Drawing stands on its card in lists, where only what these show is known.
	Drawing Drawing `word:"-"`
}

// Drawing is a prepared picture: its file in the site, and its size there. The zero value is none.
type Drawing struct {
	Path          string
	Width, Height float64
}

// SheetOf is a printable sheet: its kind, and its page beside that of the procedure.
type SheetOf struct{ Kind, Page string }

// RefitFile is what an author adds to the refitting that is derived from a procedure.
type RefitFile struct {
	ProcedureRef Ref
	// Title is what the refitting is called; empty for the words that every refitting has.
	Title string
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
	Number int       `word:"-"` // its place in the list
	Span   text.Span // the opening line
	Time   Estimate
	People int
	// Who are trades and tickets: for each, one of the people has it. Acts may name more.
	Who []Ref `refers:"trade"`
	// Tools are all that it needs: those that its author lists, and those that are filled in because they fit what it does.
	Tools []Ref `refers:"tool"`
	// Consumed is what the step uses up by a stated amount, and Amounts how much of each.
	Consumed []Ref `refers:"tool"`
	Amounts  []measure.Quantity
	Needs    []Ref `refers:"condition"` // conditions that must hold when the step starts
	After    []Ref `refers:"step"`      // steps that must be done before, as the author states
	Variants []Ref `refers:"variant"`
	// Figure is shown with the step; empty when its callouts name figures of their own.
	Figure Ref `refers:"figure"`
	// FindFigure is true when the author leaves the figure out: it is the one with all the numbers that the step acts on.
	FindFigure bool `word:"-"`
	// Listed are the tools that its author lists, and FindTools is true when others are filled in.
	Listed    []Ref `word:"-"`
	FindTools bool  `word:"-"`
	// Unsaid is what its author does not state: on the way back, that is taken from the derived step whose place it takes.
	Unsaid Unsaid `word:"-"` // what follows from it is compared
	// Differs is true for a step of the refitting that says only what is otherwise than in the derived step whose place it takes.
	Differs bool `word:"-"` // what it has is compared
	// Inherits is true for a step of the refitting that has the acts of the derived step whose place it takes.
	Inherits bool `word:"-"` // what it has is compared
	// SafeStop is true when work can be interrupted after this step.
	SafeStop bool
	// If says when the step is done; empty means always.
	If When
	// Skips is how likely the step is left out, from 0 to 1.
	Skips float64 `word:"-"` // follows from If
	// Chapter is the title of the section that the step stands in; empty for none.
	Chapter string
	// Standing are the cautions that hold for all of its chapter.
	Standing []*Caution `word:"-"` // they stand in the blocks too
	Round    Round
	// Gap is true for a derived step that says nothing of how its acts are done, where the words of the removal do.
	Gap    bool `word:"-"`
	Blocks []Block
}

// Unsaid marks the attributes that the author of a step leaves out, and that nothing above it gives.
type Unsaid struct{ People, Who, Tools, Needs bool }

// Action is one verb done to one thing.
type Action struct {
	Verb     Verb
	VerbSpan text.Span
	Object   Ref
	// Count is how many of the fastener the act is about, as far as the author says it: all that the row has, or some.
	Count Count
	// With lists the further things that the verb's preposition names: the
	// support that takes a part, the container that takes a fluid.
	With []Ref
	// At is where the supports that it names take the part, or the stand bears it: one place, or one for each leg. Hook is where the
	// hook of a sling with several legs hangs. Empty when not stated.
	At, Hook position.List
	// Who are the trades and tickets of those who do it; empty for anybody of the step.
	Who []Ref
	// Locks are what an act that keeps energy away hangs on, or an act that ends that takes off.
	Locks Locks
	// Reason says why a fastener is kept, or anything else worth knowing; may be empty.
	Reason Prose
	Span   text.Span
}

// IsLike reports whether two acts do the same to the same thing.
func (a *Action) IsLike(b *Action) bool { return a.Verb == b.Verb && a.Object.ID == b.Object.ID }

// Some is how many pieces of the fastener the act is about when that is not all of them; 0 for all.
func (a *Action) Some(f *Fastener) int {
	switch a.Verb {
	case Remove, Fit, Keep:
		if a.Count.N < f.Count {
			return a.Count.N
		}
	}
	return 0
}

// Locks are padlocks, each with its tag: of each person who works on the machine, or so many, each of another person.
// None are stated when both are zero.
type Locks struct {
	Each bool      `word:"-"` // compared with the act
	N    int       `word:"-"`
	Span text.Span `word:"-"`
}

// Stated reports whether the author says anything about locks.
func (l Locks) Stated() bool { return l.Each || l.N > 0 }

// String is how they are written: each, or a number.
func (l Locks) String() string {
	if l.Each {
		return "each"
	}
	return strconv.Itoa(l.N)
}

// Count is a number of pieces that an author states; N is 0 for none.
type Count struct {
	N    int `word:"count"`
	Span text.Span
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

// WrittenSteps returns all steps that authors wrote: the procedure's own, and those of its refitting.
func (p *Procedure) WrittenSteps() []*Step {
	if p.RefitFile == nil {
		return p.Steps
	}
	return append(slices.Clone(p.Steps), p.RefitFile.Steps...)
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
		more := b.Shows().Actions
		if out == nil {
			out = slices.Clip(more)
		} else {
			out = append(out, more...)
		}
	}
	return out
}

// Amount is how much of a tool the step uses up; zero when it does not say.
func (s *Step) Amount(tool string) (q measure.Quantity) {
	for i, r := range s.Consumed {
		if r.ID == tool {
			q = s.Amounts[i]
		}
	}
	return q
}

// Trades are the trades and tickets that the step and its acts name, each once.
func (s *Step) Trades() []Ref {
	out := slices.Clip(s.Who)
	for _, a := range s.Actions() {
		for _, r := range a.Who {
			if !slices.ContainsFunc(out, func(o Ref) bool { return o.ID == r.ID }) {
				out = append(out, r)
			}
		}
	}
	return out
}

// Crew is how many people the step takes: those that it states, and at least one for each trade.
func (s *Step) Crew() int { return max(s.People, len(s.Trades())) }

// EachProse calls f with every piece of prose in the step, in order.
func (s *Step) EachProse(f func(Prose)) {
	for _, b := range s.Blocks {
		for _, p := range Texts(b) {
			f(*p)
		}
	}
}

// EachThing calls f with the names of registered things in the step's declared fields, in order.
func (s *Step) EachThing(f func(...Ref)) {
	EachThing(s, f)
	for _, b := range s.Blocks {
		EachThing(b, f)
	}
}

// EachThing calls f with the names of registered things in the declared fields of the struct that v points to.
func EachThing(v any, f func(...Ref)) {
	EachField(v, func(field *Field, value any) {
		switch v := value.(type) {
		case *Ref:
			if v.ID != "" && field.ofThings() {
				f(*v)
			}
		case *[]Ref:
			if field.ofThings() {
				f(*v...)
			}
		case *[]*Action:
			for _, a := range *v {
				f(a.Object)
				f(a.With...)
			}
		}
	})
}

// FigureNames returns the figures that the step shows, in order, each once.
func (s *Step) FigureNames() []string {
	var out []string
	add := func(r *Ref) {
		if r != nil && r.ID != "" && !slices.Contains(out, r.ID) {
			out = append(out, r.ID)
		}
	}
	add(&s.Figure)
	for _, b := range s.Blocks {
		add(b.Shows().Figure)
	}
	return out
}
