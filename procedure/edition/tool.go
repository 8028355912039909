package edition

import (
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Tool is a tool or a support that changed: one that only one edition uses, or whose row in the register is different.
type Tool struct {
	Kind Kind
	// ID and Name are those of the new edition, or else of the old.
	ID, Name string
	// Old and New are its rows in the registers; nil where the edition does not use it, or does not know it.
	Old, New *procedure.Thing
	// Steps are the steps that use it: of the old edition when it was removed, otherwise of the new.
	Steps []*procedure.Step
	// Changes are what is different in its row.
	Changes []Change
}

// use is a tool or support with the steps that name it.
type use struct {
	id    string
	row   *procedure.Thing
	steps []*procedure.Step
}

// uses lists the tools and supports of a procedure, in the order of the registers; names that lead nowhere come last.
func uses(p *procedure.Procedure) []*use {
	byID := map[string]*use{}
	var found []*use
	for _, s := range p.Steps {
		refs := append([]procedure.Ref(nil), s.Tools...)
		for _, a := range s.Actions() {
			refs = append(refs, a.With...)
		}
		for _, r := range refs {
			u := byID[r.ID]
			if u == nil {
				u = &use{id: r.ID}
				byID[r.ID] = u
				found = append(found, u)
			}
			if n := len(u.steps); n == 0 || u.steps[n-1] != s {
				u.steps = append(u.steps, s)
			}
		}
	}
	var out []*use
	if p.Machine != nil {
		for _, t := range p.Machine.Things() {
			if u := byID[t.Row.ID]; u != nil && u.row == nil {
				u.row = &t
				out = append(out, u)
			}
		}
	}
	for _, u := range found {
		if u.row == nil {
			out = append(out, u)
		}
	}
	return out
}

func tools(before, after *procedure.Procedure) []Tool {
	old := map[string]*use{}
	for _, u := range uses(before) {
		old[u.id] = u
	}
	var out []Tool
	now := map[string]bool{}
	for _, u := range uses(after) {
		now[u.id] = true
		was := old[u.id]
		if was == nil {
			out = append(out, tool(Added, nil, u))
		} else if t := tool(Changed, was, u); len(t.Changes) > 0 {
			out = append(out, t)
		}
	}
	for _, u := range uses(before) {
		if !now[u.id] {
			out = append(out, tool(Removed, u, nil))
		}
	}
	return out
}

func tool(kind Kind, was, is *use) Tool {
	out := Tool{Kind: kind}
	for _, u := range []*use{was, is} {
		if u == nil {
			continue
		}
		out.ID, out.Name, out.Steps = u.id, u.id, u.steps
		if u.row != nil && u.row.Row.Name != "" {
			out.Name = u.row.Row.Name
		}
	}
	if was != nil {
		out.Old = was.row
	}
	if is != nil {
		out.New = is.row
	}
	if out.Old != nil && out.New != nil {
		out.Changes = rowChanges(out.Old, out.New)
	}
	return out
}

// rowChanges compares the rows of a tool or of a support.
func rowChanges(old, now *procedure.Thing) []Change {
	var c changes
	c.value("name", old.Row.Name, now.Row.Name)
	switch {
	case old.Tool != nil && now.Tool != nil:
		c.value("kind", string(old.Tool.Kind), string(now.Tool.Kind))
		c.quantity("quantity", old.Tool.Quantity, now.Tool.Quantity)
		c.flag("single", old.Tool.Single, now.Tool.Single)
	case old.Support != nil && now.Support != nil:
		c.value("kind", old.Support.Kind, now.Support.Kind)
		c.quantity("capacity", old.Support.Capacity, now.Support.Capacity)
		c.value("legs", count(old.Support.Legs), count(now.Support.Legs))
		c.quantity("angle", old.Support.Angle, now.Support.Angle)
	}
	c.set("variants", references(old.Row.Variants), references(now.Row.Variants))
	c.value("note", old.Row.Note, now.Row.Note)
	return c
}

// quantity notes two quantities when they differ; one quantity in two units is the same.
func (c *changes) quantity(what string, before, after measure.Quantity) {
	if before.SameDimension(after) && !before.IsZero() && before.Equal(after) {
		return
	}
	c.value(what, written(before), written(after))
}

func written(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	return q.String()
}

func count(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
