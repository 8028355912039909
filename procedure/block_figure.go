package procedure

import "matchmark/procedure/grammar"

// Illustration shows a figure without fasteners.
type Illustration struct {
	Common
	Figure Ref `refers:"figure"`
}

var illustrationKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "figure", Means: "A picture with numbered balloons.",
		Argument: grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "the figure's name, for references"},
		Title:    "the figure's caption", TitleRequired: true,
		Attributes: []grammar.Attribute{
			{Name: "src", Type: grammar.Path, Required: true, Means: "the picture: SVG, PNG or JPEG"},
			{Name: "describe", Type: grammar.Words, Means: "what it shows, for someone who cannot see it"},
		},
		In:    []grammar.Place{grammar.InMachine, grammar.InProcedure, grammar.InShared, grammar.InRefit, grammar.InStep},
		Holds: "A list of balloons: a callout number or the name of any thing that can be seen, `at` one or more points, `balloon` the centre of the number. Without the word `balloon` the number points to one place, and is placed for you where leaders do not cross. Several numbers share a leader as `8-10 at`. Points count in the picture's own units from the top left corner.",
		Example: `::: figure side "The drive" {src=figures/front.svg describe="A gearbox"}
- 1 at 120,80 balloon 60,40
- gearbox at 300,200 balloon 360,60
:::`,
	},
	Rank:      80,
	New:       func() Block { return &Illustration{} },
	Skips:     map[Page]string{SessionSheet: "pictures are on the step view and the checklist"},
	Refitting: "Left out; the figures of the step and of its callouts go along.",
})

// Kind implements Block.
func (b *Illustration) Kind() *Kind { return illustrationKind }

// Shows implements Block.
func (b *Illustration) Shows() Shown { return Shown{Figure: &b.Figure} }
