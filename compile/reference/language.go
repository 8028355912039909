package reference

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/source"
)

// why says in ten lines why the dialect is as it is.
var why = []string{
	"A file is Markdown. It reads well in any viewer, and plain Markdown in it means what the CommonMark standard says.",
	"What Markdown has a sign for uses it: a step is a heading, what is done a task list, a key point a quotation. All else stands in blocks fenced with colons: a line of colons and a word opens one, a line of as many colons closes it. In a refit file a step may be one list instead: an item is an act, words, a key point in bold words, or a block, as in `- caution danger: It tips.`; what a block lists stands below its item, set in.",
	"A step ends where the next one begins. Blocks stand inside one another by their lines, not by indentation; three colons do at any depth.",
	"An opening line has one form, `::: kind name \"Title\" {attribute=value}`, so that there is nothing to look up but the words. What can be worked out need not be written: the pages show what was filled in.",
	"Parts, fasteners and tools stand in tables of the machine file, once. Steps name them; a torque is written in one place and right in all.",
	"There is one way to write each thing. Who has read one procedure can read them all.",
	"An unknown word is an error and never a guess: a mistyped `needs` would leave a step unguarded.",
	"A quantity carries its unit and is converted exactly. 45 and 45 N·m are not the same.",
	"What keeps people safe has a block of its own, a caution or a hold point, because bold type at the wrong place protects nobody.",
	"Nothing is lost. What you write gets on a page or is reported, with its line and what to do; only comments, `<!-- like this -->`, stay with you.",
}

// markdown says what running text may hold.
var markdown = []string{
	"`# Title` between steps groups those below it. In braces on the line below, `needs`, `people` and `tools` count for the steps of the group that do not state their own; in the front matter they count for all.",
	"A heading of level two without a name is an error. Inside a step write ###; `## Words {text}` is a heading that is text.",
	"Paragraphs, lists, emphasis, quotations, tables and headings mean what they mean in CommonMark.",
	"`[words](#step-name)` leads to a step of the procedure, `[words](https://...)` to the web.",
	"A name in code marks, such as `hoist-on` or `gearbox`, is shown as what people call the step or the thing; a value, such as `17.torque` or `gearbox.mass`, is printed from its row.",
	"A picture stands in a figure block, never in running text. HTML is shown as the text that it is.",
	"`\\|` is a bar inside a table's cell; `\\\"` is a quotation mark inside quotation marks.",
}

// term is a name with what it means.
type term struct {
	Name, Means string
	Required    bool
}

// file is a kind of file.
type file struct {
	ID, Name, Means, Example string
	Fields                   []term
}

// block is a kind of block.
type block struct {
	ID, Name, Means, Form, Title, Places, Holds, Example string
	// Pages says on which pages of steps it is shown, and why not on others; Back what becomes of it on the way
	// back. Both are empty for blocks that stand in no step.
	Pages, Back   string
	TitleRequired bool
	Argument      term
	Attributes    []term
}

// terms lists what stands on the block's opening line, in that order.
func (b block) terms() []term {
	var out []term
	if b.Argument.Name != "" {
		out = append(out, b.Argument)
	}
	if b.Title != "" {
		out = append(out, term{Name: `"Title"`, Means: "words in quotation marks. " + capital(b.Title), Required: b.TitleRequired})
	}
	return append(out, b.Attributes...)
}

// register is one register with its columns.
type register struct {
	ID, Name, Means string
	Columns         []term
}

// verb is one verb of the actions.
type verb struct{ Name, Form, Means string }

// unitGroup is the units of one kind of quantity.
type unitGroup struct {
	Dimension string
	Units     []unit
}

type unit struct{ Symbol, Name, Also, Equals string }

// language is the whole reference, worked out from the grammar.
type language struct {
	Why, Markdown []string
	Files         []file
	Blocks        []block
	Registers     []register
	Questions     []block
	Verbs         []verb
	Values        []term
	Units         []unitGroup
}

func newLanguage() language {
	l := language{Why: why, Markdown: markdown}
	for _, k := range append(source.FileKinds(), source.Settings()) {
		f := file{ID: "file-" + strings.TrimSuffix(k.Name, ".yaml"), Name: k.Name, Means: k.Means, Example: k.Example}
		for _, x := range k.Fields {
			f.Fields = append(f.Fields, term{strings.Join(x.Path, " > "), x.Means, x.Required})
		}
		l.Files = append(l.Files, f)
	}
	for _, k := range source.BlockKinds() {
		l.Blocks = append(l.Blocks, newBlock(k))
	}
	for _, q := range source.QuestionForms() {
		l.Questions = append(l.Questions, block{ID: "question-" + string(q.Kind), Name: string(q.Kind), Means: q.Means, Example: q.Example + "\n"})
	}
	for _, r := range source.RegisterForms() {
		l.Registers = append(l.Registers, register{"register-" + string(r.Kind), string(r.Kind), r.Means, terms(r.Columns)})
	}
	for _, v := range procedure.VerbRules {
		l.Verbs = append(l.Verbs, verb{string(v.Verb), verbForm(v), v.Means})
	}
	for _, v := range grammar.ValueTypes() {
		l.Values = append(l.Values, term{Name: v.Name, Means: v.Means})
	}
	l.Units = unitGroups()
	return l
}

func newBlock(k grammar.BlockKind) block {
	attributes := slices.DeleteFunc(slices.Clone(k.Attributes), func(a grammar.Attribute) bool { return a.Old })
	b := block{
		ID: "block-" + k.Name, Name: k.Name, Means: k.Means, Form: k.Form,
		Holds: k.Holds, Example: k.Example + "\n", Attributes: terms(attributes),
	}
	if k.Form == "" {
		b.open(k, attributes)
	}
	if of := procedure.KindOf(k.Name); of != nil {
		b.Pages, b.Back = pagesOf(of), of.Refitting
	}
	var places []string
	for _, p := range k.In {
		places = append(places, "a "+string(p))
	}
	b.Places = strings.Join(places, ", ")
	return b
}

// open describes the opening line of a block that is fenced with colons.
func (b *block) open(k grammar.BlockKind, attributes []grammar.Attribute) {
	b.Form = "::: " + k.Name
	b.Title, b.TitleRequired = k.Title, k.TitleRequired
	if k.Argument.Name != "" {
		b.Argument = terms([]grammar.Attribute{k.Argument})[0]
		b.Form += optional(" "+strings.ReplaceAll(k.Argument.Name, " ", "-"), k.Argument.Required)
	}
	if k.Title != "" {
		b.Form += optional(` "Title"`, k.TitleRequired)
	}
	if len(attributes) > 0 {
		b.Form += optional(" {...}", slices.ContainsFunc(attributes, func(a grammar.Attribute) bool { return a.Required }))
	}
}

// pagesOf says on which pages a kind of block is shown, and of each other page, why it is not.
func pagesOf(k *procedure.Kind) string {
	var on, off []string
	for _, p := range procedure.Pages {
		if why, skipped := k.Skips[p]; skipped {
			off = append(off, " Not on the "+string(p)+": "+why+".")
		} else {
			on = append(on, string(p))
		}
	}
	return capital(strings.Join(on, ", ")) + "." + strings.Join(off, "")
}

// optional puts a part of a form in brackets when it may be missing.
func optional(part string, required bool) string {
	if required {
		return part
	}
	return " [" + strings.TrimPrefix(part, " ") + "]"
}

// terms describes attributes or columns, with the type of their value.
func terms(attributes []grammar.Attribute) []term {
	var out []term
	for _, a := range attributes {
		form := a.Type.Name
		if len(a.Of) > 0 {
			form += " " + strings.Join(a.Of, ", ")
		}
		out = append(out, term{a.Name, form + ". " + capital(a.Means), a.Required})
	}
	return out
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

var thingWords = map[procedure.ThingKind]string{
	procedure.FastenerThing: "fastener", procedure.PartThing: "part", procedure.ConnectionThing: "connection",
	procedure.FluidThing: "fluid", procedure.SupportThing: "support", procedure.ConditionThing: "condition", procedure.ToolThing: "tool",
}

func things(kinds []procedure.ThingKind) string {
	var out []string
	for _, k := range kinds {
		out = append(out, thingWords[k])
	}
	return strings.Join(out, "|")
}

// verbForm writes a verb as it stands in a list, such as "support PART with SUPPORT, ...".
func verbForm(v procedure.VerbRule) string {
	form := string(v.Verb) + " " + strings.ToUpper(things(v.Objects))
	if v.Word != "" {
		form += optional(" "+v.Word+" "+strings.ToUpper(things(v.With)), v.NeedsWith)
	}
	if v.NeedsReason {
		form += ": REASON"
	}
	return form
}

func unitGroups() []unitGroup {
	var out []unitGroup
	for _, u := range measure.Units() {
		name := u.Dimension.String()
		if len(out) == 0 || out[len(out)-1].Dimension != name {
			out = append(out, unitGroup{Dimension: name})
		}
		x := unit{Symbol: u.Symbol, Name: u.Name, Also: strings.Join(u.Aliases, ", ")}
		if u.Symbol != u.Base {
			x.Equals = u.Factor + " " + u.Base
		}
		if u.Zero != "" {
			x.Equals = "a step of " + x.Equals + ", from " + u.Zero + " " + u.Base
		}
		g := &out[len(out)-1]
		g.Units = append(g.Units, x)
	}
	return out
}
