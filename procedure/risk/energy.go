package risk

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/state"
)

// Source is a source of energy of the machine, and how a job keeps it away.
type Source struct {
	*procedure.EnergySource
	// Kept are the conditions that keep it away, and those by which that is proved, each once.
	Kept []Kept
}

// Kept is one condition in a job. The numbers are those of steps, in order.
type Kept struct {
	*procedure.Condition
	// AtStart is true when it holds as the job begins.
	AtStart bool
	// Made, Proved and Ended are the steps in which it is made to hold, is proved, and ends; empty for none.
	Made, Proved, Ended []int
	// Again are the steps before which it is proved anew when work has stopped: behind a safe stop, after a night.
	Again []int
	// Locks is how many locks hang there, as far as acts say so; 0 when they do not.
	Locks int
}

// Open reports whether nothing in the job keeps the source away.
func (s *Source) Open() bool {
	return !slices.ContainsFunc(s.Kept, func(k Kept) bool { return k.AtStart || len(k.Made) > 0 })
}

// Sources lists the sources of energy of a job's machine, in the order of their register.
func Sources(job *analysis.Job) []Source {
	if job.Machine == nil {
		return nil
	}
	trace := job.Trace()
	var out []Source
	for _, x := range job.Machine.Energies {
		if !procedure.AppliesTo(x.Variants, job.Variant) {
			continue
		}
		s := Source{EnergySource: x}
		for _, r := range slices.Concat(x.Isolated, x.Proved) {
			c := trace.Assembly.Condition(r.ID)
			if c != nil && !slices.ContainsFunc(s.Kept, func(k Kept) bool { return k.Condition == c.Condition }) {
				s.Kept = append(s.Kept, kept(job, c))
			}
		}
		out = append(out, s)
	}
	return out
}

// Unnamed lists the conditions of a job that keep energy away without a register that says which.
func Unnamed(job *analysis.Job) []Kept {
	if job.Machine == nil {
		return nil
	}
	var out []Kept
	for _, c := range job.Trace().Assembly.Conditions {
		named := func(x *procedure.EnergySource) bool {
			return slices.ContainsFunc(slices.Concat(x.Isolated, x.Proved), func(r procedure.Ref) bool { return r.ID == c.ID })
		}
		if c.Condition.Energy && !slices.ContainsFunc(job.Machine.Energies, named) {
			out = append(out, kept(job, c))
		}
	}
	return out
}

func kept(job *analysis.Job, c *state.Condition) Kept {
	trace := job.Trace()
	k := Kept{Condition: c.Condition, AtStart: trace.Start.Condition(c).Holds()}
	note := func(to *[]int, s *procedure.Step) {
		if !slices.Contains(*to, s.Number) {
			*to = append(*to, s.Number)
		}
	}
	for i := range trace.Events {
		e := &trace.Events[i]
		was, is := e.Before.Condition(c).Holds(), e.After.Condition(c).Holds()
		switch {
		case !was && is:
			note(&k.Made, e.Step)
		case was && !is:
			note(&k.Ended, e.Step)
			k.Locks = max(k.Locks, state.LocksOn(job.Out(), trace, c, i).N)
		}
		if e.Proves(c) {
			note(&k.Proved, e.Step)
		}
	}
	k.Locks = max(k.Locks, state.LocksOn(job.Out(), trace, c, len(trace.Events)).N)
	for i, s := range job.Steps[:max(len(job.Steps)-1, 0)] {
		if !state.SafeStop(s) {
			continue
		}
		proofs := state.ProofsAfterStop(job.Out(), trace, i+1)
		if slices.ContainsFunc(proofs, func(p state.Proof) bool { return slices.Contains(p.Of, c) }) {
			note(&k.Again, job.Steps[i+1])
		}
	}
	return k
}
