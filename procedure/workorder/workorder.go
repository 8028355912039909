// Package workorder makes the work order of a job record: what was found and what
// must be repaired before what, what to order, how long the steps took, who
// confirmed what, and what was measured.
package workorder

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/record"
)

// Order is a work order.
type Order struct {
	Record    *record.Record
	Procedure *procedure.Procedure
	*record.Placement
	// Findings are those that nobody has taken back: what stops the work first, then
	// by the step of the refitting that waits, the worse one first, and last what is only watched.
	Findings []*Finding
	// Withdrawn is how many findings were taken back.
	Withdrawn int
	// Wants are the things that open findings are about, each once, in the order of the findings.
	Wants []Want
	// Renewals are what goes in new in the refitting, whatever was found.
	Renewals []Renewal
	// Times are the steps that were worked on, the removal first, and Totals the two ways.
	Times  []StepTime
	Totals []Total
	// Holds are the hold points at which something was confirmed, or whose step is passed.
	Holds    []Hold
	Measured []Measured
	// Turns are what decided which way the job went, the way out first.
	Turns []Turn
	// Taken is the refitting without what the record rules out: the way back of what was not taken out. Nil when nothing has to go back.
	Taken *procedure.Job
	// People are the names on the tablets, each once.
	People []string
	// Begun is the earliest moment in the record and Ended the latest, in milliseconds since 1970; 0 for none.
	Begun, Ended int64
}

// New makes the work order of a record by the procedure that it is of, with its
// refitting behind it. others are further names of the same job, for records of
// tablets that began apart. It returns nil when the machine no longer has the record's variant.
func New(r *record.Record, p *procedure.Procedure, others ...string) *Order {
	at := record.Place(r, p)
	if at == nil {
		return nil
	}
	o := &Order{Record: r, Procedure: p, Placement: at}
	o.findings(others)
	o.wants()
	o.take()
	o.renewals()
	o.times()
	o.holds(others)
	o.measured()
	o.turns()
	o.people()
	o.span()
	return o
}

// OpenStops reports whether a finding stops the work.
func (o *Order) OpenStops() bool {
	return slices.ContainsFunc(o.Findings, func(f *Finding) bool { return f.Stops() })
}

// Open counts the findings that are neither repaired nor only watched.
func (o *Order) Open() int {
	n := 0
	for _, f := range o.Findings {
		if f.Open() {
			n++
		}
	}
	return n
}

func (o *Order) people() {
	var names []string
	for _, t := range o.Record.Tablets {
		names = append(names, strings.TrimSpace(t.Learner))
	}
	slices.Sort(names)
	o.People = slices.DeleteFunc(slices.Compact(names), func(s string) bool { return s == "" })
}

func (o *Order) span() {
	note := func(at int64) {
		if at == 0 {
			return // the stamp of what nobody has changed yet
		}
		if o.Begun == 0 || at < o.Begun {
			o.Begun = at
		}
		o.Ended = max(o.Ended, at)
	}
	for _, s := range o.Record.Work {
		note(s.From)
		note(s.To)
	}
	for _, f := range o.Record.Findings {
		note(f.Found)
		note(f.At)
	}
	for _, c := range o.Record.Confirmed {
		note(c.At)
	}
	for _, s := range o.Record.Signed {
		note(s.At)
	}
	for _, m := range o.Record.Measured {
		note(m.At)
	}
	for _, x := range o.Record.Repairs {
		note(x.At)
	}
}

// numberOf is a step's place in its way; steps that have gone come last.
func numberOf(s *procedure.Step) int {
	if s == nil {
		return 1 << 30
	}
	return s.Number
}

// ordered sorts keys of one map by way, then by the place of what stands there, then by name.
func ordered[T any](m map[string]T, place func(way record.Phase, name string) int) []string {
	keys := slices.Collect(maps.Keys(m))
	slices.SortFunc(keys, func(a, b string) int {
		wayA, nameA, _ := record.SplitKey(a)
		wayB, nameB, _ := record.SplitKey(b)
		return cmp.Or(cmp.Compare(slices.Index(record.Phases, wayA), slices.Index(record.Phases, wayB)), cmp.Compare(place(wayA, nameA), place(wayB, nameB)), cmp.Compare(nameA, nameB))
	})
	return keys
}
