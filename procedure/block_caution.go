package procedure

import (
	"slices"

	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
)

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
	Signal Signal `word:"signal-word"`
	// About lists the things whose action the caution stands before; may be empty.
	About []Ref `refers:"thing"`
	// FindAbout is true when the author leaves that out: it is about the act that comes next.
	FindAbout bool `word:"-"`
	// OutOnly is true for a hazard of taking out, which the derived refitting does not repeat.
	OutOnly bool
	// Standing is true for a caution that holds for a whole chapter: every step of it has the caution, and pages show it where the
	// chapter begins.
	Standing bool  `word:"-"` // its place says it
	Prose    Prose `word:"text"`
}

// Repeats reports whether the caution holds for a chapter that the step before, which may be nil, is in too.
func (b *Caution) Repeats(s, before *Step) bool {
	return b.Standing && before != nil && before.Chapter == s.Chapter
}

// Stand puts the cautions that hold for its chapter in front of the step. What they are about is said once, where the chapter begins.
func (s *Step) Stand(cautions []*Caution, begins bool) {
	if len(cautions) == 0 {
		return
	}
	s.Standing = cautions
	blocks := make([]Block, 0, len(cautions)+len(s.Blocks))
	for _, c := range cautions {
		if !begins && len(c.About) > 0 {
			again := *c
			again.About, c = nil, &again
		}
		blocks = append(blocks, c)
	}
	s.Blocks = append(blocks, s.Blocks...)
}

var cautionKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "caution", Means: "A warning, in front of the action that it is about; right below the heading of a section it holds for all steps of it.",
		Argument: grammar.Attribute{
			Name: "signal word", Type: grammar.Choice, Means: "by ANSI Z535.6; `caution` when not stated",
			Of: []string{string(Danger), string(WarningWord), string(CautionWord), string(Notice)},
		},
		Attributes: []grammar.Attribute{
			{Name: "about", Type: grammar.Names, Means: "the things whose act the caution stands before; those of the next act when not stated, `none` for none"},
			{Name: "out-only", Type: grammar.Flag, Means: "it is about taking out; the refitting leaves it out"},
		},
		In:    []grammar.Place{grammar.InStep, grammar.InVariant, grammar.InProcedure, grammar.InShared, grammar.InRefit},
		Holds: "Prose: the hazard, what happens, how to avoid it.",
		Example: `::: caution warning {about=gearbox out-only}
The gearbox can drop when its last bolt comes out. Keep your feet clear.
:::`,
	},
	Rank:      10,
	New:       func() Block { return &Caution{Signal: CautionWord} },
	Lacks:     say.That("the hazard, what happens, and how to avoid it"),
	Refitting: "Repeated before the actions on the things that it is about, unless it is `out-only`.",
})

// Kind implements Block.
func (b *Caution) Kind() *Kind { return cautionKind }

// Shows implements Block.
func (b *Caution) Shows() Shown { return Shown{Warning: b} }

// ForRefitting implements Returning: a caution about nothing in particular goes along, hazards of taking out stay behind.
func (b *Caution) ForRefitting(acted func(thing string) bool) Block {
	if b.OutOnly {
		return nil
	}
	c := *b
	c.About = slices.DeleteFunc(slices.Clone(b.About), func(r Ref) bool { return !acted(r.ID) })
	if len(b.About) > 0 && len(c.About) == 0 {
		return nil
	}
	return &c
}
