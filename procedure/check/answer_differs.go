package check

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/claims"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

var answerDiffers = rule{
	Rule: diagnostic.Rule{
		Code: "answer-differs", Severity: diagnostic.Warning, Title: "Answer and row give two values",
		Wrong: "The answer of a number question is none of the values that the step of the question, or what it is about, states in that unit.",
		Why:   "The quiz marks as wrong what the procedure teaches.",
		Do:    "Correct the answer or the row.",
	},
	run: eachQuestion(func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		if x.Kind == procedure.NumberAnswer && q.Procedure != nil && q.Procedure.Machine != nil {
			judgeAnswer(q.Procedure, x, report)
		}
	}),
}

// value is a value that a question may ask for.
type value struct {
	quantity measure.Quantity
	from     diagnostic.Related
}

func judgeAnswer(p *procedure.Procedure, x *procedure.Question, report func(diagnostic.Diagnostic)) {
	var values []value
	add := func(q measure.Quantity, from diagnostic.Related) {
		if q.SameDimension(x.Number) && (q.Dimension() != measure.Mass || claims.Weighs(asked(x.Stem.Plain()))) {
			values = append(values, value{q, from})
		}
	}
	for _, r := range x.About {
		eachValue(p.Machine.Thing(r.ID), add)
	}
	for _, s := range p.WrittenSteps() {
		if s.ID != x.Step.ID {
			continue
		}
		for _, a := range s.Actions() {
			eachValue(p.Machine.Thing(a.Object.ID), add)
		}
		eachLimit(s, add)
	}
	if len(values) == 0 || slices.ContainsFunc(values, func(v value) bool { return v.quantity.Equal(x.Number) }) {
		return
	}
	report(diagnostic.Diagnostic{
		Span:   x.Span,
		Wrong:  say.That("the answer is %answer, and what the question is about says %value", say.Quote(x.Number.String()), say.Quote(values[0].quantity.String())),
		Advice: say.That("Correct the answer or the row."), See: []diagnostic.Related{values[0].from},
	})
}

// asked is the last sentence of a question.
func asked(stem string) string {
	return stem[strings.LastIndex(strings.TrimRight(stem, ".?! "), ". ")+1:]
}

// eachValue goes through the quantities of a row that a question asks for: torque, mass, quantity, capacity.
func eachValue(t *procedure.Thing, add func(measure.Quantity, diagnostic.Related)) {
	if t == nil {
		return
	}
	from := diagnostic.Related{Span: t.Row.Span, Says: say.That("registered here")}
	switch {
	case t.Fastener != nil:
		add(t.Fastener.Torque, from)
	case t.Part != nil:
		add(t.Part.Mass, from)
	case t.Fluid != nil:
		add(t.Fluid.Quantity, from)
	case t.Support != nil:
		add(t.Support.Capacity, from)
	}
}

func eachLimit(s *procedure.Step, add func(measure.Quantity, diagnostic.Related)) {
	for _, b := range s.Blocks {
		looks := b.Shows().Looks
		if looks == nil {
			continue
		}
		for _, item := range looks.Items {
			if item.Limits == nil {
				continue
			}
			from := diagnostic.Related{Span: item.Span, Says: say.That("the limit")}
			for _, q := range []*measure.Quantity{item.Limits.Low, item.Limits.High} {
				if q != nil {
					add(*q, from)
				}
			}
		}
	}
}

var answerOrder = rule{
	Rule: diagnostic.Rule{
		Code: "answer-order", Severity: diagnostic.Warning, Title: "Order question against the order of work",
		Wrong: "The right order of an order question has a step before one that must come before it.",
		Why:   "Whoever knows the job fails, and whoever learns from the quiz does the job in the wrong order.",
		Do:    "Put the choices into the order of work.",
	},
	run: eachOrder(judgeOrder),
}

// judgeOrder holds the choices that stand for a step each against the order in which the steps must come, in any variant.
func judgeOrder(p *analysis.Procedure, x *procedure.Question, report func(diagnostic.Diagnostic)) {
	for _, j := range p.Jobs {
		order := j.Order()
		var at []int
		for _, c := range x.Choices {
			at = append(at, claims.StepNamed(c.Prose.Plain(), j.Steps))
		}
		for i := range at {
			for k := i + 1; k < len(at); k++ {
				if at[i] < 0 || at[k] < 0 || at[i] == at[k] || !order.Before(at[k], at[i]) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: x.Choices[k].Span,
					Wrong: say.That("the right order has %first before %second, and the work has them the other way round",
						say.Quote(strings.TrimSpace(x.Choices[i].Prose.Plain())), say.Quote(strings.TrimSpace(x.Choices[k].Prose.Plain()))),
					Advice: say.That("Put the choices into the order of work."),
					See:    []diagnostic.Related{{Span: j.Steps[at[k]].Span, Says: say.That("this step comes first")}},
				})
				return
			}
		}
	}
}
