package source

import (
	"errors"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// quantity reads a quantity of one of the given dimensions; a fault is reported and gives the zero Quantity.
func (r *reader) quantity(s string, span text.Span, dims ...measure.Dimension) measure.Quantity {
	q, err := measure.Parse(s)
	if err != nil {
		r.badQuantity(err, span)
		return measure.Quantity{}
	}
	if len(dims) > 0 && !slices.Contains(dims, q.Dimension()) {
		var names []string
		for _, d := range dims {
			names = append(names, d.String())
		}
		r.report("bad-quantity", span, quote(s)+" is a "+q.Dimension().String()+", not a "+strings.Join(names, " or a "),
			"Use one of the units: "+strings.Join(dims[0].Units(), ", ")+".")
		return measure.Quantity{}
	}
	if q.Sign() < 0 && q.Dimension() != measure.Temperature {
		r.report("bad-quantity", span, quote(s)+" is negative", "Give a positive quantity.")
		return measure.Quantity{}
	}
	return q
}

func (r *reader) badQuantity(err error, span text.Span) {
	var e *measure.ParseError
	if !errors.As(err, &e) {
		r.report("bad-quantity", span, err.Error(), "Write a number and a unit, such as 45 N·m.")
		return
	}
	r.report("bad-quantity", faultSpan(e, span), e.Message, advice(e))
}

// estimate reads a step's time.
func (r *reader) estimate(s string, span text.Span) procedure.Estimate {
	a, m, b, err := measure.ParseEstimate(s)
	if err == nil {
		return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b, Span: span}
	}
	var e *measure.ParseError
	if errors.As(err, &e) {
		r.report("bad-time", faultSpan(e, span), e.Message, advice(e))
	} else {
		r.report("bad-time", span, err.Error(), "Write minutes: 6, or 4/6/10.")
	}
	return procedure.Estimate{Span: span}
}

func faultSpan(e *measure.ParseError, span text.Span) text.Span {
	if span.Text() != e.Input {
		return span
	}
	// What is missing at the end of the text has no character of its own.
	return span.Sub(e.Offset, min(max(e.End, e.Offset+1), len(e.Input)))
}

// advice is the error's own advice as a sentence.
func advice(e *measure.ParseError) string {
	if e.Suggest != "" {
		return "Did you mean " + quote(e.Suggest) + "?"
	}
	return diagnostic.Sentence(e.Do)
}
