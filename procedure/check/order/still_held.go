package order

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var stillHeld = Check{
	Rule: diagnostic.Rule{
		Code: "still-held", Severity: diagnostic.Error, Title: "Connection and its fastener in the wrong order",
		Wrong: "A connection comes apart while a fastener that joins it is tight, or a bolt that joins it comes out only afterwards; or such a fastener is tightened, or a bolt put in, while the connection is apart.",
		Why:   "A line does not come off its banjo bolt, nor a hose out of its clamp. A bolt that is in leaves no room for the eye that it goes through, and what is tightened with nothing in it holds nothing.",
		Do:    "Undo the fastener, then take the connection apart; join the connection, then tighten the fastener.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if c := e.Connection; c != nil && e.Action.Verb == procedure.Disconnect && !e.Before.Connection(c).Apart {
				for _, x := range slices.Concat(c.HeldBy, banjosOf(f.Trace.Assembly, c)) {
					if e.Before.Fastener(x).Is != state.Tight {
						boltStaysIn(f, e, x, report)
						continue
					}
					undone := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == x && y.After.Fastener(x).Is != state.Tight })
					report(diagnostic.Diagnostic{
						Span:   object(e),
						Wrong:  say.That("the %connection comes apart in step %step while fastener %fastener, which joins it, is tight; %when", say.Name(c.ID), number(e), say.Name(x.ID), when(e, undone, say.That("it is undone only"), say.That("nothing undoes it"))),
						Advice: say.That("Undo %fastener first.", say.Name(x.ID)), See: append(see(undone, say.That("here")), registered(&x.Row)),
					})
				}
			}
			x := e.Fastener
			if x == nil || e.Before.Fastener(x).Is == state.Tight || e.After.Fastener(x).Is != state.Tight {
				boltGoesIn(f, e, report)
				return
			}
			for _, c := range heldBy(f.Trace.Assembly, x) {
				joined := find(f, e.Index, func(y *state.Event) bool { return y.Connection == c && y.Action.Verb == procedure.Connect })
				if !e.Before.Connection(c).Apart || joined == nil {
					continue
				}
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("fastener %fastener is tight after step %step, but the %connection, which it joins, is apart; %when", say.Name(x.ID), number(e), say.Name(c.ID), when(e, joined, say.That("it is connected only"), say.Text{})),
					Advice: say.That("Connect the %connection first.", say.Name(c.ID)), See: append(see(joined, say.That("here")), registered(&x.Row)),
				})
			}
		})
	},
}

// passes reports whether a fastener goes through what it joins, as a banjo bolt through the eye of its line does: a clamp lies around it.
func passes(x *state.Fastener) bool {
	switch x.Kind {
	case procedure.Bolt, procedure.Screw, procedure.Nut:
		return true
	}
	return false
}

// heldBy are the connections that come apart with a fastener, by its row or by its name.
func heldBy(a *state.Assembly, x *state.Fastener) []*state.Connection {
	out := slices.Clone(x.Holds)
	for _, c := range a.Connections {
		if slices.Contains(banjosOf(a, c), x) {
			out = append(out, c)
		}
	}
	return out
}

// banjo finds the names of bolts that go through the eye of a line.
var banjo = regexp.MustCompile(`(?i)\bbanjo\b|hohlschraube`)

// banjosOf are the banjo bolts whose names say that they are those of a connection, and whose rows do not: "Banjo bolt of the oil line".
//
// Common practice, no source.
func banjosOf(a *state.Assembly, c *state.Connection) (out []*state.Fastener) {
	if c.Name == "" {
		return nil
	}
	for _, x := range a.Fasteners {
		if len(x.Holds) == 0 && banjo.MatchString(x.Name) && strings.Contains(strings.ToLower(x.Name), strings.ToLower(c.Name)) {
			out = append(out, x)
		}
	}
	return out
}

// boltStaysIn reports a bolt through a connection that comes out only after it comes apart.
func boltStaysIn(f *Facts, e *state.Event, x *state.Fastener, report func(diagnostic.Diagnostic)) {
	out := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == x && y.Action.Verb == procedure.Remove })
	if !passes(x) || e.Before.Fastener(x).Is != state.Loose || out == nil {
		return
	}
	report(diagnostic.Diagnostic{
		Span:   object(e),
		Wrong:  say.That("the %connection comes apart in step %step while fastener %fastener, which joins it, is still in; %when", say.Name(e.Connection.ID), number(e), say.Name(x.ID), when(e, out, say.That("it comes out only"), say.Text{})),
		Advice: say.That("Take %fastener out first.", say.Name(x.ID)), See: append(see(out, say.That("here")), registered(&x.Row)),
	})
}

// boltGoesIn reports a bolt through a connection that is put in before it is connected, unless it comes out again in between: it is kept in its thread then.
func boltGoesIn(f *Facts, e *state.Event, report func(diagnostic.Diagnostic)) {
	x := e.Fastener
	if x == nil || e.Action.Verb != procedure.Fit || !passes(x) {
		return
	}
	for _, c := range heldBy(f.Trace.Assembly, x) {
		joined := find(f, e.Index, func(y *state.Event) bool { return y.Connection == c && y.Action.Verb == procedure.Connect })
		if !e.Before.Connection(c).Apart || joined == nil {
			continue
		}
		out := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == x && y.Action.Verb == procedure.Remove })
		if out != nil && out.Index < joined.Index {
			continue
		}
		report(diagnostic.Diagnostic{
			Span:   object(e),
			Wrong:  say.That("fastener %fastener is in after step %step, but the %connection, which it joins, is apart; %when", say.Name(x.ID), number(e), say.Name(c.ID), when(e, joined, say.That("it is connected only"), say.Text{})),
			Advice: say.That("Connect the %connection first.", say.Name(c.ID)), See: append(see(joined, say.That("here")), registered(&x.Row)),
		})
	}
}
