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
	"matchmark/procedure/text"
)

var answerDiffers = rule{
	Rule: diagnostic.Rule{
		Code: "answer-differs", Severity: diagnostic.Warning, Title: "Answer and row give two values",
		Wrong: "The answer of a number question, or of a choice among values, is none of those that the step of the question, or what it is about, states in that unit: of its rows, its limits, its readings and its wait.",
		Why:   "The quiz marks as wrong what the procedure teaches.",
		Do:    "Correct the answer or the row.",
	},
	run: eachQuestion(func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		if q.Procedure == nil || q.Procedure.Machine == nil {
			return
		}
		if answer, ok := answerOf(x); ok {
			judgeAnswer(q.Procedure, x, answer, report)
		}
	}),
}

// answerOf is the value that a question asks for: the number, or the right one of choices that are a value of one kind each.
func answerOf(x *procedure.Question) (right measure.Quantity, ok bool) {
	if x.Kind != procedure.SingleChoice {
		return x.Number, x.Kind == procedure.NumberAnswer
	}
	var all []measure.Quantity
	for _, c := range x.Choices {
		q, err := measure.Parse(strings.Trim(c.Prose.Plain(), " ."))
		if err != nil || len(all) > 0 && !q.SameDimension(all[0]) {
			return measure.Quantity{}, false
		}
		all = append(all, q)
		if c.Right {
			right, ok = q, true
		}
	}
	return right, ok
}

// value is a value that a question may ask for.
type value struct {
	quantity measure.Quantity
	from     diagnostic.Related
}

func judgeAnswer(p *procedure.Procedure, x *procedure.Question, answer measure.Quantity, report func(diagnostic.Diagnostic)) {
	var values []value
	add := func(q measure.Quantity, from diagnostic.Related) {
		if q.SameDimension(answer) && (q.Dimension() != measure.Mass || claims.Weighs(asked(x.Stem.Plain()))) {
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
	if len(values) == 0 || slices.ContainsFunc(values, func(v value) bool { return v.quantity.Equal(answer) }) {
		return
	}
	report(diagnostic.Diagnostic{
		Span:   x.Span,
		Wrong:  say.That("the answer is %answer, and what the question is about says %value", say.Quote(answer.String()), say.Quote(values[0].quantity.String())),
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
	limits := func(l *procedure.Limits, at text.Span) {
		if l == nil {
			return
		}
		for _, q := range []*measure.Quantity{l.Low, l.High} {
			if q != nil {
				add(*q, diagnostic.Related{Span: at, Says: say.That("the limit")})
			}
		}
	}
	for _, b := range s.Blocks {
		shown := b.Shows()
		if x := shown.Looks; x != nil {
			for i := range x.Items {
				limits(x.Items[i].Limits, x.Items[i].Span)
			}
		}
		if x := shown.Readings; x != nil {
			for i := range x.Rows {
				limits(x.Rows[i].Limits, x.Rows[i].Span)
			}
		}
		if x := shown.Wait; x != nil {
			add(x.Time, diagnostic.Related{Span: x.Base().Span, Says: say.That("the wait")})
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

var orderOptional = rule{
	Rule: diagnostic.Rule{
		Code: "order-optional", Severity: diagnostic.Warning, Title: "Order question with a step that is not always done",
		Wrong: "A choice of an order question is a step that is done only if something is found, and neither the question nor the choice says so.",
		Why:   "Whoever found nothing has not done the step, and has no place for it.",
		Do:    "Say in the question what was found, or leave the choice out.",
	},
	run: eachOrder(func(p *analysis.Procedure, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		if saysWhen(x.Stem.Plain()) {
			return
		}
		for _, c := range x.Choices {
			for _, j := range p.Jobs {
				at := claims.StepNamed(c.Prose.Plain(), j.Steps)
				if at < 0 || j.Steps[at].If == "" || saysWhen(c.Prose.Plain()) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span:   c.Span,
					Wrong:  say.That("%choice is a step that is done only on some jobs, and the question does not say when", say.Quote(strings.TrimSpace(c.Prose.Plain()))),
					Advice: say.That("Say it with if or when, such as: In which order, if the insert is worn? Or leave the choice out."),
					See:    []diagnostic.Related{{Span: j.Steps[at].Span, Says: say.That("the step")}},
				})
				break
			}
		}
	}),
}

// saysWhen reports whether words tie something to a condition.
func saysWhen(words string) bool {
	return slices.ContainsFunc(wordsOf(words), func(w string) bool {
		switch w {
		case "if", "when", "whenever", "only", "unless", "where", "wenn", "fall", "falls", "nur", "sobald":
			return true
		}
		return false
	})
}
