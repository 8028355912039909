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
	a.byID = make(map[string]any, len(m.Parts)+len(m.Conditions)+len(m.Fluids)+len(m.Supports)+len(m.Fasteners)+len(m.Connections))
	a.Parts = enter(a, m.Parts, func(x *procedure.Part, i int) (*procedure.Row, Part) {
		return &x.Row, Part{Part: x, Kg: kilograms(x.Mass), Index: i}
	})
	a.Conditions = enter(a, m.Conditions, func(x *procedure.Condition, i int) (*procedure.Row, Condition) {
		energy, reaches := m.KeepsAway(x, v)
		return &x.Row, Condition{Condition: x, Index: i, Energy: energy, Reaches: reaches}
	})
	a.Fluids = enter(a, m.Fluids, func(x *procedure.Fluid, i int) (*procedure.Row, Fluid) {
		return &x.Row, Fluid{Fluid: x, Index: i}
	})
	a.Supports = enter(a, m.Supports, func(x *procedure.Support, i int) (*procedure.Row, Support) {
		return &x.Row, Support{Support: x, Kg: kilograms(x.Capacity), Index: i}
	})
	a.Fasteners = enter(a, m.Fasteners, func(x *procedure.Fastener, i int) (*procedure.Row, Fastener) {
		return &x.Row, Fastener{Fastener: x, Index: i}
	})
	a.Connections = enter(a, m.Connections, func(x *procedure.Connection, i int) (*procedure.Row, Connection) {
		return &x.Row, Connection{Connection: x, Index: i}
	})
	for _, x := range a.Supports {
		x.Eyes, x.Lugs = resolve[*Fastener](a, x.Into), resolve[*Part](a, x.Into)
	}
	a.join()
	a.plug()
	a.root()
	return a
}

// enter makes things of the rows that the variant has and whose names are still free.
func enter[X, T any](a *Assembly, rows []*X, thing func(x *X, index int) (*procedure.Row, T)) []*T {
	room, out := make([]T, 0, len(rows)), make([]*T, 0, len(rows))
	for _, x := range rows {
		row, t := thing(x, len(room))
		if _, taken := a.byID[row.ID]; taken || !procedure.AppliesTo(row.Variants, a.Variant) {
			continue
		}
		room = append(room, t)
		last := &room[len(room)-1]
		out = append(out, last)
		a.byID[row.ID] = last
	}
	return out
}

// join fills in the relations between things, backward as well: from a part to what joins it, and so on.
func (a *Assembly) join() {
	for _, f := range a.Fasteners {
		f.Parts = resolve[*Part](a, f.Fastener.Joins)
		for _, p := range f.Parts {
			p.Fasteners = append(p.Fasteners, f)
		}
		f.Holds, f.Covers, f.First = resolve[*Connection](a, f.Fastener.Joins), resolve[*Part](a, f.Under), resolve[*Fastener](a, f.TightAfter)
		f.Bench = a.Part(f.OnBench.ID)
		for _, c := range f.Holds {
			c.HeldBy = append(c.HeldBy, f)
		}
		f.Locked = resolve[*Fastener](a, f.Locks)
		for _, l := range f.Locked {
			l.Lockers = append(l.Lockers, f)
		}
	}
	for _, c := range a.Connections {
		c.Parts, c.Conditions = resolve[*Part](a, c.Joins), resolve[*Condition](a, c.Needs)
		c.Covers, c.Bench = resolve[*Part](a, c.Under), a.Part(c.OnBench.ID)
		c.Fluid, _ = a.byID[c.Connection.Carries.ID].(*Fluid)
		for _, p := range c.Parts {
			p.Connections = append(p.Connections, c)
		}
		if c.Fluid != nil {
			c.Fluid.Connections = append(c.Fluid.Connections, c)
		}
	}
	for _, f := range a.Fluids {
		f.Covers, f.Bench = resolve[*Part](a, f.Under), a.Part(f.OnBench.ID)
	}
	for _, p := range a.Parts {
		p.Covers, p.Bench = resolve[*Part](a, p.Under), a.Part(p.OnBench.ID)
		if p.Holder = a.Part(p.HeldBy.ID); p.Holder != nil {
			p.Holder.Pressed = append(p.Holder.Pressed, p)
		}
		for _, q := range p.Covers {
			q.Beneath = append(q.Beneath, p)
		}
	}
	for _, c := range a.Conditions {
		c.Requires = resolve[*Condition](a, c.Needs)
		for _, n := range c.Requires {
			n.RequiredBy = append(n.RequiredBy, c)
		}
		for _, by := range resolve[*Condition](a, c.ProvedBy) {
			by.Proves = append(by.Proves, c)
		}
		for _, p := range resolve[*Part](a, c.ProvedAt) {
			c.Covers = append(c.Covers, p.Covers...)
		}
		// What isolates ends it when it goes back: the plug is pushed in, the guard is shut.
		for _, r := range slices.Concat(c.LostBy, c.By) {
			switch x := a.byID[r.ID].(type) {
			case *Fastener: // that makes it
				if c.MadeBy(r.ID) {
					x.ends = append(x.ends, c)
					c.bleeds = true
				}
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

// root finds the parts that hang, over any number of others, on a base part. What is brought for the job holds nothing before it
// is on; a part that is brought always hangs on what it is put on.
func (a *Assembly) root() {
	var queue []*Part
	reach := func(parts []*Part) {
		for _, q := range parts {
			if !q.Rooted {
				q.Rooted = true
				queue = append(queue, q)
			}
		}
	}
	for _, p := range a.Parts {
		p.Seated = p.Holder == nil && !slices.ContainsFunc(p.Connections, func(c *Connection) bool { return c.Bears() })
		for _, f := range p.Fasteners {
			p.Seated = p.Seated && (!f.Carries() || f.Brought)
		}
		if p.Brought {
			p.Seated, p.Rooted = false, true
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
			if !f.Carries() || f.Brought {
				continue
			}
			reach(f.Parts)
		}
		for _, c := range p.Connections {
			if c.Bears() {
				reach(c.Parts)
			}
		}
		reach(p.Pressed)
		if p.Holder != nil {
			reach([]*Part{p.Holder})
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
			if out == nil {
				out = make([]T, 0, len(refs))
			}
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
