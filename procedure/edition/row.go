package edition

import (
	"slices"

	"matchmark/procedure"
)

// Row is a row of the machine's registers that changed, of those that the procedure names.
type Row struct {
	Kind Kind
	// Register is where it stands; empty for a name that no register has.
	Register procedure.RegisterKind
	// ID and Name are those of the new edition, or else of the old.
	ID, Name string
	// Steps are the steps that use a tool or a support: of the old edition when it was removed, otherwise of the new.
	Steps []*procedure.Step
	// Changes are what is different in the row, in the order of its fields.
	Changes []Change
	// Torque is true for a fastener that is tightened in another way.
	Torque bool
}

// tightening are the fields that say how a fastener is tightened.
var tightening = []string{"torque", "tolerance", "angle", "hand", "no-torque", "sequence", "treatment", "friction"}

// laidOut reports whether the things of a register lie ready for a job: a job has those that its steps name.
func laidOut(r procedure.RegisterKind) bool {
	return r == procedure.ToolRegister || r == procedure.SupportRegister || r == ""
}

// use is a thing with the steps that name it.
type use struct {
	id       string
	register procedure.RegisterKind
	row      any // the struct of the row; nil for a name that no register has
	name     string
	steps    []*procedure.Step
}

// uses lists what the steps of either edition name, as this edition has it: in the order of the registers,
// names that lead nowhere last.
func uses(p *procedure.Procedure, either map[string]bool) []*use {
	byID := map[string]*use{}
	var found []*use
	for _, s := range p.Steps {
		s.EachThing(func(refs ...procedure.Ref) {
			for _, r := range refs {
				u := byID[r.ID]
				if u == nil {
					u = &use{id: r.ID, name: r.ID}
					byID[r.ID] = u
					found = append(found, u)
				}
				if n := len(u.steps); n == 0 || u.steps[n-1] != s {
					u.steps = append(u.steps, s)
				}
			}
		})
	}
	var out []*use
	if p.Machine != nil {
		for _, t := range p.Machine.Things() {
			u := byID[t.Row.ID]
			if u == nil && either[t.Row.ID] {
				u = &use{id: t.Row.ID}
			}
			if u == nil || u.row != nil {
				continue
			}
			u.register, u.row = t.Register()
			if u.name = t.Row.Name; u.name == "" {
				u.name = u.id
			}
			if len(u.steps) > 0 || !laidOut(u.register) {
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

func rows(before, after *procedure.Procedure) []Row {
	either := map[string]bool{}
	for _, s := range append(slices.Clone(before.Steps), after.Steps...) {
		s.EachThing(func(refs ...procedure.Ref) {
			for _, r := range refs {
				either[r.ID] = true
			}
		})
	}
	was, is := uses(before, either), uses(after, either)
	var out []Row
	for _, u := range is {
		row := Row{Kind: Added, Register: u.register, ID: u.id, Name: u.name}
		if laidOut(u.register) {
			row.Steps = u.steps
		}
		if i := slices.IndexFunc(was, func(w *use) bool { return w.id == u.id && w.register == u.register }); i >= 0 {
			row.Kind = Changed
			row.Changes = rowChanges(before, after, was[i], u)
			was = slices.Delete(was, i, i+1)
			if len(row.Changes) == 0 {
				continue
			}
		} else if u.row == nil && !laidOut(u.register) {
			continue
		}
		row.Torque = u.register == procedure.FastenerRegister &&
			slices.ContainsFunc(row.Changes, func(c Change) bool { return slices.Contains(tightening, c.What) })
		out = append(out, row)
	}
	for _, u := range was {
		row := Row{Kind: Removed, Register: u.register, ID: u.id, Name: u.name}
		if laidOut(u.register) {
			row.Steps = u.steps
		}
		out = append(out, row)
	}
	return out
}

func rowChanges(before, after *procedure.Procedure, was, is *use) []Change {
	var c changes
	if was.row != nil && is.row != nil {
		c.fields(namesOf(before), namesOf(after), was.row, is.row)
	}
	return c
}
