package revise

import (
	"maps"
	"math"
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
	// Pace is how much the teams of the records have a pace of their own.
	Pace Pace
	// Learning is how fast they got faster.
	Learning learning.Fitted
	// Memory is what is to be remembered once the times are written.
	Memory Memory
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
	// Before is how many of the records had counted in an earlier run; they count once.
	Before int
	// Rework is which part of the work was done twice, and Extra the minutes that this took on top.
	Rework, Extra float64
	// Mean is that of the records that count, Low and High its 95 % interval; Low is 0 for too few records.
	Mean, Low, High float64
	LeftOut         []LeftOut
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
	DerivedStep      Why = "derived-step"      // the refitting derives it; it takes the time of what it turns round
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
	// author is the estimate that the records are weighed against, settled the names of records that it knows.
	author  procedure.Estimate
	settled []string
}

// Times revises the estimates of procedures by records, and those of the steps that are
// written for their refittings. Refittings among the procedures stand with those that they
// turn round. What earlier runs have counted is in the memory, and counts once. The same records in another order give the same estimates.
func Times(procedures []*procedure.Procedure, records []Record, practice Practice, before Memory) Report {
	b := newBook(procedures)
	out := Report{Memory: Memory{Steps: slices.Clone(before.Steps)}}
	for _, r := range records {
		if e, why, suggest := b.find(r); e != nil {
			e.records = append(e.records, r)
		} else {
			out.Unplaced = append(out.Unplaced, LeftOut{Record: r, Why: why, Suggest: suggest})
		}
	}
	var revised []*entry
	for _, e := range b.entries {
		if len(e.records) > 0 {
			e.recall(before)
			revised = append(revised, e)
		}
	}
	out.Pace, out.Learning = paces(revised, practice), practised(revised)
	for _, e := range revised {
		v := e.revise(practice, out.Pace.Correlation)
		out.Revisions = append(out.Revisions, v)
		kept := e.remember(v)
		if i := slices.IndexFunc(out.Memory.Steps, func(m memory) bool { return m.Procedure == kept.Procedure && m.Step == kept.Step }); i >= 0 {
			out.Memory.Steps[i] = kept
		} else {
			out.Memory.Steps = append(out.Memory.Steps, kept)
		}
	}
	return out
}

// factor is by how much a record's repetition shortens its time.
func (p Practice) factor(r Record) float64 {
	if r.Repetition == 0 {
		return 1
	}
	return p.Curve.Factor(p.Stated, r.Repetition)
}

// paces finds the common pace in the times of teams, each against what all teams take for the step.
func paces(entries []*entry, practice Practice) Pace {
	teams := map[string][]float64{}
	for _, e := range entries {
		var logs []float64
		var who []string
		low, high := limits(e.uninterrupted(practice), e.author)
		for _, r := range e.records {
			if t := r.Minutes / practice.factor(r); r.Team != "" && !r.Interrupted && t >= low && t <= high {
				logs, who = append(logs, math.Log(t)), append(who, r.Team)
			}
		}
		if len(logs) < 2 {
			continue
		}
		usual := mean(logs)
		for i, x := range logs {
			teams[who[i]] = append(teams[who[i]], x-usual)
		}
	}
	var all [][]float64
	for _, name := range slices.Sorted(maps.Keys(teams)) {
		all = append(all, teams[name])
	}
	return paceOf(all)
}

// practised fits a learning curve to the repetitions of each team at each step.
func practised(entries []*entry) learning.Fitted {
	var groups [][]learning.Timed
	for _, e := range entries {
		own := map[string][]learning.Timed{}
		for _, r := range e.records {
			if r.Repetition > 0 && !r.Interrupted {
				own[r.Team] = append(own[r.Team], learning.Timed{Repetition: r.Repetition, Minutes: r.Minutes})
			}
		}
		for _, team := range slices.Sorted(maps.Keys(own)) {
			groups = append(groups, own[team])
		}
	}
	return learning.Fit(groups)
}

// uninterrupted are the times that may count, as those of the repetition that the estimates stand for.
func (e *entry) uninterrupted(practice Practice) []float64 {
	var times []float64
	for _, r := range e.records {
		if !r.Interrupted {
			times = append(times, r.Minutes/practice.factor(r))
		}
	}
	return times
}

// revise works out one step's new estimate.
func (e *entry) revise(practice Practice, correlation float64) Revision {
	out := e.revision
	out.Records = len(e.records)
	times := e.uninterrupted(practice)
	low, high := limits(times, e.author)
	twice := func(float64) bool { return false }
	if len(times) >= fewRecords {
		usual := median(times)
		twice = func(t float64) bool { return t > leastTwice*usual && t < mostTwice*usual }
	}
	var counted []timed
	for _, r := range e.records {
		f := practice.factor(r)
		switch t := r.Minutes / f; {
		case r.Interrupted:
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: Interrupted})
		case t > high && !twice(t):
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: TooLong, Limit: high * f})
		case t < low:
			out.LeftOut = append(out.LeftOut, LeftOut{Record: r, Why: TooShort, Limit: low * f})
		default:
			counted = append(counted, timed{t, r.Team, t > high})
		}
	}
	s := sampleOf(counted, correlation)
	out.Used, out.New = len(s.times)+len(s.rework), out.Old
	if len(s.times) > 0 {
		out.Median = s.middle()
		out.Rework, out.Extra = s.reworkShare(0), s.reworkExtra()
		out.Mean, out.Low, out.High = s.interval()
		out.Weight = 1
		if e.author.Likely > 0 {
			out.Weight = s.size() / (AuthorWeight + s.size())
		}
		if next := rounded(revised(e.author, s)); next != rounded(out.Old) {
			next.Span = out.Old.Span
			out.New, out.Changed = next, true
		}
	}
	out.Value = schedule.Format(out.New)
	out.Writable = out.Old.Span.Valid()
	return out
}
