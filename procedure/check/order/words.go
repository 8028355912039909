package order

import (
	"math"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
	"matchmark/procedure/text"
)

// step names an event's step for a message.
func step(e *state.Event) string { return "step " + strconv.Itoa(e.Step.Number) }

// and joins names with commas and a last "and".
func and(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// fasteners names callout numbers: "fastener 4", "fasteners 4 and 5".
func fasteners(list []*state.Fastener) string {
	var ids []string
	for _, f := range list {
		ids = append(ids, f.ID)
	}
	if len(ids) == 1 {
		return "fastener " + ids[0]
	}
	return "fasteners " + and(ids)
}

// parts names parts: "the hub and the gearbox".
func parts(list []*state.Part) string {
	var ids []string
	for _, p := range list {
		ids = append(ids, "the "+p.ID)
	}
	return and(ids)
}

// supports names supports: "the hoist and the sling".
func supports(list []*state.Support) string {
	var ids []string
	for _, x := range list {
		ids = append(ids, "the "+x.ID)
	}
	return and(ids)
}

// is agrees with a list.
func is[T any](list []T) string { return plural(list, "is", "are") }

// plural chooses the word that agrees with a list.
func plural[T any](list []T, one, many string) string {
	if len(list) == 1 {
		return one
	}
	return many
}

// kg writes a mass, to the gram.
func kg(x float64) string {
	return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64) + " kg"
}

// object is the place of what an event is done to.
func object(e *state.Event) text.Span { return e.Action.Object.Span }

// see makes a second place of an event; none for a nil event.
func see(e *state.Event, why string) []diagnostic.Related {
	if e == nil {
		return nil
	}
	return []diagnostic.Related{{Span: object(e), Why: why}}
}

// registered makes a second place of a register row.
func registered(r *procedure.Row) diagnostic.Related {
	return diagnostic.Related{Span: r.Span, Why: "registered here"}
}

// name says what an event is done to: "fastener 4", "the gearbox".
func name(e *state.Event) string {
	if e.Fastener != nil {
		return "fastener " + e.Fastener.ID
	}
	return "the " + e.Action.Object.ID
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
func since(e *state.Event) string {
	if e == nil {
		return "from the start"
	}
	return "since " + step(e)
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
func when(now, later *state.Event, does, never string) string {
	switch {
	case later == nil:
		return never
	case later.Step.Number == now.Step.Number:
		return does + " further down in the step"
	}
	return does + " in " + step(later)
}
