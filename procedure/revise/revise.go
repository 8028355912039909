package revise

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/learning"
	"matchmark/procedure/schedule"
)

// Report is what records say about the estimates of some procedures.
type Report struct {
	// Revisions has one entry for each step with records, in the order of the
	// procedures and their steps. A step that several procedures take in from one
	// file is there once.
	Revisions []Revision
	// Unplaced are the records that belong to no step.
	Unplaced []LeftOut
}

// Revision is one step's estimate, old and new.
type Revision struct {
	Step *procedure.Step
	// Procedures have the step.
	Procedures []*procedure.Procedure
	// Old is the author's estimate, New the revised one, in minutes, with the digits that it deserves.
	Old, New procedure.Estimate
	// Records is how many there are, Used how many count.
	Records, Used int
	LeftOut       []LeftOut
	// Median is that of the records that count; 0 when none does.
	Median float64
	// Weight is the records' part in the new most likely time; the author's is the rest.
	Weight float64
	// Changed is true when New differs from Old in more than its rounding.
	Changed bool
	// Value is what the time attribute says for New, such as "4/6.5/10".
	Value string
	// Writable is true when the step has a time attribute that can be changed.
	Writable bool
}

// Why says why a record does not count. Pages have words for each.
type Why string

// The reasons why a record does not count.
const (
	Interrupted      Why = "interrupted"       // the record says so
	TooLong          Why = "too-long"          // an outlier: most likely a break
	TooShort         Why = "too-short"         // an outlier: most likely a slip
	UnknownStep      Why = "unknown-step"      // no procedure has the step
	DerivedStep      Why = "derived-step"      // the way back derives it; it takes the time of what it turns round
	UnknownProcedure Why = "unknown-procedure" // there is no such procedure
	UnknownVariant   Why = "unknown-variant"   // the machine has no such variant
	OtherVariant     Why = "other-variant"     // the step is not done on this variant
	AmbiguousStep    Why = "ambiguous-step"    // several procedures have a step of this name
)

// LeftOut is a record that does not count.
type LeftOut struct {
	Record Record
	Why    Why
	// Limit is the time in minutes that an outlier passes.
	Limit float64
	// Suggest is the name that may have been meant; empty for none.
	Suggest string
}

// Practice is how repetitions are allowed for: a recorded time of a stated
// repetition is turned into one of the repetition that the estimates stand for. The
// zero Practice changes nothing.
type Practice struct {
	Curve learning.Curve
	// Stated is the repetition that the estimates stand for.
	Stated int
}

// entry is one step, as far as it is revised, and its records.
type entry struct {
	revision Revision
	records  []Record
}

// Times revises the estimates of procedures by records, and those of the steps that are
// written for their ways back. Ways back among the procedures stand with those that they
// turn round. The same records in another order give the same estimates.
func Times(procedures []*procedure.Procedure, records []Record, practice Practice) Report {
	b := newBook(procedures)
	var out Report
	for _, r := range records {
		if e, why, suggest := b.find(r); e != nil {
			e.records = append(e.records, r)
		} else {
			out.Unplaced = append(out.Unplaced, LeftOut{Record: r, Why: why, Suggest: suggest})
		}
	}
	for _, e := range b.entries {
		if len(e.records) > 0 {
			out.Revisions = append(out.Revisions, e.revise(practice))
		}
	}
	return out
}

// revise works out one step's new estimate.
func (e *entry) revise(practice Practice) Revision {
	out := e.revision
	out.Records = len(e.records)
	factor := func(r Record) float64 {
		if r.Repetition == 0 {
			return 1
		}
		return practice.Curve.Factor(practice.Stated, r.Repetition)
	}
	var times []float64
	for _, r := range e.records {
		if !r.Interrupted {
			times = append(times, r.Minutes/factor(r))
		}
	}
	var used []float64
	low, high := limits(times, out.Old)
	for _, r := range e.records {
		f := factor(r)
		switch t := r.Minutes / f; {
		case r.Interrupted:
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: Interrupted})
		case t > high:
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: TooLong, Limit: high * f})
		case t < low:
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: TooShort, Limit: low * f})
		default:
			used = append(used, t)
		}
	}
	out.Used, out.New = len(used), out.Old
	if len(used) > 0 {
		slices.Sort(used)
		out.Median = median(used)
		out.Weight = 1
		if out.Old.Likely > 0 {
			out.Weight = float64(len(used)) / float64(AuthorWeight+len(used))
		}
		if next := rounded(revised(out.Old, used)); next != rounded(out.Old) {
			out.New, out.Changed = next, true
		}
	}
	out.Value = schedule.Format(out.New)
	out.Writable = out.Old.Span.Valid()
	return out
}
