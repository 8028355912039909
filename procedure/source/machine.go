package source

import (
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// machine reads a machine file.
func (r *reader) machine(m *matter, doc ast.Node) *procedure.Machine {
	var f machineFields
	r.decode(m, &f)
	out := &procedure.Machine{
		ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), File: r.file,
		RegisterTitles: map[procedure.RegisterKind]string{},
	}
	seen := map[procedure.RegisterKind]text.Span{}
	var about []ast.Node
	r.eachBlock(doc, InMachine, func(n ast.Node) { about = append(about, n) }, func(b *block) {
		switch b.kind.Name {
		case "figure":
			if fig := r.figure(b); fig.ID != "" {
				out.Figures = append(out.Figures, fig)
			}
		case "register":
			kind := procedure.RegisterKind(b.argument)
			if kind == "" {
				return // reported
			}
			if first, twice := seen[kind]; twice {
				r.reportSee("repeated-register", b.argumentSpan, "the register "+quote(b.argument)+" stands twice",
					"Put all rows into one table.", first, "the first one")
			} else {
				seen[kind] = b.argumentSpan
				out.RegisterTitles[kind] = b.title
			}
			r.register(b, registerForm(kind), out)
		}
	})
	out.About = r.prose(about)
	out.Index()
	if !isName(f.ID) {
		return nil
	}
	return out
}

// register reads one table into the machine.
func (r *reader) register(b *block, form *RegisterForm, m *procedure.Machine) {
	var table *extast.Table
	for n := b.node.FirstChild(); n != nil; n = n.NextSibling() {
		if t, ok := n.(*extast.Table); ok && table == nil {
			table = t
			continue
		}
		if f, ok := n.(*fence); ok {
			r.openFence(f, "")
			continue
		}
		if r.silent(n) {
			continue
		}
		r.report("register-table", r.spanOf(n),
			"a register holds one table and nothing else",
			"Give the line of dashes as many columns as the heading; put other text outside the block.")
	}
	if table == nil {
		if b.node.ChildCount() == 0 {
			r.report("register-table", b.span, "this register holds no table", "Write a heading row, a line of dashes and a row for each thing.")
		}
		return
	}
	for _, w := range r.table(table, form) {
		c := &cells{r: r, row: w, form: form}
		switch form.Kind {
		case procedure.VariantRegister:
			m.Variants = append(m.Variants, &procedure.Variant{Row: c.common()})
		case procedure.PartRegister:
			m.Parts = append(m.Parts, c.part())
		case procedure.FastenerRegister:
			m.Fasteners = append(m.Fasteners, c.fastener())
		case procedure.ConnectionRegister:
			m.Connections = append(m.Connections, c.connection())
		case procedure.FluidRegister:
			m.Fluids = append(m.Fluids, c.fluid())
		case procedure.SupportRegister:
			m.Supports = append(m.Supports, c.support())
		case procedure.ConditionRegister:
			m.Conditions = append(m.Conditions, c.condition())
		case procedure.ToolRegister:
			m.Tools = append(m.Tools, c.tool())
		}
	}
}

// cells turns one row into a registered thing, reporting what it cannot read.
type cells struct {
	r    *reader
	row  row
	form *RegisterForm
}

func (c *cells) common() procedure.Row {
	id := c.row.get("id")
	if id.text != "" && !isName(id.text) {
		c.r.report("bad-name", id.span, quote(id.text)+" is not a name", "Use lower-case letters, digits and hyphens, a letter first.")
	}
	return procedure.Row{ID: id.text, Name: c.words("name"), Variants: c.refs("variants"), Note: c.words("note"), Span: id.span}
}

func (c *cells) words(column string) string { return c.row.get(column).text }

func (c *cells) refs(column string) []procedure.Ref {
	x := c.row.get(column)
	if x.text == "" {
		return nil
	}
	return splitRefs(x.text, x.span)
}

func (c *cells) ref(column string) procedure.Ref {
	x := c.row.get(column)
	if x.text == "" {
		return procedure.Ref{}
	}
	return procedure.Ref{ID: x.text, Span: x.span}
}

func (c *cells) yes(column string) bool {
	x := c.row.get(column)
	if x.text != "" && x.text != "yes" {
		c.r.report("cell-value", x.span, quote(x.text)+" is neither yes nor empty", "Write yes, or leave the cell empty.")
	}
	return x.text == "yes"
}

func (c *cells) choice(column string) string {
	x := c.row.get(column)
	if x.text == "" {
		return ""
	}
	a, _ := c.form.Column(column)
	for _, w := range a.Of {
		if w == x.text {
			return x.text
		}
	}
	c.r.report("cell-value", x.span, quote(x.text)+" cannot stand in the column "+quote(column),
		diagnostic.Suggest(x.text, a.Of, "Use one of: "+strings.Join(a.Of, ", ")+"."))
	return ""
}

func (c *cells) whole(column string, otherwise, least, most int) int {
	x := c.row.get(column)
	if x.text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(x.text)
	if err != nil || n < least || n > most {
		c.r.report("cell-value", x.span, quote(x.text)+" is not a whole number from "+strconv.Itoa(least)+" to "+strconv.Itoa(most),
			"Write a whole number.")
		return otherwise
	}
	return n
}

func (c *cells) amount(column string, dims ...measure.Dimension) measure.Quantity {
	x := c.row.get(column)
	if x.text == "" {
		return measure.Quantity{}
	}
	return c.r.quantity(x.text, x.span, dims...)
}

func (c *cells) part() *procedure.Part {
	return &procedure.Part{
		Row: c.common(), Letter: c.letter(), Mass: c.amount("mass", measure.Mass), Side: c.choice("side"), Twin: c.ref("twin"),
		Mark: c.words("mark"), Face: c.words("face"), Under: c.refs("under"), Stand: c.words("stand"), Base: c.yes("base"),
	}
}

func (c *cells) letter() string {
	x := c.row.get("letter")
	for _, b := range []byte(x.text) {
		if b < 'A' || b > 'Z' || len(x.text) > 2 {
			c.r.report("cell-value", x.span, quote(x.text)+" is not a reference letter", "Use one or two capital letters, such as A.")
			return ""
		}
	}
	return x.text
}

func (c *cells) fastener() *procedure.Fastener {
	no := c.row.get("no")
	f := &procedure.Fastener{
		Row:    procedure.Row{ID: no.text, Name: c.words("name"), Variants: c.refs("variants"), Note: c.words("note"), Span: no.span},
		Number: c.whole("no", 0, 1, 999), Kind: procedure.FastenerKind(c.choice("kind")),
		Thread: c.words("thread"), ThreadSpan: c.row.get("thread").span,
		Length: c.amount("length", measure.Length),
		Class:  c.words("class"), ClassSpan: c.row.get("class").span,
		Drive: c.words("drive"), DriveSpan: c.row.get("drive").span,
		Count:  c.whole("count", 1, 1, 200),
		Torque: c.amount("torque", measure.Torque), TorqueSpan: c.row.get("torque").span,
		Tolerance: c.amount("tolerance", measure.Torque, measure.Ratio), Angle: c.amount("angle", measure.Angle),
		NoTorque: c.words("no-torque"), Sequence: c.words("sequence"), Treatment: c.words("treatment"), Friction: c.friction(),
		SingleUse: c.yes("single-use"), Joins: c.refs("joins"), Locks: c.refs("locks"), Bag: c.words("bag"),
	}
	if f.Number > 0 {
		f.ID = strconv.Itoa(f.Number)
	}
	return f
}

func (c *cells) friction() float64 {
	x := c.row.get("friction")
	if x.text == "" {
		return 0
	}
	k, err := strconv.ParseFloat(x.text, 64)
	if err != nil || !(k >= 0.05 && k <= 0.5) {
		c.r.report("cell-value", x.span, quote(x.text)+" is not a nut factor K from 0.05 to 0.5",
			"Write the K of T = K·F·d, such as 0.2 for dry steel.")
		return 0
	}
	return k
}

func (c *cells) connection() *procedure.Connection {
	return &procedure.Connection{
		Row: c.common(), Kind: c.choice("kind"), Joins: c.refs("joins"), Needs: c.refs("needs"), Mark: c.words("mark"),
		Carries: c.ref("carries"), Stand: c.words("stand"),
	}
}

func (c *cells) fluid() *procedure.Fluid {
	return &procedure.Fluid{
		Row: c.common(), Quantity: c.amount("quantity", measure.Volume), Drain: c.words("drain"), Container: c.ref("container"),
		Hazard: c.words("hazard"), Flush: c.words("flush"), SingleUse: c.yes("single-use"),
	}
}

func (c *cells) support() *procedure.Support {
	return &procedure.Support{
		Row: c.common(), Kind: c.choice("kind"), Capacity: c.amount("capacity", measure.Mass),
		Legs: c.whole("legs", 0, 1, 4), Angle: c.amount("angle", measure.Angle),
	}
}

func (c *cells) condition() *procedure.Condition {
	return &procedure.Condition{
		Row: c.common(), Needs: c.refs("needs"), Undo: c.words("undo"), LostBy: c.refs("lost-by"), Energy: c.yes("energy"),
	}
}

func (c *cells) tool() *procedure.Tool {
	return &procedure.Tool{
		Row: c.common(), Kind: procedure.ToolKind(c.choice("kind")),
		Quantity: c.amount("quantity", measure.Volume, measure.Mass, measure.Length, measure.Count), Single: c.yes("single"),
	}
}
