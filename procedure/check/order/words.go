package order

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
	"matchmark/procedure/text"
)

// number is the number of an event's step.
func number(e *state.Event) say.Step { return say.Step(e.Step.Number) }

// fasteners names callout numbers: "fastener 4", "fasteners 4 and 5".
func fasteners(list []*state.Fastener) say.Text {
	return say.That("%numbers(fastener|fasteners) %numbers", numbers(list))
}

// numbers are callout numbers: "4 and 5".
func numbers(list []*state.Fastener) say.List {
	names := say.List{Join: say.And}
	for _, f := range list {
		names.Parts = append(names.Parts, say.Name(f.ID))
	}
	return names
}

// parts names parts: "the hub and the gearbox".
func parts(list []*state.Part) say.List {
	names := say.List{Join: say.And}
	for _, p := range list {
		names.Parts = append(names.Parts, the(p.ID))
	}
	return names
}

// supports names supports: "the hoist and the sling".
func supports(list []*state.Support) say.List {
	names := say.List{Join: say.And}
	for _, x := range list {
		names.Parts = append(names.Parts, the(x.ID))
	}
	return names
}

// the names a thing: "the hub".
func the(id string) say.Text { return say.That("the %thing", say.Name(id)) }

// mass is a mass, to a thousandth, in the unit in which its author wrote another.
func mass(kg float64, like measure.Quantity) say.Text {
	value, unit := lifting.InUnitOf(kg, like)
	return say.That("%number %unit", say.Decimal{Value: math.Round(value*1000) / 1000, Places: say.Shortest}, say.Word(unit))
}

// stated is the mass of the first of some parts that states one.
func stated(list []*state.Part) measure.Quantity {
	for _, p := range list {
		if !p.Mass.IsZero() {
			return p.Mass
		}
	}
	return measure.Quantity{}
}

// object is the place of what an event is done to.
func object(e *state.Event) text.Span { return e.Action.Object.Span }

// see makes a second place of an event; none for a nil event.
func see(e *state.Event, why say.Text) []diagnostic.Related {
	if e == nil {
		return nil
	}
	return []diagnostic.Related{{Span: object(e), Says: why}}
}

// registered makes a second place of a register row.
func registered(r *procedure.Row) diagnostic.Related {
	return diagnostic.Related{Span: r.Span, Says: say.That("registered here")}
}

// name says what an event is done to: "fastener 4", "the gearbox".
func name(e *state.Event) say.Text {
	if e.Fastener != nil {
		return say.That("fastener %number", say.Name(e.Fastener.ID))
	}
	return the(e.Action.Object.ID)
}

// last returns the event that last changed what e is done to, before e; nil when none did.
func last(f *Facts, e *state.Event) *state.Event {
	switch {
	case e.Fastener != nil:
		return f.Trace.Event(e.Before.Fastener(e.Fastener).Last)
	case e.Part != nil:
		return f.Trace.Event(e.Before.Part(e.Part).Last)
	case e.Connection != nil:
		return f.Trace.Event(e.Before.Connection(e.Connection).Last)
	case e.Fluid != nil:
		return f.Trace.Event(e.Before.Fluid(e.Fluid).Last)
	case e.Condition != nil:
		return f.Trace.Event(e.Before.Condition(e.Condition).Last)
	}
	return nil
}

// since says when something came about: "since step 4", or from the start.
func since(e *state.Event) say.Text {
	if e == nil {
		return say.That("from the start")
	}
	return say.That("since step %step", number(e))
}

// each calls do for every event.
func each(f *Facts, do func(e *state.Event)) {
	for i := range f.Trace.Events {
		do(&f.Trace.Events[i])
	}
}

// find returns the first event that fits, at or after the index; nil when there is none.
func find(f *Facts, from int, fits func(e *state.Event) bool) *state.Event {
	for i := max(from, 0); i < len(f.Trace.Events); i++ {
		if e := &f.Trace.Events[i]; fits(e) {
			return e
		}
	}
	return nil
}

// when says where, after the event now, something is done, or that it never is.
func when(now, later *state.Event, does, never say.Text) say.Text {
	switch {
	case later == nil:
		return never
	case later.Step.Number == now.Step.Number:
		return say.That("%does further down in the step", does)
	}
	return say.That("%does in step %step", does, number(later))
}
