package store

import (
	"encoding/json"
	"maps"
	"slices"

	"matchmark/procedure/record"
)

// entry is one thing that was written down.
type entry struct {
	part, key, tablet, person string
	claimed, stood            int64
	body                      any
}

func insertEntry(exec func(string, ...any) error, job string, e entry, at int64) error {
	body, err := json.Marshal(e.body)
	if err != nil {
		return err
	}
	return exec("INSERT INTO entry (job, part, key, tablet, person, claimed, stood, at, body) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		job, e.part, e.key, e.tablet, e.person, e.claimed, e.stood, at, body)
}

// The parts of a record of which every state is kept, by the names that the file has for them.
const (
	machinePart   = "machine"
	passedPart    = "passed"
	ticksPart     = "ticks"
	confirmedPart = "confirmed"
	measuredPart  = "measured"
	findingsPart  = "findings"
	repairsPart   = "repairs"
)

// entriesOf lists all states that a record has.
func entriesOf(r *record.Record) (out []entry) {
	add := func(part, key string, s record.Stamp, body any) {
		out = append(out, entry{part, key, s.Tablet, s.By, s.At, s.At, body})
	}
	add(machinePart, "", r.Machine.Stamp, r.Machine)
	addAll(r.Passed, passedPart, add)
	addAll(r.Ticks, ticksPart, add)
	addAll(r.Confirmed, confirmedPart, add)
	addAll(r.Measured, measuredPart, add)
	addAll(r.Findings, findingsPart, add)
	addAll(r.Repairs, repairsPart, add)
	return out
}

func addAll[T any, P stamped[T]](entries map[string]T, part string, add func(string, string, record.Stamp, any)) {
	for _, key := range slices.Sorted(maps.Keys(entries)) {
		e := entries[key]
		add(part, key, *P(&e).Stamped(), e)
	}
}

// stamped is an entry that says when and where it was written down.
type stamped[T any] interface {
	*T
	Stamped() *record.Stamp
}
