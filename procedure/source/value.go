package source

import (
	"errors"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// quantity reads a quantity of one of the given dimensions; a fault is reported and gives the zero Quantity.
func (r *reader) quantity(s string, span text.Span, dims ...measure.Dimension) measure.Quantity {
	return r.quantityIn("", s, span, dims...)
}

// quantityIn is quantity where a number alone is one of the unit, when there is one.
func (r *reader) quantityIn(unit, s string, span text.Span, dims ...measure.Dimension) measure.Quantity {
	q, err := r.numbers.ParseDefault(s, unit)
	if err != nil {
		r.badQuantity(err, span)
		return measure.Quantity{}
	}
	if !r.fits(s, span, q, dims) {
		return measure.Quantity{}
	}
	return q
}

// within reads a quantity of a dimension together with what it may deviate; a fault is reported and gives zero Quantities.
func (r *reader) within(unit, s string, span text.Span, dim measure.Dimension) (value, tolerance measure.Quantity) {
	value, tolerance, err := r.numbers.ParseWithin(s, unit)
	if err != nil {
		r.badQuantity(err, span)
		return measure.Quantity{}, measure.Quantity{}
	}
	if !r.fits(s, span, value, []measure.Dimension{dim}) {
		return measure.Quantity{}, measure.Quantity{}
	}
	return value, tolerance
}

// fits reports a quantity of another dimension than those, or a negative one.
func (r *reader) fits(s string, span text.Span, q measure.Quantity, dims []measure.Dimension) bool {
	if len(dims) > 0 && !slices.Contains(dims, q.Dimension()) {
		wanted := say.List{Join: say.EachOr}
		for _, d := range dims {
			wanted.Parts = append(wanted.Parts, say.That("a %dimension", say.Word(d.String())))
		}
		r.report("bad-quantity", span, say.That("%value is a %dimension, not %wanted", say.Quote(s), say.Word(q.Dimension().String()), wanted),
			say.That("Use one of the units: %units.", say.Each[say.Word](say.Commas, dims[0].Units())))
		return false
	}
	if q.Sign() < 0 && q.Dimension() != measure.Temperature {
		r.report("bad-quantity", span, say.That("%value is negative", say.Quote(s)), say.That("Give a positive quantity."))
		return false
	}
	return true
}

func (r *reader) badQuantity(err error, span text.Span) {
	var e *measure.ParseError
	if !errors.As(err, &e) {
		r.report("bad-quantity", span, say.That("%cause", say.Foreign(err.Error())), say.That("Write a number and a unit, such as 45 N·m."))
		return
	}
	r.misread("bad-quantity", e, span)
}

// estimate reads a step's time.
func (r *reader) estimate(s string, span text.Span) procedure.Estimate {
	a, m, b, err := r.numbers.ParseEstimate(s)
	if err == nil {
		return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b, Span: span}
	}
	var e *measure.ParseError
	if errors.As(err, &e) {
		r.misread("bad-time", e, span)
	} else {
		r.report("bad-time", span, say.That("%cause", say.Foreign(err.Error())), say.That("Write minutes: 6, or 4/6/10."))
	}
	return procedure.Estimate{Span: span}
}

// misread reports a quantity or a time that cannot be read, with what was meant when that is near.
func (r *reader) misread(code diagnostic.Code, e *measure.ParseError, span text.Span) {
	exact := span.Text() == e.Input
	advice := e.Advice
	var fixes []diagnostic.Fix
	if e.Suggest != "" {
		advice = say.That("Did you mean %meant?", say.Quote(e.Suggest))
		if exact {
			fixes = append(fixes, diagnostic.Replace(span.Sub(e.Offset, e.End), e.Suggest, e.Sure))
		}
	}
	if exact {
		// What is missing at the end of the text has no character of its own.
		span = span.Sub(e.Offset, min(max(e.End, e.Offset+1), len(e.Input)))
	}
	r.report(code, span, e.Wrong, advice, fixes...)
}
