package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/supplies"
)

var usedUpUnfit = rule{
	Rule: diagnostic.Rule{
		Code: "used-up-unfit", Severity: diagnostic.Error, Title: "Used up, and nothing that is",
		Wrong: "A step uses up an amount of a tool, a container or lifting gear.",
		Why:   "The list would ask for fifteen grams of a spanner.",
		Do:    "List it among the tools of the step, or correct the kind in its row.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, r := range s.Consumed {
			t := m.Thing(r.ID)
			if t == nil || t.Tool == nil || isUsedUp(t.Tool) {
				continue // what is no tool is another rule's
			}
			report(diagnostic.Diagnostic{
				Span: r.Span, Wrong: say.That("step %step uses up %tool, and that is a %kind", say.Name(s.ID), say.Name(r.ID), say.Word(t.Tool.Kind)),
				Advice: say.That("List it among the tools of the step, or correct the kind in its row."),
				See:    []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
			})
		}
	}),
}

// isUsedUp reports whether a tool is of a kind that a job may use up.
func isUsedUp(t *procedure.Tool) bool {
	return t.Kind == procedure.Consumable || t.Kind == procedure.Marking || t.Kind == procedure.Protection
}

var usedUpShort = rule{
	Rule: diagnostic.Rule{
		Code: "used-up-short", Severity: diagnostic.Warning, Title: "More is used up than lies ready",
		Wrong: "The steps of a job use up more of a consumable than its row says lies ready, or the amounts cannot be added up: grams and millilitres.",
		Why:   "The job stops half done, and somebody fetches what was not on the list.",
		Do:    "Raise the quantity in its row, or write all amounts in units of one kind.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			told := map[*procedure.Tool]bool{}
			for _, job := range p.Jobs() {
				usedUp(job, told, report)
			}
		}
	},
}

// usedUp reports the tools of which a job uses up too much, each once.
func usedUp(job *procedure.Job, told map[*procedure.Tool]bool, report func(diagnostic.Diagnostic)) {
	for _, t := range job.Machine.Tools {
		first, at := firstUse(job, t)
		if first.IsZero() || told[t] || !isUsedUp(t) {
			continue
		}
		sum, stock := supplies.Used(job, t), t.Quantity
		d := diagnostic.Diagnostic{Span: at.Span, See: []diagnostic.Related{{Span: t.Span, Says: say.That("registered here")}}}
		switch {
		case sum.IsZero(), !stock.IsZero() && !stock.SameDimension(sum):
			d.Wrong = say.That("the amounts of %tool cannot be added up or compared: they are not of one kind", say.Name(t.ID))
			d.Advice = say.That("Write them all in units of one kind, and the quantity in its row too: grams, or millilitres.")
		case !stock.IsZero() && sum.Compare(stock) > 0:
			d.Wrong = say.That("the steps use up %sum of %tool, and %stock lie ready", say.Word(sum.String()), say.Name(t.ID), say.Word(stock.String()))
			d.Advice = say.That("Raise its quantity to %sum.", say.Word(sum.String()))
		default:
			continue
		}
		told[t] = true
		report(d)
	}
}

// firstUse is the first amount of a tool that a job uses up, and where it says so; zero for none.
func firstUse(job *procedure.Job, t *procedure.Tool) (measure.Quantity, procedure.Ref) {
	for _, s := range job.Steps {
		for i, r := range s.Consumed {
			if r.ID == t.ID {
				return s.Amounts[i], r
			}
		}
	}
	return measure.Quantity{}, procedure.Ref{}
}
