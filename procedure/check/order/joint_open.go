package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var jointOpen = Check{
	Rule: diagnostic.Rule{
		Code: "joint-open", Severity: diagnostic.Warning, Title: "Tight before the whole joint is in",
		Wrong: "A fastener is tightened while others that join the same parts, hold the same part to another one, or others of its own pieces, are not in yet.",
		Why:   "The first one that is tight decides where the part stands. The rest then goes in with force, or not at all.",
		Do:    "Run all pieces of the joint in by hand, then tighten them.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		ring := refit.LinesUp(f.Trace.Assembly)
		each(f, func(e *state.Event) {
			x := e.Fastener
			if x == nil || e.Action.Verb != procedure.Tighten || e.Before.Fastener(x).Is != state.Loose {
				return
			}
			for _, g := range append(joint(f.Trace.Assembly, x), linedUp(f.Trace.Assembly, x, ring)...) {
				in := comesIn(f, e, g)
				if e.After.Fastener(g).Gone == 0 || in == nil || slices.Contains(x.First, g) || carriesMeanwhile(f, e, in) {
					continue
				}
				before := say.That("%other is in, which joins the same parts", pieces(e, g))
				switch {
				case len(g.Parts) != len(x.Parts) || slices.ContainsFunc(g.Parts, func(p *state.Part) bool { return !x.Joins(p) }):
					before = say.That("%other is in, whose holes have to line up too", pieces(e, g))
				case g == x:
					before = say.That("all of its pieces are in: %out are out", say.Count(int(e.After.Fastener(x).Gone)))
				}
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("fastener %fastener is tightened in step %step before %before; %when", say.Name(x.ID), number(e), before, when(e, in, say.That("the rest goes in only"), say.Text{})),
					Advice: say.That("Fit all pieces of the joint first, then tighten them."), See: see(in, say.That("here")),
				})
			}
		})
	},
}

// carriesMeanwhile reports whether a support comes away from what a fastener joins, or goes on to another part, before the
// rest of the joint goes in: until then the fastener carries alone, and has to be tight.
func carriesMeanwhile(f *Facts, tight, in *state.Event) bool {
	return slices.ContainsFunc(f.Trace.Events[tight.Index:in.Index], func(y state.Event) bool {
		return y.Part != nil && y.Action.Verb == procedure.Release && slices.ContainsFunc(tight.Fastener.Parts, func(p *state.Part) bool {
			return tight.After.Group(p).Has(y.Part)
		})
	})
}

// joint returns the fasteners that join the same two or more parts as one does, that one first, and the pins and keys
// that line these parts up.
func joint(a *state.Assembly, f *state.Fastener) []*state.Fastener {
	out := []*state.Fastener{f}
	for _, g := range a.Fasteners {
		within := g != f && len(f.Parts) > 1 && len(g.Parts) > 0 && !slices.ContainsFunc(g.Parts, func(p *state.Part) bool { return !f.Joins(p) })
		switch {
		case !within:
		case len(g.Parts) > 1 && (g.Kind == procedure.Pin || g.Kind == procedure.Key), len(g.Parts) == len(f.Parts) && g.Carries() && !g.Rigid():
			out = append(out, g)
		}
	}
	return out
}

// linedUp returns the other fasteners that hold a part of this one's to something else and lead back through it in a ring, such as a
// bracket's other foot: the one that is tight first decides whether the rest lines up.
func linedUp(a *state.Assembly, f *state.Fastener, ring []int) (out []*state.Fastener) {
	if ring[f.Index] < 0 {
		return nil
	}
	for _, g := range a.Fasteners {
		shares := slices.ContainsFunc(g.Parts, func(p *state.Part) bool { return !p.Base && f.Joins(p) })
		same := !slices.ContainsFunc(g.Parts, func(p *state.Part) bool { return !f.Joins(p) })
		if g != f && ring[g.Index] == ring[f.Index] && shares && !same {
			out = append(out, g)
		}
	}
	return out
}

// pieces names what of a fastener is out after an event: "4", or "10 of 4" for some of its pieces.
func pieces(e *state.Event, g *state.Fastener) say.Text {
	if gone := int(e.After.Fastener(g).Gone); gone < g.Count {
		return say.That("%gone of %number", say.Count(gone), say.Name(g.ID))
	}
	return say.That("%number", say.Name(g.ID))
}
