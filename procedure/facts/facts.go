// Package facts holds what is worked out from a procedure for its checks, pages,
// sheets and plans: how the machine goes through its states, why the steps come in
// their order, the network, the lifts, the supplies. Each is worked out once, when it is
// first asked for.
//
// The facts of one procedure need no other procedure, and are let go when its pages
// are written. They are for one goroutine at a time; procedures can go side by side.
package facts

import (
	"matchmark/procedure"
	"matchmark/procedure/lifts"
	"matchmark/procedure/order"
	"matchmark/procedure/refit"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
	"matchmark/procedure/supplies"
	"matchmark/procedure/wording"
)

// Procedure is a procedure with the facts of its jobs.
type Procedure struct {
	*procedure.Procedure
	Jobs    []*Job
	back    *Procedure
	ways    []*state.Trace // the ways back of the jobs that have been derived
	words   wording.Vocabulary
	reading *wording.Counts
}

// Job is a job with what is worked out from it. A job without a machine has only its clock.
type Job struct {
	*procedure.Job
	// forth is the job that this one brings back; nil when it is no way back.
	forth *Job

	trace    *state.Trace
	order    *order.Precedence
	network  *schedule.Network
	clock    *schedule.Timetable
	lifts    *[]lifts.Lift
	supplies *supplies.List
	torques  *[]refit.Torque
}

// Of returns the facts of a procedure as it is now: later changes to its steps are not in them.
func Of(p *procedure.Procedure) *Procedure {
	if p.Forth != nil {
		return back(p, Of(p.Forth))
	}
	return of(p)
}

// OfJob returns the facts of one job.
func OfJob(j *procedure.Job) *Job {
	f := &Job{Job: j}
	if forth := j.Forth(); forth != nil {
		f.forth = &Job{Job: forth}
	}
	return f
}

func of(p *procedure.Procedure) *Procedure {
	f := &Procedure{Procedure: p}
	for _, j := range p.Jobs() {
		f.Jobs = append(f.Jobs, &Job{Job: j})
	}
	return f
}

// back returns the facts of a way back, which carries on where the procedure that it brings back ends.
func back(p *procedure.Procedure, forth *Procedure) *Procedure {
	f := of(p)
	for _, j := range f.Jobs {
		for _, out := range forth.Jobs {
			if out.Variant == j.Variant {
				j.forth = out
			}
		}
	}
	return f
}

// Back returns the facts of the way back that the procedure has; nil when it has none.
func (f *Procedure) Back() *Procedure {
	if f.back == nil && f.Procedure.Back != nil {
		f.back = back(f.Procedure.Back, f)
	}
	return f.back
}

// Way returns the way back that is derived from the i-th job. What the first call
// for a job gives as additions and words stays.
func (f *Procedure) Way(i int, add refit.Additions, words refit.Words) *state.Trace {
	if f.ways == nil {
		f.ways = make([]*state.Trace, len(f.Jobs))
	}
	return once(&f.ways[i], func() *state.Trace { return refit.Run(f.Jobs[i].Trace(), add, words) })
}

// Derive returns the refitting of the procedure, as refit.Derive does, from the ways
// back of its jobs, which it uses up.
func (f *Procedure) Derive(add refit.Additions, words refit.Words) *procedure.Procedure {
	if f.Machine != nil {
		for i := range f.Jobs {
			f.Way(i, add, words)
		}
	}
	ways := f.ways
	f.ways = nil
	return refit.Join(f.Procedure, ways, words)
}

// Reading counts the running text of the procedure, which must be English.
func (f *Procedure) Reading() wording.Counts {
	return *once(&f.reading, func() *wording.Counts {
		counts := f.words.CountProcedure(f.Procedure)
		return &counts
	})
}

// Review gives the advice on the words of the procedure's steps, and counts them for Reading on the way.
func (f *Procedure) Review(language string, found func(in procedure.Paragraph, a wording.Advice)) {
	counts := f.words.Review(f.Procedure, language, found)
	f.reading = &counts
}

// Job returns the facts of one of the procedure's jobs, found by its variant.
func (f *Procedure) Job(v *procedure.Variant) *Job {
	for _, j := range f.Jobs {
		if j.Variant == v {
			return j
		}
	}
	return nil
}

// Traces are those of all jobs, in their order.
func (f *Procedure) Traces() []*state.Trace {
	var out []*state.Trace
	for _, j := range f.Jobs {
		out = append(out, j.Trace())
	}
	return out
}

// Trace is the job's way through the machine's states; that of a way back begins where the job that it brings back ends.
func (j *Job) Trace() *state.Trace {
	return once(&j.trace, func() *state.Trace {
		if j.forth != nil {
			return j.forth.Trace().Then(j.Job)
		}
		return state.Run(j.Job)
	})
}

// Out is the trace of the job that a way back brings back; nil for a job that is no way back.
func (j *Job) Out() *state.Trace {
	if j.forth == nil {
		return nil
	}
	return j.forth.Trace()
}

// Order is which steps must come before which.
func (j *Job) Order() *order.Precedence {
	return once(&j.order, func() *order.Precedence { return order.Of(j.Trace()) })
}

// Network is what is scheduled: the steps in their order, with the things of which there is only one.
func (j *Job) Network() *schedule.Network {
	return once(&j.network, func() *schedule.Network { return schedule.Ordered(j.Job, j.Order()) })
}

// Clock is the cumulative clock.
func (j *Job) Clock() schedule.Timetable {
	return *once(&j.clock, func() *schedule.Timetable {
		clock := schedule.Clock(j.Job)
		return &clock
	})
}

// Lifts are the job's lifts, held against what people and gear can carry.
func (j *Job) Lifts() []lifts.Lift {
	return *once(&j.lifts, func() *[]lifts.Lift {
		found := lifts.In(j.Out(), j.Trace())
		return &found
	})
}

// Supplies are what must lie ready.
func (j *Job) Supplies() supplies.List {
	return *once(&j.supplies, func() *supplies.List {
		list := supplies.For(j.Job)
		return &list
	})
}

// Torques are the rows of the torque sheet.
func (j *Job) Torques() []refit.Torque {
	return *once(&j.torques, func() *[]refit.Torque {
		rows := refit.TorqueSheet(j.Job)
		return &rows
	})
}

// once works a thing out when it is not there yet.
func once[T any](at **T, work func() *T) *T {
	if *at == nil {
		*at = work()
	}
	return *at
}
