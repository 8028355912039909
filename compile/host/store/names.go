package store

import "matchmark/procedure/record"

// eachName calls f with every place of a record that holds a person. Words of findings are not looked through.
func eachName(r *record.Record, f func(name *string)) {
	f(&r.Machine.By)
	update(r.Tablets, func(t *record.Tablet) { f(&t.Learner); f(&t.By) })
	update(r.Passed, func(e *record.Entry[bool]) { f(&e.By) })
	update(r.Ticks, func(e *record.Entry[bool]) { f(&e.By) })
	update(r.Confirmed, func(c *record.Confirmation) { f(&c.By) })
	update(r.Measured, func(m *record.Measurement) { f(&m.By) })
	update(r.Findings, func(x *record.Finding) { f(&x.By); f(&x.FoundBy) })
	update(r.Repairs, func(x *record.Repair) { f(&x.By) })
}

// update hands out each entry of a map and puts it back.
func update[T any](entries map[string]T, f func(*T)) {
	for key, e := range entries {
		f(&e)
		entries[key] = e
	}
}

// named puts names in the place of pseudonyms: all of them for the trainer, for a tablet that of
// its learner alone. Who signed is named to everybody who sees the job.
func named(r *record.Record, people map[string]Person, only func(id string) bool) {
	eachName(r, func(name *string) {
		if only(*name) {
			*name = people[*name].Name
		} else {
			*name = ""
		}
	})
	update(r.Signed, func(g *record.Signature) {
		if p := people[g.Who]; g.Form >= record.SealedForm {
			g.Name, g.Salt = p.Name, p.Salt
		}
	})
}
