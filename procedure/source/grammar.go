package source

import "matchmark/procedure"

// The grammar of the dialect, as data. The reader checks against it and the
// language reference page is generated from it; there is no second list.

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
	Names    = ValueType{"names", "names, separated by commas"}
	Callout  = ValueType{"number", "a callout number from 1 to 999"}
	Words    = ValueType{"words", "any words"}
	Whole    = ValueType{"whole number", "a whole number"}
	Decimal  = ValueType{"decimal number", "a number with a decimal point"}
	Yes      = ValueType{"yes", "`yes`, or nothing"}
	Flag     = ValueType{"flag", "stands alone, without a value"}
	Choice   = ValueType{"one of", "one of the words listed"}
	Amount   = ValueType{"quantity", "a number with a unit, such as `45 N·m`"}
	Path     = ValueType{"path", "the path of a picture, from the library's folder"}
	Duration = ValueType{"time", "minutes: `6`, or optimistic/most likely/pessimistic as `4/6/10`; other units in quotation marks, as `\"1.5 h\"`"}
)

// ValueTypes lists the types in the order of the reference page.
func ValueTypes() []ValueType {
	return []ValueType{Name, Names, Callout, Words, Whole, Decimal, Yes, Flag, Choice, Amount, Path, Duration}
}

// Attribute is one word in a block's braces.
type Attribute struct {
	Name     string
	Type     ValueType
	Required bool
	// Of lists the words that a Choice allows.
	Of    []string
	Means string
}

// Place says where a block may stand.
type Place string

// The places of blocks: a kind of file, or inside a kind of block.
const (
	InMachine   Place = "machine file"
	InProcedure Place = "procedure file"
	InSteps     Place = "shared steps file"
	InRefit     Place = "refit file"
	InQuiz      Place = "quiz file"
	InCourse    Place = "course file"
	InStep      Place = "step"
	InVariant   Place = "variant"
)

// BlockKind is one kind of fenced block.
type BlockKind struct {
	Name  string
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

// attribute returns the attribute with that name, or nil.
func (k *BlockKind) attribute(name string) *Attribute {
	for i := range k.Attributes {
		if k.Attributes[i].Name == name {
			return &k.Attributes[i]
		}
	}
	return nil
}

func (k *BlockKind) allowedIn(p Place) bool {
	for _, in := range k.In {
		if in == p {
			return true
		}
	}
	return false
}

var figureAttribute = Attribute{Name: "figure", Type: Name, Means: "the figure to show"}

// BlockKinds lists the kinds of block in the order of the reference page.
func BlockKinds() []BlockKind { return blockKinds }

var blockKinds = []BlockKind{
	{
		Name: "step", Means: "One screen at the bench: what to do, with what, and how long it takes.",
		Argument: Attribute{Name: "name", Type: Name, Required: true, Means: "the step's name, for references"},
		Title:    "what the step does", TitleRequired: true,
		Attributes: []Attribute{
			{Name: "time", Type: Duration, Required: true, Means: "how long the step takes, in minutes"},
			{Name: "people", Type: Whole, Means: "how many people it takes; 1 when not stated"},
			{Name: "tools", Type: Names, Means: "tools that the step needs"},
			{Name: "needs", Type: Names, Means: "conditions that must hold when the step starts"},
			{Name: "after", Type: Names, Means: "steps that must be done before this one"},
			{Name: "variants", Type: Names, Means: "the variants of the machine that the step is for; all when not stated"},
			figureAttribute,
			{Name: "safe-stop", Type: Flag, Means: "work can be interrupted after this step"},
		},
		In:    []Place{InProcedure, InSteps, InRefit},
		Holds: "Prose and the blocks below, in the order in which they are read at the bench.",
		Example: `::: step guard "Take the guard off" {time=2/3/5 tools=crate needs=isolated}
Undo the two guard screws. Lift the guard straight up.
::: fasteners {figure=front}
- remove 1
:::
::: actions
- remove guard
:::
:::`,
	},
	{
		Name: "caution", Means: "A warning, in front of the action that it is about.",
		Argument: Attribute{Name: "signal word", Type: Choice, Of: signalWords(), Means: "by ANSI Z535.6; `caution` when not stated"},
		Attributes: []Attribute{
			{Name: "about", Type: Names, Means: "the things whose action the caution stands before"},
			{Name: "out-only", Type: Flag, Means: "it is about taking out; the refitting leaves it out"},
		},
		In:    []Place{InStep, InVariant},
		Holds: "Prose: the hazard, what happens, how to avoid it.",
		Example: `::: caution warning {about=gearbox out-only}
The gearbox can drop when its last bolt comes out. Keep your feet clear.
:::`,
	},
	{
		Name: "tip", Means: "Advice of the trade that makes the work easier.",
		In: []Place{InStep, InVariant}, Holds: "Prose.",
		Example: `::: tip
Hang the guard screws back in their holes, so that none is lost.
:::`,
	},
	{
		Name: "key-point", Means: "What makes or breaks the step (TWI job instruction), with its reason.",
		Title: "the key point", TitleRequired: true,
		In: []Place{InStep, InVariant}, Holds: "Prose: the reason. It must be given.",
		Example: `::: key-point "Pull the belt off by hand"
A lever nicks the groove, and the belt then fails early.
:::`,
	},
	{
		Name: "fasteners", Means: "The fastener callout: what is done to the numbered fasteners of a figure.",
		Attributes: []Attribute{figureAttribute},
		In:         []Place{InStep, InVariant},
		Holds:      "A list: a verb and callout numbers, and after a colon the reason. A fastener that is kept needs its reason.",
		Example: `::: fasteners {figure=front}
- remove 2
- keep 3: carries the gearbox until the hoist does
:::`,
	},
	{
		Name: "actions", Means: "What is done to parts, connections, fluids, supports and conditions.",
		Attributes: []Attribute{
			{Name: "reach", Type: Amount, Means: "lift by hand: how far the hands are in front of the ankles"},
			{Name: "from", Type: Amount, Means: "lift by hand: height of the hands at the start"},
			{Name: "to", Type: Amount, Means: "lift by hand: height of the hands at the end"},
			{Name: "twist", Type: Amount, Means: "lift by hand: how far the body turns"},
			{Name: "grip", Type: Choice, Of: []string{"good", "fair", "poor"}, Means: "lift by hand: how well the hands hold"},
		},
		In:    []Place{InStep, InVariant},
		Holds: "A list: a verb, names, a preposition with further names where the verb takes one, and after a colon a reason.",
		Example: `::: actions
- disconnect earth-strap
- support gearbox with hoist, sling
:::`,
	},
	{
		Name: "inspect", Means: "What to look at and what is acceptable.",
		Attributes: []Attribute{{Name: "of", Type: Name, Means: "the thing that is inspected"}},
		In:         []Place{InStep, InVariant},
		Holds:      "A list: what to look at, a colon, what is acceptable. `12 mm to 13 mm`, `at least 3 mm` and `at most 0.1 mm` are measured limits.",
		Example: `::: inspect {of=gearbox}
- Oil: no metal flakes
- Shaft play: at most 0.1 mm
:::`,
	},
	{
		Name: "hold", Means: "A hold point: each confirmation must be given before the next step.",
		Title: "what the hold point is for",
		Attributes: []Attribute{
			{Name: "signature", Type: Words, Means: "who signs it, such as `trainer`"},
			{Name: "safe-stop", Type: Flag, Means: "work can be interrupted here"},
		},
		In:    []Place{InStep},
		Holds: "A list of confirmations. The hold point is the last block of its step.",
		Example: `::: hold "Before the lift" {signature=trainer}
- The floor under the load is clear
- The hook latch is closed
:::`,
	},
	{
		Name: "figure", Means: "A picture with numbered balloons.",
		Argument: Attribute{Name: "name", Type: Name, Required: true, Means: "the figure's name, for references"},
		Title:    "the figure's caption", TitleRequired: true,
		Attributes: []Attribute{
			{Name: "src", Type: Path, Required: true, Means: "the picture: SVG, PNG or JPEG"},
			{Name: "describe", Type: Words, Means: "what it shows, for someone who cannot see it"},
		},
		In:    []Place{InMachine, InProcedure, InSteps, InRefit, InStep},
		Holds: "A list of balloons: a callout number or a part, `at` one or more points, `balloon` the centre of the number. Points count in the picture's own units from the top left corner.",
		Example: `::: figure side "The drive" {src=figures/front.svg describe="A gearbox"}
- 1 at 120,80 balloon 60,40
- gearbox at 300,200 balloon 360,60
:::`,
	},
	{
		Name: "variant", Means: "Something that is for one variant of the machine only.",
		Argument: Attribute{Name: "variants", Type: Names, Required: true, Means: "the variants, separated by commas"},
		In:       []Place{InStep}, Holds: "Prose and blocks, as in a step.",
		Example: `::: variant chain
Turn the chain until its joint is at the top.
:::`,
	},
	{
		Name: "include", Means: "Takes in the steps of a shared steps file at this place.",
		Argument: Attribute{Name: "name", Type: Name, Required: true, Means: "the steps file's name"},
		In:       []Place{InProcedure, InSteps}, Holds: "Nothing.",
		Example: `::: include isolate
:::`,
	},
	{
		Name: "register", Means: "One of the machine's registers.",
		Argument: Attribute{Name: "register", Type: Choice, Required: true, Of: registerNames(), Means: "which register"},
		Title:    "a heading of your own",
		In:       []Place{InMachine}, Holds: "One table; the columns of each register are listed below.",
		Example: `::: register fluids "Oils"
| id | name | quantity | drain | container | hazard |
|---|---|---|---|---|---|
| chain-oil | Chain oil, food grade | 0.2 L | drip tray | crate | slippery |
:::`,
	},
	{
		Name: "question", Means: "One question of a quiz.",
		Argument: Attribute{Name: "name", Type: Name, Required: true, Means: "the question's name"},
		Attributes: []Attribute{
			{Name: "type", Type: Choice, Required: true, Of: questionKinds(), Means: "how it is answered"},
			{Name: "step", Type: Name, Means: "the step that it is about"},
			{Name: "about", Type: Names, Means: "the things that it is about: callout numbers, parts, conditions; ties it to the cautions about them"},
			{Name: "aim", Type: Whole, Means: "the aim that it tests, by its place in the procedure's list of aims"},
			{Name: "points", Type: Whole, Means: "what a right answer counts; 1 when not stated"},
			{Name: "critical", Type: Flag, Means: "a wrong answer fails the quiz, whatever the score"},
			{Name: "answer", Type: Words, Means: "`true` or `false`, a quantity, or the callout number"},
			{Name: "tolerance", Type: Amount, Means: "how far a number may be off"},
			figureAttribute,
		},
		In:    []Place{InQuiz},
		Holds: "The question, then its choices as a list: `[x]` right, `[ ]` wrong; numbered for an order. A quotation under a choice is its feedback, one at the end explains the answer.",
		Example: `::: question why-bolt-stays {type=single step=guard-off critical}
Why does bolt 3 stay in?
- [x] It carries the gearbox.
  > Right: nothing else does yet.
- [ ] It is too tight.
  > No: the torque is not the reason.

> The hoist takes over later.
:::`,
	},
}

func signalWords() []string {
	return []string{string(procedure.Danger), string(procedure.WarningWord), string(procedure.CautionWord), string(procedure.Notice)}
}

func questionKinds() []string {
	var out []string
	for _, k := range procedure.QuestionKinds {
		out = append(out, string(k))
	}
	return out
}

func blockKind(name string) *BlockKind {
	for i := range blockKinds {
		if blockKinds[i].Name == name {
			return &blockKinds[i]
		}
	}
	return nil
}

func blockNames() []string {
	var out []string
	for _, k := range blockKinds {
		out = append(out, k.Name)
	}
	return out
}
