package source

import (
	"matchmark/procedure"
	"matchmark/procedure/grammar"
)

// The grammar of the dialect, as data. The reader checks against it and the
// language reference page is generated from it; there is no second list. The blocks
// that a step holds are defined in package procedure; here are those that hold other things.

// BlockKinds lists the kinds of block in the order of the reference page.
func BlockKinds() []grammar.BlockKind { return blockKinds }

var blockKinds = allKinds()

func allKinds() []grammar.BlockKind {
	out := []grammar.BlockKind{stepKind}
	for _, k := range procedure.Kinds() {
		if k.Name != "" {
			out = append(out, k.BlockKind)
		}
	}
	return append(out, otherKinds...)
}

var stepKind = grammar.BlockKind{
	Name: "step", Form: "## Title {#name}", Means: "One screen at the bench: what to do, with what, and how long it takes. It ends where the next step begins.",
	Argument: grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "the step's name, for references"},
	Title:    "what the step does", TitleRequired: true,
	Attributes: []grammar.Attribute{
		{Name: "time", Type: grammar.Duration, Required: true, Means: "how long the step takes, in minutes"},
		{Name: "people", Type: grammar.Whole, Means: "how many people it takes; otherwise as the section or the front matter says, or 1"},
		{Name: "who", Type: grammar.Names, Means: "trades and tickets, as library.yaml lists them: for each, one of the step's people has it; otherwise as the section or the front matter says; `none` for none"},
		{Name: "tools", Type: grammar.Names, Means: "tools that the step needs; otherwise as the section or the front matter says; `none` for none"},
		{Name: "uses", Type: grammar.Words, Means: "what the step uses up, each with its amount: `grease 15 g, rags 2 pcs`; the list of what must lie ready adds them up"},
		{Name: "needs", Type: grammar.Names, Means: "conditions that must hold when the step starts; otherwise as the section or the front matter says; `none` for none"},
		{Name: "after", Type: grammar.Names, Means: "steps that must be done before this one"},
		{Name: "variants", Type: grammar.Names, Means: "the variants of the machine that the step is for; all when not stated"},
		{Name: "figure", Type: grammar.Name, Means: "the figure to show; otherwise the only one with all numbers that the step acts on; `none` for none"},
		{Name: "safe-stop", Type: grammar.Flag, Means: "work can be interrupted after this step"},
		{Name: "if", Type: grammar.Words, Means: "what must have been found for the step to be done: a name of `decide`, `read` or `inspect`"},
		{Name: "differs", Type: grammar.Flag, Means: "in a refit file: the step says only what is otherwise than in the derived step of its name, and keeps the rest, its title too where it has none"},
	},
	In:    []grammar.Place{grammar.InProcedure, grammar.InShared, grammar.InRefit},
	Holds: "Its attributes in braces on the line below the heading; then prose and the blocks below, in the order in which they are read at the bench.",
	Example: `## Take the guard off {#guard}
{time=2/3/5 tools=crate needs=isolated}

Undo the two guard screws. Lift the guard straight up.

- [ ] remove 1
- [ ] remove guard`,
}

var otherKinds = []grammar.BlockKind{
	{
		Name: "variant", Means: "Something that is for one variant of the machine only.",
		Argument: grammar.Attribute{Name: "variants", Type: grammar.Names, Required: true, Means: "the variants, separated by commas"},
		In:       []grammar.Place{grammar.InStep}, Holds: "Prose and blocks, as in a step.",
		Example: `::: variant chain
Turn the chain until its joint is at the top.
:::`,
	},
	{
		Name: "only", Means: "Something that is done only when a condition holds.",
		Attributes: []grammar.Attribute{{Name: "if", Type: grammar.Words, Required: true, Means: "what must have been found: a name of `decide`, `read` or `inspect`"}},
		In:         grammar.InStepOrVariant, Holds: "Prose and blocks, as in a step, but no hold point.",
		Example: `- [ ] read groove in mm: at most 12 mm {of=gearbox}

::: only {if="groove out"}
Order a new gearbox before you go on.
:::`,
	},
	{
		Name: "include", Means: "Takes in the steps of a shared steps file at this place.",
		Argument: grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "the steps file's name"},
		In:       []grammar.Place{grammar.InProcedure, grammar.InShared},
		Holds: "Nothing. Braces behind the name give a value for each of the steps' parameters: the name of a thing, or a callout number. Steps with parameters can be taken in " +
			"more than once, each time with other values; the names of their steps hold a parameter then, as in `## Close {part} off {#close-{part}}`.",
		Example: `::: include close-off {part=guard}
:::`,
	},
	{
		Name: "register", Means: "One of the machine's registers.",
		Argument: grammar.Attribute{Name: "register", Type: grammar.Choice, Required: true, Of: registerNames(), Means: "which register"},
		Title:    "a heading of your own",
		Attributes: []grammar.Attribute{
			{Name: "from", Type: grammar.Path, Means: "a file that the rows come from: a table saved as .xlsx, .csv or .tsv, or a registers file"},
			{Name: "sheet", Type: grammar.Words, Means: "the sheet of a spreadsheet; not needed for the only one, or one that is called like the register"},
			{Name: "leave", Type: grammar.Words, Means: "headings of columns that are left out, separated by commas"},
		},
		In:    []grammar.Place{grammar.InMachine, grammar.InRegisters},
		Holds: "Tables, with the columns that are needed; the columns of each register are listed below. `Each: COLUMN VALUE; COLUMN VALUE` above a table says what its rows have in common, a list item `KEY: COLUMN VALUE; COLUMN VALUE` below it what single rows have besides. A hyphen says that there is nothing. Cells pasted from a spreadsheet may stand in place of a table.",
		Example: `::: register fluids "Oils"
Each: container crate; single-use

| id        | name                  | quantity |
|-----------|-----------------------|----------|
| chain-oil | Chain oil, food grade | 0.2 L    |

- chain-oil: hazard slippery; drain drip tray
:::`,
	},
	{
		Name: "question", Means: "One question of a quiz.",
		Argument: grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "the question's name"},
		Attributes: []grammar.Attribute{
			{Name: "type", Type: grammar.Choice, Required: true, Of: questionKinds(), Means: "how it is answered"},
			{Name: "step", Type: grammar.Name, Means: "the step that it is about"},
			{Name: "about", Type: grammar.Names, Means: "the things that it is about: callout numbers, parts, conditions; ties it to the cautions about them"},
			{Name: "aim", Type: grammar.Whole, Means: "the aim that it tests, by its place in the procedure's list of aims"},
			{Name: "points", Type: grammar.Whole, Means: "what a right answer counts; 1 when not stated"},
			{Name: "critical", Type: grammar.Flag, Means: "a wrong answer fails the quiz, whatever the score"},
			{Name: "answer", Type: grammar.Words, Means: "of a true-false, number or point question: `true` or `false`, a quantity, or the callout number"},
			{Name: "tolerance", Type: grammar.Amount, Means: "of a number question: how far a number may be off"},
			{Name: "figure", Type: grammar.Name, Means: "of a point question: the figure to point at"},
		},
		In:    []grammar.Place{grammar.InQuiz},
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

func questionKinds() []string {
	var out []string
	for _, k := range procedure.QuestionKinds {
		out = append(out, string(k))
	}
	return out
}

func blockKind(name string) *grammar.BlockKind {
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
