package procedure

import (
	"slices"

	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Block is one piece of a step, in the author's order. A kind of block is one file,
// block_KIND.go: its fields, its Kind, and what it shows. Nothing else names it.
type Block interface {
	// Base is what all blocks have.
	Base() *Common
	// Applies reports whether the block is meant for the variant.
	Applies(v *Variant) bool
	// Place is the block's opening line, or its first word.
	Place() text.Span
	// Kind is the definition of the block's kind.
	Kind() *Kind
	// Shows returns what the block is made of, for pages and rules.
	Shows() Shown
}

// Common is what all blocks have.
type Common struct {
	Span text.Span
	// Variants is set for blocks inside a variant block; empty means all.
	Variants []Ref `refers:"variant"`
	// If is set for blocks inside an only block; empty means always.
	If When
}

// Base implements Block.
func (c *Common) Base() *Common { return c }

// Applies reports whether the block is meant for the variant.
func (c *Common) Applies(v *Variant) bool { return AppliesTo(c.Variants, v) }

// Place is where the block stands.
func (c *Common) Place() text.Span { return c.Span }

// Shown are the pieces that a block is made of, the same for all kinds: pages lay them out in
// this order and rules judge them, and neither asks for the kind. What a block has not is nil.
type Shown struct {
	// Warning is a signal panel.
	Warning *Caution
	// Text says what to do.
	Text *Prose
	// Point makes or breaks the step.
	Point *KeyPoint
	// Must is what has to be kept to.
	Must *Prose
	// Actions are rows to do and tick; Lift is the geometry of those that lift by hand.
	Actions []*Action
	Lift    *HandLift
	// Looks are rows to look at.
	Looks *Inspection
	// Readings are values to write down.
	Readings *Readings
	// Decision is a question to answer.
	Decision *Decision
	// Wait is time that passes.
	Wait *Wait
	// Advice may be left out.
	Advice *Prose
	// Figure is a picture that stands with the step.
	Figure *Ref
	// Hold is what must be confirmed before the next step.
	Hold *Hold
}

// Page is a page that shows the blocks of steps.
type Page string

// The pages that show the blocks of steps.
const (
	StepView     Page = "step view"
	Checklist    Page = "checklist"
	SessionSheet Page = "session sheet"
)

// Pages lists the pages in the order of the language reference.
var Pages = []Page{StepView, Checklist, SessionSheet}

// Kind defines a kind of block that stands in a step.
type Kind struct {
	// BlockKind is how it is written. Running text has no name there, since it needs no opening line.
	grammar.BlockKind
	// Rank is its place on the reference page.
	Rank int
	// New returns a block with the values of what an author leaves out.
	New func() Block
	// Lacks says what to write into an empty block.
	Lacks say.Text
	// Skips says of each page that leaves the block out, why.
	Skips map[Page]string
	// Refitting says what becomes of it in the refitting.
	Refitting string
}

// Label is what the kind is called where running text needs a name too.
func (k *Kind) Label() string {
	if k.Name == "" {
		return "text"
	}
	return k.Name
}

// HasActions reports whether blocks of the kind list what is done.
func (k *Kind) HasActions() bool {
	found := false
	EachField(k.New(), func(_ *Field, value any) {
		_, actions := value.(*[]*Action)
		found = found || actions
	})
	return found
}

// On returns what a page shows of a block: nothing when its kind leaves that page out.
func (p Page) On(b Block) Shown {
	if _, skipped := b.Kind().Skips[p]; skipped {
		return Shown{}
	}
	return b.Shows()
}

// Returning is a block that goes with the actions of its step on to the refitting.
type Returning interface {
	// ForRefitting returns the block for a step that acts on the named things; nil when it has no place there.
	ForRefitting(acted func(thing string) bool) Block
}

// kinds are the kinds of block, each put there by its own file.
var kinds []*Kind

func define(k Kind) *Kind {
	kinds = append(kinds, &k)
	return &k
}

// KindOf returns the kind that a word opens; nil when the word opens no block of a step.
func KindOf(word string) *Kind {
	i := slices.IndexFunc(kinds, func(k *Kind) bool { return k.Name == word && word != "" })
	if i < 0 {
		return nil
	}
	return kinds[i]
}

// Kinds lists the kinds of block in the order of the reference page.
func Kinds() []*Kind {
	return slices.SortedFunc(slices.Values(kinds), func(a, b *Kind) int { return a.Rank - b.Rank })
}
