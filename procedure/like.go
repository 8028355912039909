package procedure

import (
	"slices"
	"strings"

	"matchmark/procedure/text"
)

// A machine may be made from another one: it has that one's rows and figures, but for those that it has itself by
// the same name and those that it says to be without.

// TakeOver gives a machine the rows and figures of the one that it is like. A row of its own takes the place of
// the other machine's row of that name. What a row or a figure that is taken over says of a thing that the machine is
// without is left out of it.
func (m *Machine) TakeOver(base *Machine) {
	without := map[string]bool{}
	for _, ref := range m.Without {
		without[ref.ID] = true
	}
	m.Like = base
	m.Variants = mergeRows(m.Variants, base.Variants, without, func(x *Variant) *Row { return &x.Row })
	m.Parts = mergeRows(m.Parts, base.Parts, without, func(x *Part) *Row { return &x.Row })
	m.Fasteners = mergeRows(m.Fasteners, base.Fasteners, without, func(x *Fastener) *Row { return &x.Row })
	m.Connections = mergeRows(m.Connections, base.Connections, without, func(x *Connection) *Row { return &x.Row })
	m.Fluids = mergeRows(m.Fluids, base.Fluids, without, func(x *Fluid) *Row { return &x.Row })
	m.Supports = mergeRows(m.Supports, base.Supports, without, func(x *Support) *Row { return &x.Row })
	m.Conditions = mergeRows(m.Conditions, base.Conditions, without, func(x *Condition) *Row { return &x.Row })
	m.Energies = mergeRows(m.Energies, base.Energies, without, func(x *EnergySource) *Row { return &x.Row })
	if m.NoEnergy == "" && len(m.Energies) == 0 {
		m.NoEnergy = base.NoEnergy
	}
	m.Tools = mergeRows(m.Tools, base.Tools, without, func(x *Tool) *Row { return &x.Row })
	figures := m.Figures
	m.Figures = nil
	for _, f := range base.Figures {
		if !slices.ContainsFunc(figures, func(own *Figure) bool { return own.ID == f.ID }) {
			taken := *f
			taken.Balloons = slices.DeleteFunc(slices.Clone(f.Balloons), func(b Balloon) bool { return without[b.Ref.ID] })
			m.Figures = append(m.Figures, &taken)
		}
	}
	m.Figures = append(m.Figures, figures...)
	for kind, title := range base.RegisterTitles {
		if m.RegisterTitles[kind] == "" {
			m.RegisterTitles[kind] = title
		}
	}
	if m.About.Empty() {
		m.About = base.About
	}
	m.Sources = append(append(m.Sources, base.File), base.Sources...)
	m.Index()
}

// mergeRows puts a machine's own rows in the place of the other's of the same name, and the others behind them.
func mergeRows[T any](own, base []*T, without map[string]bool, row func(*T) *Row) (out []*T) {
	placed := map[string]bool{}
	for _, b := range base {
		id := row(b).ID
		at := slices.IndexFunc(own, func(o *T) bool { return row(o).ID == id })
		switch {
		case at >= 0:
			out = append(out, own[at])
			placed[id] = true
		case !without[id]:
			out = append(out, withoutNames(b, without))
		}
	}
	for _, o := range own {
		if !placed[row(o).ID] {
			out = append(out, o)
		}
	}
	return out
}

// withoutNames is a row without some names in its fields; the row itself when it has none of them.
func withoutNames[T any](x *T, without map[string]bool) *T {
	named := false
	EachField(x, func(_ *Field, value any) {
		switch v := value.(type) {
		case *Ref:
			named = named || without[v.ID]
		case *[]Ref:
			named = named || slices.ContainsFunc(*v, func(r Ref) bool { return without[r.ID] })
		}
	})
	if !named {
		return x
	}
	out := *x
	EachField(&out, func(_ *Field, value any) {
		switch v := value.(type) {
		case *Ref:
			if without[v.ID] {
				*v = Ref{}
			}
		case *[]Ref:
			*v = slices.DeleteFunc(slices.Clone(*v), func(r Ref) bool { return without[r.ID] })
		}
	})
	return &out
}

// Taken reports whether a row or a figure at that place is the other machine's.
func (m *Machine) Taken(at text.Span) bool {
	return m.Like != nil && (at.File == m.Like.File || slices.Contains(m.Like.Sources, at.File))
}

// Again is something that was taken over and must be looked at, because of what differs.
type Again struct {
	// ID is the row's name, or the figure's with Figure set.
	ID, Name string
	Figure   bool
	// Because are the names of what differs, in the order in which the row or the figure has them.
	Because []string
}

// Difference is what tells a machine from the one that it is like.
type Difference struct {
	// Changed are the rows that take the place of the other machine's, Added those that it lacks, both by name in the
	// order of the registers; Without are the names of those left out.
	Changed, Added, Without []string
	// Again is what was taken over and names one of these.
	Again []Again
}

// Differs says what differs from the machine that this one is like, and what must be looked at again because of it.
func (m *Machine) Differs() (d Difference) {
	if m.Like == nil {
		return d
	}
	differs := map[string]bool{}
	for _, t := range m.Things() {
		switch other := m.Like.Thing(t.Row.ID); {
		case m.Taken(t.Row.Span):
			continue
		case other == nil:
			d.Added = append(d.Added, t.Row.ID)
			continue // nothing that was taken over can name it
		case sameRow(other, &t):
			continue
		}
		d.Changed = append(d.Changed, t.Row.ID)
		differs[t.Row.ID] = true
	}
	for _, ref := range m.Without {
		d.Without = append(d.Without, ref.ID)
		differs[ref.ID] = true
	}
	for _, t := range m.Like.Things() {
		if now := m.Thing(t.Row.ID); now == nil || !m.Taken(now.Row.Span) {
			continue
		}
		var because []string
		_, row := t.Register()
		EachThing(row, func(refs ...Ref) { because = append(because, among(differs, refs)...) })
		if len(because) > 0 {
			d.Again = append(d.Again, Again{ID: t.Row.ID, Name: t.Row.Name, Because: once(because)})
		}
	}
	for _, f := range m.Like.Figures {
		if now := m.Figure(f.ID); now == nil || !m.Taken(now.Span) {
			continue
		}
		var because []string
		for _, b := range f.Balloons {
			because = append(because, among(differs, []Ref{b.Ref})...)
		}
		if len(because) > 0 {
			d.Again = append(d.Again, Again{ID: f.ID, Name: f.Title, Figure: true, Because: once(because)})
		}
	}
	return d
}

func sameRow(a, b *Thing) bool {
	kindA, rowA := a.Register()
	kindB, rowB := b.Register()
	return kindA == kindB && Fingerprint(rowA) == Fingerprint(rowB)
}

func among(names map[string]bool, refs []Ref) (out []string) {
	for _, r := range refs {
		if names[r.ID] {
			out = append(out, r.ID)
		}
	}
	return out
}

// once leaves each name once, where it stands first.
func once(names []string) (out []string) {
	for _, n := range names {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// String lists the names that something must be looked at for.
func (a Again) String() string { return strings.Join(a.Because, ", ") }
