package source

import (
	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// machine reads a machine file.
func (r *reader) machine(m *frontMatter, doc ast.Node) *procedure.Machine {
	var f machineFields
	r.decode(m, &f)
	out := &procedure.Machine{
		ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), File: r.file, NoEnergy: f.NoEnergy,
		LikeRef:        procedure.Ref{ID: f.Like, Span: m.spanOf("like")},
		RegisterTitles: map[procedure.RegisterKind]string{},
	}
	var about []ast.Node
	r.eachRegister(doc, grammar.InMachine, func(b *block, form *RegisterForm) {
		out.RegisterTitles[form.Kind] = b.title
		r.fill(r.rowsOf(b, form), form, out)
	}, func(n ast.Node) { about = append(about, n) }, func(b *block) {
		if fig := r.figure(b); fig.ID != "" {
			out.Figures = append(out.Figures, fig)
		}
	})
	out.Sources = r.sources
	for _, name := range f.Without {
		out.Without = append(out.Without, procedure.Ref{ID: name, Span: m.spanOf("without")})
	}
	out.About = r.prose(about)
	out.Index()
	if !isName(f.ID) {
		return nil
	}
	return out
}

// eachRegister goes through the registers of a file; prose and figures get what else stands in it.
func (r *reader) eachRegister(doc ast.Node, in grammar.Place, register func(*block, *RegisterForm), prose func(ast.Node), figures func(*block)) {
	seen := map[procedure.RegisterKind]text.Span{}
	r.eachBlock(doc, in, prose, func(b *block) {
		if b.kind.Name == "figure" {
			figures(b)
			return
		}
		kind := procedure.RegisterKind(b.argument)
		if kind == "" {
			return // reported
		}
		if first, twice := seen[kind]; twice {
			r.reportSee("repeated-register", b.argumentSpan, say.That("the register %argument stands twice", say.Quote(b.argument)),
				say.That("Put all rows into one register; it may hold several tables."), first, say.That("the first one"))
		} else {
			seen[kind] = b.argumentSpan
		}
		register(b, registerForm(kind))
	})
}

// fill reads the rows of a register into a machine.
func (r *reader) fill(rows []row, form *RegisterForm, m *procedure.Machine) {
	for _, w := range rows {
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
		case procedure.SourceRegister:
			m.Energies = append(m.Energies, c.energySource())
		}
	}
}
