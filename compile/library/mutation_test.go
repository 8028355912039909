package library_test

import (
	"fmt"
	"slices"
	"testing"

	"matchmark/compile"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
)

// leastCaught is the share of the mutants that change what happens at the bench
// that the order check must catch.
const leastCaught = 0.95

// TestMutationsOfTheDemo deletes each action of each demo procedure in turn, and
// swaps each with the next one. A mutant is caught when the order check reports an
// error or a warning that the procedure as written does not have.
//
// Not every mutant changes what happens at the bench: see changes.
func TestMutationsOfTheDemo(t *testing.T) {
	var log diagnostic.Log
	lib, err := compile.Load(content.Library(), &log)
	if err != nil || log.HasErrors() {
		t.Fatalf("the demo does not load: %v", err)
	}
	caught, counted, all := 0, 0, 0
	var missed []string
	for _, p := range lib.Procedures {
		before := found(p)
		for _, m := range mutants(p) {
			all++
			if !m.changes {
				continue
			}
			counted++
			if slices.ContainsFunc(found(m.procedure), func(s string) bool { return !slices.Contains(before, s) }) {
				caught++
			} else {
				missed = append(missed, p.ID+": "+m.what)
			}
		}
	}
	t.Logf("%d mutants, %d change what happens at the bench, %d of them caught (%.1f %%)", all, counted, caught, 100*float64(caught)/float64(counted))
	for _, m := range missed {
		t.Log("not caught: " + m)
	}
	if float64(caught) < leastCaught*float64(counted) {
		t.Errorf("caught %d of %d, want at least %.0f %%", caught, counted, 100*leastCaught)
	}
}

// found lists the errors and warnings of a procedure, without their places, which a mutation moves.
func found(p *procedure.Procedure) []string {
	var log diagnostic.Log
	order.Run(p, refit.AdditionsOf(p), &log)
	var out []string
	for _, d := range log.Sorted() {
		if d.Severity >= diagnostic.Warning {
			out = append(out, string(d.Code)+" "+d.Says().String())
		}
	}
	return out
}

type mutant struct {
	what      string
	procedure *procedure.Procedure
	changes   bool
}

// place is where an action stands.
type place struct{ step, block, action int }

func mutants(p *procedure.Procedure) []mutant {
	var places []place
	for i, s := range p.Steps {
		for j, b := range s.Blocks {
			for k := range *actionsOf(b) {
				places = append(places, place{i, j, k})
			}
		}
	}
	at := func(q *procedure.Procedure, x place) *[]*procedure.Action {
		return actionsOf(q.Steps[x.step].Blocks[x.block])
	}
	var out []mutant
	for n, x := range places {
		a := (*at(p, x))[x.action]
		q := clone(p)
		list := at(q, x)
		*list = slices.Delete(*list, x.action, x.action+1)
		out = append(out, mutant{fmt.Sprintf("without %q in step %s", said(a), p.Steps[x.step].ID), q, deletionChanges(p, places, n)})
		if n+1 == len(places) {
			continue
		}
		y := places[n+1]
		b := (*at(p, y))[y.action]
		q = clone(p)
		(*at(q, x))[x.action], (*at(q, y))[y.action] = b, a
		out = append(out, mutant{
			fmt.Sprintf("%q (step %s) before %q (step %s)", said(b), p.Steps[y.step].ID, said(a), p.Steps[x.step].ID), q, depends(p.Machine, a, b),
		})
	}
	return out
}

func actionsOf(b procedure.Block) *[]*procedure.Action {
	switch b := b.(type) {
	case *procedure.Callout:
		return &b.Actions
	case *procedure.ActionList:
		return &b.Actions
	}
	return &[]*procedure.Action{}
}

func said(a *procedure.Action) string {
	s := string(a.Verb) + " " + a.Object.ID
	for i, w := range a.With {
		if i == 0 {
			rule, _ := a.Verb.Rule()
			s += " " + rule.Word
		}
		s += " " + w.ID
	}
	return s
}

func clone(p *procedure.Procedure) *procedure.Procedure {
	q := *p
	q.Steps = nil
	for _, s := range p.Steps {
		c := *s
		c.Blocks = nil
		for _, b := range s.Blocks {
			c.Blocks = append(c.Blocks, procedure.Clone(b))
		}
		q.Steps = append(q.Steps, &c)
	}
	return &q
}

// deletionChanges reports whether leaving the action out changes what happens at
// the bench. It does not when the action only looks or cleans, when it says what is
// not to be done (keep), or when it loosens a fastener that the next action on it
// takes out anyway and that locks nothing.
func deletionChanges(p *procedure.Procedure, places []place, n int) bool {
	action := func(x place) *procedure.Action { return (*actionsOf(p.Steps[x.step].Blocks[x.block]))[x.action] }
	a := action(places[n])
	switch a.Verb {
	case procedure.Inspect, procedure.Clean, procedure.Keep:
		return false
	case procedure.Loosen:
		if t := p.Machine.Thing(a.Object.ID); len(t.Fastener.Locks) > 0 {
			return true
		}
		for _, x := range places[n+1:] {
			if b := action(x); b.Object.ID == a.Object.ID {
				return b.Verb != procedure.Remove
			}
		}
	}
	return true
}

// depends reports whether the order of two neighbouring actions matters at the
// bench: they are about one thing, or about things that the machine's registers tie
// together. Looking and cleaning come before or after anything else alike.
func depends(m *procedure.Machine, a, b *procedure.Action) bool {
	for _, x := range []*procedure.Action{a, b} {
		if x.Verb == procedure.Inspect || x.Verb == procedure.Clean || x.Verb == procedure.Keep {
			return false
		}
	}
	if a.Verb == b.Verb && a.Object.ID == b.Object.ID {
		return false
	}
	if a.Object.ID == b.Object.ID {
		return true
	}
	// A mark is about its own thing alone, and a support changes nothing for a connection.
	for x, y := range map[*procedure.Action]*procedure.Action{a: b, b: a} {
		if x.Verb == procedure.Mark || x.Verb == procedure.Hang && m.Thing(y.Object.ID).Connection != nil {
			return false
		}
	}
	return tied(m, a, b) || tied(m, b, a)
}

// tied reports whether the row of a's thing names b's.
func tied(m *procedure.Machine, a, b *procedure.Action) bool {
	names := func(refs []procedure.Ref) bool {
		return slices.ContainsFunc(refs, func(r procedure.Ref) bool { return r.ID == b.Object.ID })
	}
	t := m.Thing(a.Object.ID)
	switch {
	case t.Fastener != nil:
		return names(t.Fastener.Joins) || names(t.Fastener.Locks)
	case t.Part != nil:
		return names(t.Part.Under)
	case t.Connection != nil:
		return names(t.Connection.Joins) || names(t.Connection.Needs) || t.Connection.Carries.ID == b.Object.ID
	case t.Condition != nil:
		return names(t.Condition.Needs)
	}
	return false
}
