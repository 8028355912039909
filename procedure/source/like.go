package source

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// TakeOver gives a machine what it has of the one that it is like, and reports what stands in the way. Base is nil when
// there is no such machine; ids are those of the whole library.
func TakeOver(m, base *procedure.Machine, ids IDs, log *diagnostic.Log) {
	x := resolver{log: log, ids: ids}
	x.takeOver(m, base, ids["machine"])
}

func (x *resolver) takeOver(m, base *procedure.Machine, ids []string) {
	switch {
	case base == nil:
		d := newDiagnostic("undefined-name", m.LikeRef.Span, say.That("there is no machine %name", say.Quote(m.LikeRef.ID)), say.Text{})
		d.Advice, d.Fixes = diagnostic.Suggest(m.LikeRef.Span, m.LikeRef.ID, ids, say.That("Write the machine, or correct the name."))
		x.log.Add(d)
		return
	case base == m:
		x.log.Add(newDiagnostic("undefined-name", m.LikeRef.Span, say.That("the machine is like itself"), say.That("Name another machine.")))
		return
	case base.LikeRef.ID != "":
		x.log.Add(newDiagnostic("undefined-name", m.LikeRef.Span, say.That("the machine %name is itself made from another one", say.Quote(base.ID)), say.That("Name that one: %other.", say.Name(base.LikeRef.ID))))
		return
	}
	for _, ref := range m.Without {
		if base.Thing(ref.ID) == nil && base.Variant(ref.ID) == nil {
			x.log.Add(newDiagnostic("undefined-name", ref.Span, say.That("the machine %machine has no %name to be without", say.Quote(base.ID), say.Quote(ref.ID)), say.That("Correct the name, or take it out of the list.")))
		} else if own := m.Thing(ref.ID); own != nil {
			d := newDiagnostic("duplicate-name", ref.Span, say.That("the machine is without %name, and has a row of that name", say.Quote(ref.ID)), say.That("Keep one of the two."))
			d.See = []diagnostic.Related{{Span: own.Row.Span, Says: say.That("the row")}}
			x.log.Add(d)
		}
	}
	m.Without = slices.DeleteFunc(m.Without, func(r procedure.Ref) bool { return m.Thing(r.ID) != nil })
	m.TakeOver(base)
}
