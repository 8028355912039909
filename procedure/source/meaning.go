package source

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// meaning writes down all that a file says, by itself, and what is wrong with it, without places: two sources of one
// meaning make the same pages and bring the same messages.
func (x *Reader) meaning(src []byte) string {
	alone := *x
	alone.load = nil
	var log diagnostic.Log
	f := text.NewFile("", src)
	h := alone.heading(f)
	p := alone.of(f, &log).read(nil)
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s %s\n", h.Kind, h.ID, h.Of)
	each := func(v any) { b.WriteString(procedure.Fingerprint(v) + "\n") }
	figures := func(all []*procedure.Figure) {
		for _, f := range all {
			each(f)
		}
	}
	steps := func(all []*procedure.Step) {
		for _, s := range all {
			each(s)
		}
	}
	switch {
	case p.machine != nil:
		writeMachine(&b, p.machine, each)
		figures(p.machine.Figures)
	case p.registers != nil:
		for _, form := range registerForms {
			m := &procedure.Machine{}
			alone.of(f, &diagnostic.Log{}).fill(p.registers.rows[form.Kind], &form, m)
			writeMachine(&b, m, each)
		}
	case p.steps != nil:
		if p.procedure != nil {
			each(&p.procedure.About)
		}
		steps(p.steps.steps)
		figures(p.steps.figures)
		for _, i := range p.steps.inclusions {
			fmt.Fprint(&b, i.at, " ", i.ref.ID)
			for _, g := range i.values {
				fmt.Fprint(&b, " ", g.parameter.ID, "=", g.value.ID)
			}
			fmt.Fprintln(&b)
		}
	case p.wayBack != nil:
		steps(p.wayBack.Steps)
		figures(p.wayBack.Figures)
	case p.quiz != nil:
		each(&p.quiz.About)
		for _, q := range p.quiz.Questions {
			each(q)
		}
	}
	var said []string
	for _, d := range log.Sorted() {
		said = append(said, string(d.Code)+" "+d.Says().String())
	}
	slices.Sort(said)
	return b.String() + strings.Join(said, "\n")
}

func writeMachine(b *strings.Builder, m *procedure.Machine, each func(any)) {
	each(&m.About)
	for _, form := range registerForms {
		fmt.Fprintf(b, "%s %q\n", form.Kind, m.RegisterTitles[form.Kind])
	}
	for _, v := range m.Variants {
		each(v)
	}
	for _, t := range m.Things() {
		_, row := t.Register()
		each(row)
	}
}
