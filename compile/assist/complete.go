package assist

import (
	"cmp"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Offer is something that may be written at a place.
type Offer struct {
	Label string
	// Detail says in a few words what it is, Means in a line or more.
	Detail, Means string
	// At is what it takes the place of.
	At text.Span
	// Text is what is written. With Blanks, places to fill in are marked as ${1:words}, as LSP's snippets mark them.
	Text   string
	Blanks bool
	Kind   OfferKind
}

// OfferKind says what kind of thing is offered.
type OfferKind int

// The kinds of offer.
const (
	OfferWord  OfferKind = iota // a word of the language
	OfferName                   // a name of a register, a step, a figure or a file
	OfferField                  // an attribute, a column or a line of the front matter
	OfferBlock                  // a block
	OfferUnit                   // a unit
)

// Complete lists what may stand at a place of a file, of what was begun there.
func (d *Desk) Complete(file string, offset int) (out []Offer, err error) {
	err = d.on(file, func(doc *document) {
		c := &completion{document: doc, spot: spotAt(doc.file, offset), ids: d.builder.Names()}
		c.complete()
		out = c.offers
	})
	return out, err
}

// spot is a place in a file, as far as its line tells.
type spot struct {
	file   *text.File
	offset int
	start  int    // of the line
	before string // of the line, up to the place
	kind   string // of the file
	matter bool   // in the front matter
}

var kindLine = regexp.MustCompile(`(?m)^kind:[ \t]*([a-z]+)`)

func spotAt(f *text.File, offset int) spot {
	offset = min(max(offset, 0), len(f.Source))
	s := spot{file: f, offset: offset}
	s.start, _ = f.LineBounds(f.LineOf(offset))
	s.start = min(s.start, offset)
	s.before = strings.TrimPrefix(string(f.Source[s.start:offset]), "\ufeff")
	head := matterOf(f.Source)
	if m := kindLine.FindStringSubmatch(head); m != nil {
		s.kind = m[1]
	}
	s.matter = head != "" && offset <= len(head) || strings.TrimSpace(string(f.Source)) == "---"
	return s
}

var matterEnd = regexp.MustCompile(`(?m)^---[ \t]*\r?$`)

// matterOf is the front matter of a file with its first line, up to the line that ends it, or all of a file that does not end it.
func matterOf(src []byte) string {
	if !strings.HasPrefix(strings.TrimPrefix(string(src), "\ufeff"), "---") {
		return ""
	}
	if ends := matterEnd.FindAllIndex(src, 2); len(ends) == 2 {
		return string(src[:ends[1][0]])
	}
	return string(src)
}

type completion struct {
	*document
	spot
	ids    source.IDs
	offers []Offer
}

// offer adds what begins with the words that stand in front of the place.
func (c *completion) offer(begun string, o Offer) {
	o.At = c.spot.file.Span(c.offset-len(begun), c.offset)
	o.Text = cmp.Or(o.Text, o.Label)
	if strings.HasPrefix(strings.ToLower(o.Label), strings.ToLower(begun)) || strings.Contains(strings.ToLower(o.Detail), strings.ToLower(begun)) {
		c.offers = append(c.offers, o)
	}
}

func (c *completion) complete() {
	switch {
	case c.spot.matter:
		c.frontMatter()
	case c.mention(), c.link(), c.attributes(), c.fence(), c.act(), c.cell():
	}
}

var (
	matterValue  = regexp.MustCompile(`^[ \t]*(?:-[ \t]+)?(?:\{[ \t]*)?([a-z-]+):[ \t]*"?([^"]*)$`)
	matterField  = regexp.MustCompile(`^[ \t]*(?:-[ \t]+)?([a-z-]*)$`)
	matterItem   = regexp.MustCompile(`^[ \t]*-[ \t]+([a-z0-9-]*)$`)
	namesOfField = map[string]string{"machine": "machine", "like": "machine", "procedure": "procedure", "refit": "procedure", "quiz": "quiz"}
)

func (c *completion) frontMatter() {
	if m := matterValue.FindStringSubmatch(c.before); m != nil {
		if m[1] == "kind" {
			for _, k := range source.FileKinds() {
				c.offer(m[2], Offer{Label: k.Name, Means: k.Means, Kind: OfferWord})
			}
			return
		}
		for _, id := range c.ids[namesOfField[m[1]]] {
			c.offer(m[2], Offer{Label: id, Detail: namesOfField[m[1]], Kind: OfferName})
		}
		return
	}
	if m := matterItem.FindStringSubmatch(c.before); m != nil {
		switch c.listField() {
		case "needs":
			c.things(m[1], procedure.ConditionThing)
		case "tools":
			c.things(m[1], procedure.ToolThing)
		case "out":
			c.things(m[1], procedure.PartThing, procedure.ConnectionThing, procedure.FluidThing, procedure.FastenerThing)
		}
		if len(c.offers) > 0 {
			return
		}
	}
	m := matterField.FindStringSubmatch(c.before)
	if m == nil {
		return
	}
	head := matterOf(c.spot.file.Source)
	for _, k := range source.FileKinds() {
		if k.Name != c.kind && (c.kind != "" || k.Name != "procedure") {
			continue
		}
		for _, f := range k.Fields {
			name := f.Path[len(f.Path)-1]
			if len(f.Path) == 1 && strings.Contains(head, "\n"+name+":") {
				continue
			}
			c.offer(m[1], Offer{Label: name, Text: name + ": ", Detail: required(f.Required), Means: f.Means, Kind: OfferField})
		}
	}
}

func required(yes bool) string {
	if yes {
		return "required"
	}
	return ""
}

// listField is the line of the front matter that a list item stands below.
func (c *completion) listField() string {
	lines := strings.Split(string(c.spot.file.Source[:c.start]), "\n")
	for _, line := range slices.Backward(lines) {
		if line != "" && line[0] >= 'a' && line[0] <= 'z' {
			name, _, _ := strings.Cut(line, ":")
			return name
		}
	}
	return ""
}

var mentionBegun = regexp.MustCompile("(?:^|[^`])`([a-z0-9-]*)(\\.[a-z-]*)?$")

// mention completes a name or a value of a row in code marks.
func (c *completion) mention() bool {
	m := mentionBegun.FindStringSubmatch(c.before)
	if m == nil || strings.Count(c.before, "`")%2 == 0 {
		return false
	}
	in := c.scope()
	if m[2] != "" {
		if in.machine == nil {
			return true
		}
		if t := in.machine.Thing(m[1]); t != nil {
			_, row := t.Register()
			for _, f := range filled(row, in.machine) {
				c.offer(m[2][1:], Offer{Label: f.word, Detail: f.value, Kind: OfferField})
			}
		}
		return true
	}
	c.things(m[1])
	c.steps(m[1])
	return true
}

var linkBegun = regexp.MustCompile(`\]\(#([a-z0-9-]*)$`)

func (c *completion) link() bool {
	m := linkBegun.FindStringSubmatch(c.before)
	if m != nil {
		c.steps(m[1])
	}
	return m != nil
}

// scope is where names are looked up in the file.
func (c *completion) scope() scope { return scopeOf(c.document) }

func scopeOf(doc *document) scope {
	in := scope{}
	for _, p := range doc.opened.Procedures {
		if in.procedure == nil || p.File == doc.file || p.File.Name == doc.file.Name {
			in.procedure, in.machine = p, p.Machine
		}
	}
	for _, m := range doc.opened.Machines {
		if in.machine == nil || m.File.Name == doc.file.Name {
			in.machine = m
		}
	}
	return in
}

// things offers the things of the machine, of some kinds or of all.
func (c *completion) things(begun string, kinds ...procedure.ThingKind) {
	in := c.scope()
	if in.machine == nil {
		return
	}
	for _, t := range in.machine.Things() {
		if len(kinds) > 0 && !slices.Contains(kinds, t.Kind) {
			continue
		}
		register, _ := t.Register()
		c.offer(begun, Offer{Label: t.Row.ID, Detail: t.Row.Name, Means: fmt.Sprintf("%s: %s", register, describe(&t, in.machine)), Kind: OfferName})
	}
}

func (c *completion) steps(begun string) {
	if in := c.scope(); in.procedure != nil {
		for _, s := range in.procedure.WrittenSteps() {
			c.offer(begun, Offer{Label: s.ID, Detail: s.Title, Kind: OfferName})
		}
	}
}

func (c *completion) figures(begun string) {
	in := c.scope()
	var all []*procedure.Figure
	if in.procedure != nil {
		all = append(all, in.procedure.Figures...)
	}
	if in.machine != nil {
		all = append(all, in.machine.Figures...)
	}
	for _, f := range all {
		c.offer(begun, Offer{Label: f.ID, Detail: f.Title, Means: f.Describe, Kind: OfferName})
	}
}

// named offers the names that a field leads to.
func (c *completion) named(begun, refers string) {
	switch refers {
	case "":
	case "step":
		c.steps(begun)
	case "figure":
		c.figures(begun)
	case "variant":
		if in := c.scope(); in.machine != nil {
			for _, v := range in.machine.Variants {
				c.offer(begun, Offer{Label: v.ID, Detail: v.Name, Kind: OfferName})
			}
		}
	default:
		c.things(begun, kindsOf(refers)...)
	}
}

// kindsOf are the kinds of thing that a field's names lead to; none stands for all.
func kindsOf(refers string) (out []procedure.ThingKind) {
	of := map[string]procedure.ThingKind{
		"fastener": procedure.FastenerThing, "part": procedure.PartThing, "connection": procedure.ConnectionThing, "fluid": procedure.FluidThing,
		"support": procedure.SupportThing, "condition": procedure.ConditionThing, "tool": procedure.ToolThing,
	}
	for _, word := range strings.Split(refers, ",") {
		if k, ok := of[word]; ok {
			out = append(out, k)
		}
	}
	return out
}

var (
	bracesOpen  = regexp.MustCompile(`\{([^{}]*)$`)
	valueBegun  = regexp.MustCompile(`([a-z-]+)=("?)([^"=]*)$`)
	fieldBegun  = regexp.MustCompile(`(?:^|[ \t])([a-z-]*)$`)
	headingLine = regexp.MustCompile(`^(#{1,2})[ \t]`)
	taskLine    = regexp.MustCompile(`^[ \t]*[-*+][ \t]+\[[ xX]?\][ \t]+`)
	fenceLine   = regexp.MustCompile(`^[ \t]*:::+[ \t]*([a-z-]+)`)
)

// attributes completes inside braces.
func (c *completion) attributes() bool {
	m := bracesOpen.FindStringSubmatch(c.before)
	if m == nil {
		return false
	}
	if c.kind == "steps" && !strings.ContainsAny(m[1], "= \t#") {
		c.parameters(m[1], c.opened.Shared[c.document.file.Name])
	}
	kind, model := c.owner()
	if kind == nil {
		return true
	}
	if kind.Name == "include" {
		c.given(m[1])
		return true
	}
	if v := valueBegun.FindStringSubmatch(m[1]); v != nil && (v[2] == `"` || !strings.ContainsAny(v[3], " \t")) {
		c.value(kind.Attribute(v[1]), model, v[3])
		return true
	}
	if strings.Count(m[1], `"`)%2 == 1 {
		return true // in the words of a value
	}
	if f := fieldBegun.FindStringSubmatch(m[1]); f != nil {
		for _, a := range kind.Attributes {
			if a.Old || strings.Contains(" "+m[1], " "+a.Name+"=") {
				continue
			}
			c.offer(f[1], attributeOffer(a))
		}
	}
	return true
}

// parameters offers those of shared steps.
func (c *completion) parameters(begun string, of *source.Part) {
	if of == nil {
		return
	}
	_, all := of.Shared()
	for _, p := range all {
		c.offer(begun, Offer{Label: p.ID, Detail: string(open), Kind: OfferName})
	}
}

var includeBegun = regexp.MustCompile(`include[ \t]+([a-z][a-z0-9-]*)[ \t]*\{`)

// given completes the values with which a block takes shared steps in.
func (c *completion) given(begun string) {
	if v := valueBegun.FindStringSubmatch(begun); v != nil {
		c.things(v[3])
		return
	}
	of, name := includeBegun.FindStringSubmatch(c.before), fieldBegun.FindStringSubmatch(begun)
	if of == nil || name == nil {
		return
	}
	for _, part := range c.opened.Shared {
		if ref, all := part.Shared(); ref.ID == of[1] {
			for _, p := range all {
				if !strings.Contains(" "+begun, " "+p.ID+"=") {
					c.offer(name[1], Offer{Label: p.ID, Text: p.ID + "=", Detail: string(open), Kind: OfferField})
				}
			}
		}
	}
}

func attributeOffer(a grammar.Attribute) Offer {
	o := Offer{Label: a.Name, Text: a.Name + "=", Detail: cmp.Or(required(a.Required), a.Type.Name), Means: a.Means, Kind: OfferField}
	switch a.Type {
	case grammar.Flag:
		o.Text = a.Name
	case grammar.Words, grammar.Amount, grammar.Path:
		o.Text, o.Blanks = a.Name+`="${1}"`, true
	}
	return o
}

// owner is the kind of block whose braces are open, with the type of the model that it fills.
func (c *completion) owner() (*grammar.BlockKind, reflect.Type) {
	line := c.before
	if strings.HasPrefix(strings.TrimLeft(line, " \t"), "{") {
		for _, above := range slices.Backward(strings.Split(string(c.spot.file.Source[:c.start]), "\n")) {
			if strings.TrimSpace(above) != "" {
				line = above
				break
			}
		}
	}
	if h := headingLine.FindStringSubmatch(line); h != nil {
		if h[1] == "#" {
			return source.SectionKind(), reflect.TypeFor[procedure.Step]()
		}
		return kindNamed("step"), reflect.TypeFor[procedure.Step]()
	}
	if f := fenceLine.FindStringSubmatch(c.asFence(line)); f != nil {
		return kindNamed(f[1]), modelOf(f[1])
	}
	if taskLine.MatchString(line) {
		return &procedure.KindOf("actions").BlockKind, modelOf("actions")
	}
	return nil, nil
}

func kindNamed(name string) *grammar.BlockKind {
	kinds := source.BlockKinds()
	for i := range kinds {
		if kinds[i].Name == name {
			return &kinds[i]
		}
	}
	return nil
}

// modelOf is the type that a kind of block fills; nil for one that fills none of its own.
func modelOf(kind string) reflect.Type {
	switch kind {
	case "step":
		return reflect.TypeFor[procedure.Step]()
	case "question":
		return reflect.TypeFor[procedure.Question]()
	case "figure":
		return reflect.TypeFor[procedure.Figure]()
	}
	if k := procedure.KindOf(kind); k != nil {
		return reflect.TypeOf(k.New()).Elem()
	}
	return nil
}

// refersOf is what the names of a field lead to.
func refersOf(model reflect.Type, word string) string {
	if model == nil {
		return ""
	}
	for _, f := range procedure.FieldsOf(model) {
		if f.Word == word {
			return f.Refers
		}
	}
	return ""
}

// value completes the value of an attribute, or one of several.
func (c *completion) value(a *grammar.Attribute, model reflect.Type, begun string) {
	if a == nil {
		return
	}
	switch a.Type {
	case grammar.Choice:
		for _, w := range a.Of {
			c.offer(begun, Offer{Label: w, Kind: OfferWord})
		}
	case grammar.Name, grammar.Names:
		c.named(lastName(begun), refersOf(model, a.Name))
	case grammar.Amount:
		c.units(begun, a)
	}
}

// lastName is the name that was begun last in a list.
func lastName(s string) string { return strings.TrimLeft(s[strings.LastIndex(s, ",")+1:], " \t") }

var numberBegun = regexp.MustCompile(`[0-9][ \t]*([^0-9\s]*)$`)

func (c *completion) units(begun string, a *grammar.Attribute) {
	m := numberBegun.FindStringSubmatch(begun)
	if m == nil {
		return
	}
	for _, u := range a.Dimension.Units() {
		c.offer(m[1], Offer{Label: u, Text: u, Detail: a.Dimension.String(), Kind: OfferUnit})
	}
}

var (
	fenceBegun    = regexp.MustCompile(`^([ \t]*:::+)[ \t]*([a-z-]*)$`)
	argumentBegun = regexp.MustCompile(`^[ \t]*:::+[ \t]*([a-z-]+)[ \t]+([^"{]*)$`)
)

// places are where blocks may stand in each kind of file.
var placesOf = map[string][]grammar.Place{
	"machine": {grammar.InMachine}, "registers": {grammar.InRegisters}, "quiz": {grammar.InQuiz}, "course": {grammar.InCourse}, "glossary": {grammar.InGlossary},
	"procedure": {grammar.InProcedure, grammar.InStep, grammar.InVariant}, "steps": {grammar.InShared, grammar.InStep, grammar.InVariant}, "refit": {grammar.InRefit, grammar.InStep, grammar.InVariant},
}

// itemBegun is an item of a step that is one list, as far as it opens a block.
var itemBegun = regexp.MustCompile(`^([ \t]*)[-*+][ \t]+([a-z][^:\[\]]*|)$`)

// asFence is a line with the marks of a fence, where it is an item that opens a block.
func (c *completion) asFence(line string) string {
	if m := itemBegun.FindStringSubmatch(line); c.kind == "refit" && m != nil {
		return m[1] + "::: " + m[2]
	}
	return line
}

// fence completes the kind of a block, or what stands behind it.
func (c *completion) fence() bool {
	line := c.asFence(c.before)
	if m := fenceBegun.FindStringSubmatch(line); m != nil {
		item := line != c.before
		for _, k := range source.BlockKinds() {
			switch {
			case k.Form != "":
			case item && k.AllowedIn(grammar.InStep):
				c.offer(m[2], Offer{Label: k.Name, Text: opening(&k) + ": $0", Blanks: true, Means: k.Means, Kind: OfferBlock})
			case !item && slices.ContainsFunc(placesOf[c.kind], k.AllowedIn):
				c.offer(m[2], Offer{Label: k.Name, Text: blanks(&k), Blanks: true, Means: k.Means, Kind: OfferBlock})
			}
		}
		return true
	}
	m := argumentBegun.FindStringSubmatch(line)
	if m == nil {
		return false
	}
	k := kindNamed(m[1])
	switch {
	case k == nil:
	case k.Name == "include":
		for _, id := range c.ids["steps file"] {
			c.offer(m[2], Offer{Label: id, Kind: OfferName})
		}
	case k.Name == "variant":
		c.named(lastName(m[2]), "variant")
	case k.Argument.Type == grammar.Choice:
		c.value(&k.Argument, nil, m[2])
	default:
		c.named(m[2], cmp.Or(refersOf(modelOf(k.Name), k.Argument.Name), argumentRefers[k.Name]))
	}
	return true
}

// argumentRefers is what the word behind a kind leads to where the field has another word.
var argumentRefers = map[string]string{"fasteners": "figure", "inspect": "thing", "show": "figure"}

// blanks is a block with places to fill in.
func blanks(k *grammar.BlockKind) string { return opening(k) + "\n$0\n:::" }

// opening is what stands behind the marks of a block's opening line, with places to fill in.
func opening(k *grammar.BlockKind) string {
	var b strings.Builder
	n := 0
	blank := func(words string) string {
		n++
		return fmt.Sprintf("${%d:%s}", n, strings.NewReplacer("$", `\$`, "}", `\}`).Replace(words))
	}
	b.WriteString(k.Name)
	if k.Argument.Name != "" && k.Argument.Required {
		b.WriteString(" " + blank(k.Argument.Name))
	}
	if k.TitleRequired {
		b.WriteString(` "` + blank(k.Title) + `"`)
	}
	var needed []string
	for _, a := range k.Attributes {
		if a.Required {
			value := blank(a.Means)
			if a.Type == grammar.Words || a.Type == grammar.Amount || a.Type == grammar.Path {
				value = `"` + value + `"`
			}
			needed = append(needed, a.Name+"="+value)
		}
	}
	if len(needed) > 0 {
		b.WriteString(" {" + strings.Join(needed, " ") + "}")
	}
	return b.String()
}

// act completes a line of a task list: the verb, what it is done to, and what with.
func (c *completion) act() bool {
	at := taskLine.FindStringIndex(c.before)
	if at == nil {
		return false
	}
	words := c.before[at[1]:]
	if strings.Contains(words, ": ") {
		return true // the reason, in the author's words
	}
	var rule *procedure.VerbRule
	for i := range procedure.VerbRules {
		v := &procedure.VerbRules[i]
		if strings.HasPrefix(words, string(v.Verb)+" ") && (rule == nil || len(v.Verb) > len(rule.Verb)) {
			rule = v
		}
	}
	if rule == nil {
		for _, v := range procedure.VerbRules {
			c.offer(words, Offer{Label: string(v.Verb), Text: string(v.Verb) + " ", Means: v.Means, Kind: OfferWord})
		}
		return true
	}
	names := words[len(rule.Verb)+1:]
	kinds := rule.Objects
	if rule.Word != "" {
		if before, after, found := strings.Cut(names, " "+rule.Word+" "); found && before != "" {
			names, kinds = after, rule.With
		} else if i := strings.LastIndex(names, " "); i > 0 && !strings.HasSuffix(names[:i], ",") {
			c.offer(names[i+1:], Offer{Label: rule.Word, Text: rule.Word + " ", Kind: OfferWord})
			return true
		}
	}
	c.things(lastName(names), kinds...)
	return true
}

var rowBegun = regexp.MustCompile(`^[ \t]*\|(.*)$`)

// cell completes a heading or a cell of a register.
func (c *completion) cell() bool {
	m := rowBegun.FindStringSubmatch(c.before)
	if m == nil {
		return false
	}
	form, heading := c.register()
	if form == nil {
		return true
	}
	cells := strings.Split(m[1], "|")
	begun := strings.TrimLeft(cells[len(cells)-1], " \t")
	if heading == "" { // the first row of the table
		for _, col := range form.Columns {
			if !slices.ContainsFunc(cells[:len(cells)-1], func(s string) bool { return strings.TrimSpace(s) == col.Name }) {
				c.offer(begun, Offer{Label: col.Name, Detail: cmp.Or(required(col.Required), col.Type.Name), Means: col.Means, Kind: OfferField})
			}
		}
		return true
	}
	columns := strings.Split(strings.Trim(strings.TrimSpace(heading), "|"), "|")
	if len(cells) > len(columns) {
		return true
	}
	col, ok := form.Column(strings.TrimSpace(columns[len(cells)-1]))
	if !ok {
		return true
	}
	c.value(&col, rowType[form.Kind], begun)
	return true
}

var rowType = map[procedure.RegisterKind]reflect.Type{
	procedure.PartRegister: reflect.TypeFor[procedure.Part](), procedure.FastenerRegister: reflect.TypeFor[procedure.Fastener](),
	procedure.ConnectionRegister: reflect.TypeFor[procedure.Connection](), procedure.FluidRegister: reflect.TypeFor[procedure.Fluid](),
	procedure.SupportRegister: reflect.TypeFor[procedure.Support](), procedure.ConditionRegister: reflect.TypeFor[procedure.Condition](),
	procedure.ToolRegister: reflect.TypeFor[procedure.Tool](), procedure.VariantRegister: reflect.TypeFor[procedure.Variant](),
}

// register is the register whose table the place is in, and the table's heading; no heading for the heading itself.
func (c *completion) register() (form *source.RegisterForm, heading string) {
	for _, line := range slices.Backward(strings.Split(string(c.spot.file.Source[:c.start]), "\n")) {
		if m := fenceLine.FindStringSubmatch(line); m != nil {
			if m[1] != "register" {
				return nil, ""
			}
			word, _, _ := strings.Cut(strings.TrimSpace(strings.SplitN(line, "register", 2)[1]), " ")
			forms := source.RegisterForms()
			for i := range forms {
				if string(forms[i].Kind) == word {
					return &forms[i], heading
				}
			}
			return nil, ""
		}
		if strings.HasPrefix(strings.TrimSpace(line), "|") {
			heading = line
		} else if heading != "" && strings.TrimSpace(line) == "" {
			// A table ends at an empty line: what stands above is another one.
			return c.above(heading)
		}
	}
	return nil, ""
}

// above finds the register that a table with a heading stands in.
func (c *completion) above(heading string) (*source.RegisterForm, string) {
	at := strings.LastIndex(string(c.spot.file.Source[:c.start]), heading)
	up := *c
	up.spot.start = max(at, 0)
	form, _ := up.register()
	return form, heading
}
