package check

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

var undefinedValues = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-value", Severity: diagnostic.Error, Title: "Value that no row has",
		Wrong: "Code marks name a value of a register, such as `17.torque`, and the row has none.",
		Why:   "The learner would read a word of the source where a torque should stand.",
		Do:    "Correct the name or the column, or fill in the row.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			valuesIn(p, p.About, report)
			for _, s := range p.WrittenSteps() {
				s.EachProse(func(x procedure.Prose) { valuesIn(p, x, report) })
			}
		}
	},
}

// valuesIn looks at the values that a text names. What is named after no thing of the machine is code, but for what asks for a value that
// was read.
func valuesIn(in *procedure.Procedure, p procedure.Prose, report func(diagnostic.Diagnostic)) {
	if !p.Has(prose.Mention) {
		return
	}
	m := in.Machine
	mentions := p.Mentions()
	at := 0
	for i := range p.Nodes {
		n := &p.Nodes[i]
		if n.Kind != prose.Mention {
			continue
		}
		ref := mentions[at]
		at++
		id, column, value := strings.Cut(n.To, ".")
		t := m.Thing(id)
		if t == nil && column == "value" && n.Text == "" && strings.Trim(id, "0123456789") != "" {
			noValue(in, id, ref.Span, report)
			continue
		}
		if n.Text != "" || !value || t == nil && strings.Trim(id, "0123456789") != "" {
			continue
		}
		if t == nil {
			report(diagnostic.Diagnostic{Span: ref.Span, Wrong: say.That("the machine %machine has no fastener %number", say.Quote(m.ID), say.Quote(id)), Advice: say.That("Register it, or correct the number.")})
			continue
		}
		var columns []string
		_, row := t.Register()
		procedure.EachField(row, func(f *procedure.Field, _ any) { columns = append(columns, f.Word) })
		advice, fixes := diagnostic.Suggest(ref.Span.Sub(len(id)+1, len(n.To)), column, columns, say.That("Fill in the row, or name another column: %columns.", say.Each[say.Word](say.Commas, columns)))
		report(diagnostic.Diagnostic{Span: ref.Span, Wrong: say.That("%name has no %column", say.Quote(t.Row.Name), say.Name(column)), Advice: advice, Fixes: fixes,
			See: []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}}})
	}
}

// noValue reports what a text shows as a value and nobody reads as one.
func noValue(p *procedure.Procedure, name string, span text.Span, report func(diagnostic.Diagnostic)) {
	f := findingsOf(p)
	if found := f.named(name); len(found) > 0 {
		report(diagnostic.Diagnostic{Span: span, Wrong: say.That("%name is no single value", say.Quote(name)), Advice: say.That("Name a value that is read or worked out; one of a table is called as its table, its row and its column: found-front-rim."),
			See: []diagnostic.Related{{Span: found[0].Place(), Says: say.That("found here")}}})
		return
	}
	var values []string
	for _, x := range f.found {
		if x.Reading != nil {
			values = append(values, x.Name)
		}
	}
	advice, fixes := diagnostic.Suggest(span.Sub(0, len(name)), name, values, say.That("Write a task such as - [ ] read %name in mm, or correct the name.", say.Name(name)))
	report(diagnostic.Diagnostic{Span: span, Wrong: say.That("no step reads %name", say.Quote(name)), Advice: advice, Fixes: fixes})
}
