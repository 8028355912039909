package store

import "matchmark/procedure/record"

// eachName calls f with every place of a record that holds a person's name, and
// with the time at which it was written. Words of findings are not looked through.
func eachName(r *record.Record, f func(name *string, at int64)) {
	f(&r.Machine.By, r.Machine.At)
	update(r.Tablets, func(t *record.Tablet) { f(&t.Learner, t.At); f(&t.By, t.At) })
	update(r.Passed, func(e *record.Entry[bool]) { f(&e.By, e.At) })
	update(r.Ticks, func(e *record.Entry[bool]) { f(&e.By, e.At) })
	update(r.Confirmed, func(c *record.Confirmation) { f(&c.By, c.At) })
	update(r.Measured, func(m *record.Measurement) { f(&m.By, m.At) })
	update(r.Findings, func(x *record.Finding) { f(&x.By, x.At) })
	update(r.Repairs, func(x *record.Repair) { f(&x.By, x.At) })
}

// eachSigned calls f with every text that may be a person's name: a signature that was written on a tablet.
func eachSigned(r *record.Record, f func(name *string, at int64)) {
	update(r.Confirmed, func(c *record.Confirmation) { f(&c.Text, c.At) })
}

// update hands out each entry of a map and puts it back.
func update[T any](entries map[string]T, f func(*T)) {
	for key, e := range entries {
		f(&e)
		entries[key] = e
	}
}

// blank empties the names that gone says are to go.
func blank(r *record.Record, gone func(name string, at int64) bool) {
	empty := func(name *string, at int64) {
		if *name != "" && gone(*name, at) {
			*name = ""
		}
	}
	eachName(r, empty)
	eachSigned(r, empty)
}
