package state

import (
	"math"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Assembly is a machine in one variant: the things that this variant has, with
// what bears on what worked out once. It never changes.
type Assembly struct {
	Machine *procedure.Machine
	Variant *procedure.Variant

	// Things in the order of the registers.
	Parts       []*Part
	Fasteners   []*Fastener
	Connections []*Connection
	Fluids      []*Fluid
	Supports    []*Support
	Conditions  []*Condition

	byID map[string]any
}

// NewAssembly works out what bears on what for one variant; a nil variant has everything.
// Names that lead nowhere are left out: the reference check reports them.
func NewAssembly(m *procedure.Machine, v *procedure.Variant) *Assembly {
	a := &Assembly{Machine: m, Variant: v, byID: map[string]any{}}
	if m == nil {
		return a
	}
	for _, x := range m.Parts {
		if add(a, &x.Row) {
			p := &Part{Part: x, Kg: kilograms(x.Mass), Index: len(a.Parts)}
			a.Parts, a.byID[x.ID] = append(a.Parts, p), p
		}
	}
	for _, x := range m.Conditions {
		if add(a, &x.Row) {
			c := &Condition{Condition: x, Index: len(a.Conditions)}
			a.Conditions, a.byID[x.ID] = append(a.Conditions, c), c
		}
	}
	for _, x := range m.Fluids {
		if add(a, &x.Row) {
			f := &Fluid{Fluid: x, Index: len(a.Fluids)}
			a.Fluids, a.byID[x.ID] = append(a.Fluids, f), f
		}
	}
	for _, x := range m.Supports {
		if add(a, &x.Row) {
			s := &Support{Support: x, Kg: kilograms(x.Capacity), Index: len(a.Supports)}
			a.Supports, a.byID[x.ID] = append(a.Supports, s), s
		}
	}
	for _, x := range m.Fasteners {
		if add(a, &x.Row) {
			f := &Fastener{Fastener: x, Parts: resolve[*Part](a, x.Joins), Index: len(a.Fasteners)}
			a.Fasteners, a.byID[x.ID] = append(a.Fasteners, f), f
		}
	}
	for _, x := range m.Connections {
		if add(a, &x.Row) {
			c := &Connection{Connection: x, Parts: resolve[*Part](a, x.Joins), Conditions: resolve[*Condition](a, x.Needs), Index: len(a.Connections)}
			c.Fluid, _ = a.byID[x.Carries.ID].(*Fluid)
			a.Connections, a.byID[x.ID] = append(a.Connections, c), c
		}
	}
	a.join()
	a.plug()
	a.root()
	return a
}

// add reports whether the variant has the row and its name is still free.
func add(a *Assembly, r *procedure.Row) bool {
	_, taken := a.byID[r.ID]
	return !taken && procedure.AppliesTo(r.Variants, a.Variant)
}

// join fills in the relations that lead backward: from a part to what joins it, and so on.
func (a *Assembly) join() {
	for _, f := range a.Fasteners {
		for _, p := range f.Parts {
			p.Fasteners = append(p.Fasteners, f)
		}
		f.Locked = resolve[*Fastener](a, f.Locks)
		for _, l := range f.Locked {
			l.Lockers = append(l.Lockers, f)
		}
	}
	for _, c := range a.Connections {
		for _, p := range c.Parts {
			p.Connections = append(p.Connections, c)
		}
		if c.Fluid != nil {
			c.Fluid.Connections = append(c.Fluid.Connections, c)
		}
	}
	for _, p := range a.Parts {
		p.Covers = resolve[*Part](a, p.Under)
		for _, q := range p.Covers {
			q.Beneath = append(q.Beneath, p)
		}
	}
	for _, c := range a.Conditions {
		c.Requires = resolve[*Condition](a, c.Needs)
		for _, n := range c.Requires {
			n.RequiredBy = append(n.RequiredBy, c)
		}
		for _, r := range c.LostBy {
			switch x := a.byID[r.ID].(type) {
			case *Part:
				x.ends = append(x.ends, c)
			case *Connection:
				x.ends = append(x.ends, c)
			case *Fluid:
				x.ends = append(x.ends, c)
			case *Condition:
				x.ends = append(x.ends, c)
			}
		}
	}
}

// plug finds the plugs of each circuit. A part that two fluids lead to says of no plug whose it is.
func (a *Assembly) plug() {
	for _, f := range a.Fasteners {
		if f.Kind != procedure.Plug {
			continue
		}
		var fluids []*Fluid
		for _, p := range f.Parts {
			for _, c := range p.Connections {
				if c.Fluid != nil && !slices.Contains(fluids, c.Fluid) {
					fluids = append(fluids, c.Fluid)
				}
			}
		}
		if len(fluids) == 1 {
			fluids[0].Plugs = append(fluids[0].Plugs, f)
		}
	}
}

// root finds the parts that hang, over any number of others, on a base part.
func (a *Assembly) root() {
	var queue []*Part
	for _, p := range a.Parts {
		p.Seated = true
		for _, f := range p.Fasteners {
			p.Seated = p.Seated && !f.Carries()
		}
		if p.Base {
			p.Rooted = true
			queue = append(queue, p)
		}
	}
	for len(queue) > 0 {
		p := queue[0]
		queue = queue[1:]
		for _, f := range p.Fasteners {
			if !f.Carries() {
				continue
			}
			for _, q := range f.Parts {
				if !q.Rooted {
					q.Rooted = true
					queue = append(queue, q)
				}
			}
		}
	}
}

// Part returns the part with that name; nil when the variant has none.
func (a *Assembly) Part(id string) *Part { return get[*Part](a, id) }

// Fastener returns the fastener with that callout number; nil when the variant has none.
func (a *Assembly) Fastener(id string) *Fastener { return get[*Fastener](a, id) }

// Connection returns the connection with that name; nil when the variant has none.
func (a *Assembly) Connection(id string) *Connection { return get[*Connection](a, id) }

// Fluid returns the fluid with that name; nil when the variant has none.
func (a *Assembly) Fluid(id string) *Fluid { return get[*Fluid](a, id) }

// Support returns the support with that name; nil when the variant has none.
func (a *Assembly) Support(id string) *Support { return get[*Support](a, id) }

// Condition returns the condition with that name; nil when the variant has none.
func (a *Assembly) Condition(id string) *Condition { return get[*Condition](a, id) }

func get[T any](a *Assembly, id string) T {
	t, _ := a.byID[id].(T)
	return t
}

// resolve returns the named things that the variant has, each once.
func resolve[T comparable](a *Assembly, refs []procedure.Ref) []T {
	var out []T
	for _, r := range refs {
		if t, ok := a.byID[r.ID].(T); ok && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// kilograms returns a mass; zero when it is not stated.
func kilograms(q measure.Quantity) float64 {
	if kg := q.Float("kg"); !math.IsNaN(kg) {
		return kg
	}
	return 0
}
