// Package grammar is what the grammar of the dialect is made of: types of values, attributes, places, kinds of block.
// The kinds themselves are defined where their fields are, in package procedure, or where they are read, in package source.
package grammar

import "matchmark/procedure/measure"

// ValueType says what may stand as an attribute's or a cell's value.
type ValueType struct {
	// Name is what the reference page calls the type.
	Name string
	// Means describes the type in one line.
	Means string
}

// The value types.
var (
	Name     = ValueType{"name", "a name: lower-case letters, digits and hyphens, a letter first"}
	Names    = ValueType{"names", "names, separated by commas; `9 and 10` and `8-10` are read too"}
	Callout  = ValueType{"number", "a callout number from 1 to 999"}
	Words    = ValueType{"words", "any words"}
	Whole    = ValueType{"whole number", "a whole number"}
	Decimal  = ValueType{"decimal number", "a number with a decimal point, or a comma where the library's language has one"}
	Yes      = ValueType{"yes", "`yes`, or nothing"}
	Flag     = ValueType{"flag", "stands alone, without a value"}
	Choice   = ValueType{"one of", "one of the words listed"}
	Amount   = ValueType{"quantity", "a number with a unit, such as `45 N·m`, `1 1/2 in` or `1 h 30 min`; a torque may say what it may deviate, `45 ± 5 N·m`, or be a range, `23-27 lbf·ft`"}
	Position = ValueType{"places", "a place on the machine in mm: `420`, along one axis that you choose for it, or `420, 0, 310` (x, y, and z upward) from a point that you choose; with a slash between several, `0 / 840`"}
	Path     = ValueType{"path", "the path of a file, from the library's folder"}
	Duration = ValueType{"time", "minutes: `6`, or optimistic/most likely/pessimistic as `4/6/10`; other units in quotation marks, as `\"1 h 30 min\"`"}
)

// ValueTypes lists the types in the order of the reference page.
func ValueTypes() []ValueType {
	return []ValueType{Name, Names, Callout, Words, Whole, Decimal, Yes, Flag, Choice, Amount, Position, Path, Duration}
}

// Attribute is one word in a block's braces.
type Attribute struct {
	Name     string
	Type     ValueType
	Required bool
	// Of lists the words that a Choice allows.
	Of []string
	// Dimension is what an Amount measures.
	Dimension measure.Dimension
	Means     string
	// Old is set for an attribute that is read still but no longer written.
	Old bool
}

// Place says where a block may stand.
type Place string

// The places of blocks: a kind of file, or inside a kind of block.
const (
	InMachine   Place = "machine file"
	InRegisters Place = "registers file"
	InProcedure Place = "procedure file"
	InShared    Place = "shared steps file"
	InRefit     Place = "refit file"
	InQuiz      Place = "quiz file"
	InCourse    Place = "course file"
	InGlossary  Place = "glossary file"
	InStep      Place = "step"
	InVariant   Place = "variant"
)

// InStepOrVariant are the places of most blocks: a step, and a variant block of one.
var InStepOrVariant = []Place{InStep, InVariant}

// BlockKind is one kind of block.
type BlockKind struct {
	Name string
	// Form is how the block begins when that is no line of colons, which is read still then, as an older form.
	Form  string
	Means string
	// Argument is the word after the kind; an empty Name means that the block takes none.
	Argument Attribute
	// Title says what the words in quotes are; empty means that the block takes none.
	Title         string
	TitleRequired bool
	Attributes    []Attribute
	In            []Place
	// Holds describes the block's content in one line.
	Holds string
	// Example is a block that compiles in the first of its places.
	Example string
}

// Attribute returns the attribute with that name, or nil.
func (k *BlockKind) Attribute(name string) *Attribute {
	for i := range k.Attributes {
		if k.Attributes[i].Name == name {
			return &k.Attributes[i]
		}
	}
	return nil
}

// AllowedIn reports whether a block of the kind may stand there.
func (k *BlockKind) AllowedIn(p Place) bool {
	for _, in := range k.In {
		if in == p {
			return true
		}
	}
	return false
}

// Figure is the attribute that names a figure to show.
var Figure = Attribute{Name: "figure", Type: Name, Means: "the figure to show"}
