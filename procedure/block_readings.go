package procedure

import (
	"slices"
	"strings"

	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Readings are values that are read off and written down, or worked out from those that were.
type Readings struct {
	Common
	// Name is that of a table of readings; empty for a list of single ones.
	Name  string
	Title string
	// Of is the thing that is measured.
	Of Ref `refers:"thing"`
	// Unit, Limits and Chance are what a table states for all of its values.
	Unit, Limits string
	Chance       int
	Rows         []Reading
}

// Reading is one value. Those of a table have a row and a column, those of a series come again.
type Reading struct {
	// Name is what other steps know the value by.
	Name string
	// Words say what is read.
	Words string
	// Unit is the canonical symbol of the unit that it is written down in.
	Unit string
	// Accept is the acceptable range in the author's words, empty for none.
	Accept string
	// Limits is Accept as numbers; nil for a value without limits.
	Limits *Limits `word:"-"` // what Accept says
	// Row and Column are the headings of a value in a table.
	Row, Column string
	// Sum says how the value is worked out from others, "found - wanted"; empty for one that is read off.
	Sum string
	// Every and For are the interval and the length of a series; not stated for a single value.
	Every, For measure.Quantity
	// Chance is how likely the value is out of its limits, in percent; 0 when not stated.
	Chance int
	Span   text.Span
}

// Label is what the value is called on pages.
func (r *Reading) Label() string {
	if r.Column != "" {
		return r.Row + ", " + r.Column
	}
	return r.Words
}

// LabelOf is what a value is called where its table is not beside it.
func (r *Readings) LabelOf(x *Reading) string {
	if x.Column != "" && r.Title != "" {
		return r.Title + ": " + x.Label()
	}
	return x.Label()
}

// Points is how many values a series has; 1 for a single value.
func (r *Reading) Points() int {
	if r.Every.IsZero() {
		return 1
	}
	return int(r.For.Float("min")/r.Every.Float("min") + 1e-9)
}

// Addend is a value that a sum adds or takes away.
type Addend struct {
	Name  string
	Minus bool
	// Times is a whole number that the value is taken times.
	Times int
}

// Addends are the values of a sum, in order.
func (r *Reading) Addends() []Addend {
	var out []Addend
	minus, times := false, 1
	for _, word := range strings.Fields(r.Sum) {
		switch {
		case word == "+" || word == "-":
			minus = word == "-"
		case word[0] >= '0' && word[0] <= '9':
			times = 0
			for _, c := range strings.TrimSuffix(word, "×") {
				times = 10*times + int(c-'0')
			}
		default:
			out = append(out, Addend{word, minus, times})
			minus, times = false, 1
		}
	}
	return out
}

var readingsKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "readings", Form: "- [ ] read NAME in UNIT: LIMITS", Means: "Values that are written down at the bench, with limits or without, and sums of them.",
		Argument: grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "of a table: what its values are known by"},
		Title:    "of a table: what is measured",
		Attributes: []grammar.Attribute{
			{Name: "of", Type: grammar.Name, Means: "the thing that is measured"},
			{Name: "title", Type: grammar.Words, Means: "of a single value: what is read, where its name does not say it"},
			{Name: "unit", Type: grammar.Words, Means: "of a table: the unit of its values"},
			{Name: "limits", Type: grammar.Words, Means: "of a table: the limits of cells that state none"},
			{Name: "chance", Type: grammar.Whole, Means: "how likely a value is out of its limits, in percent; 50 when not stated"},
		},
		In: grammar.InStepOrVariant,
		Holds: "Lines of a task list: `read NAME in UNIT`, with `every 10 min for 60 min` for a series, and after a colon the limits, if there are any. " +
			"`compute NAME in UNIT = found - wanted` adds up values. Values for places by directions stand in a block with one table: a cell has its own limits, is empty for those of the block, or has a hyphen where nothing is read. " +
			"`NAME.value` in code marks shows a value where it is used.",
		Example: `- [ ] read play in mm: at most 0.1 mm {of=gearbox}
- [ ] read shim-wanted in mm
- [ ] compute shim in mm = shim-wanted - play
- [ ] read heat in °C every 1 min for 4 min: at most 70 °C

::: readings runout "Run-out" {of=gearbox unit=mm limits="at most 0.05 mm"}
| at         | rim | face            |
|------------|-----|-----------------|
| 12 o'clock | -   | -               |
| 6 o'clock  |     | at most 0.03 mm |
:::`,
	},
	Rank:      62,
	New:       func() Block { return &Readings{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Left out; a value that is read again on the way back, under the same name, has the first one beside it.",
})

// Kind implements Block.
func (b *Readings) Kind() *Kind { return readingsKind }

// Shows implements Block.
func (b *Readings) Shows() Shown { return Shown{Readings: b} }

// Columns are the headings of a table's columns, in order; none for a list.
func (b *Readings) Columns() []string {
	var out []string
	for i := range b.Rows {
		if c := b.Rows[i].Column; c != "" && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}
