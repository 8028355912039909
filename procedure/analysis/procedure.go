// Package analysis holds what is worked out from a procedure for its checks, pages,
// sheets and plans: how the machine goes through its states, why the steps come in
// their order, the network, the lifts, the supplies. Each is worked out once, when it is
// first asked for.
//
// The facts of one procedure need no other procedure, and are let go when its pages
// are written. They are for one goroutine at a time; procedures can go side by side.
package analysis

import (
	"slices"

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
	Jobs      []*Job
	refitting *Procedure
	words     wording.Vocabulary
	reading   *wording.Counts
	derives   func() *Procedure // the refitting, where it is known with what it will be derived
}

// Job is a job with what is worked out from it. A job without a machine has only its clock.
type Job struct {
	*procedure.Job
	// removal is the job that this one brings back; nil when it is no refitting.
	removal *Job

	trace    *state.Trace
	order    *order.Precedence
	network  *schedule.Network
	clock    *schedule.Timetable
	lifts    *[]lifts.Lift
	supplies *supplies.List
	torques  *[]refit.Torque
	ways     *[]*Job
}

// New returns the facts of a procedure as it is now: later changes to its steps are not in them.
func New(p *procedure.Procedure) *Procedure {
	if p.Removal != nil {
		return back(p, New(p.Removal))
	}
	return of(p)
}

// NewJob returns the facts of one job.
func NewJob(j *procedure.Job) *Job {
	f := &Job{Job: j}
	if removal := j.Removal(); removal != nil {
		if len(j.Answers) > 0 {
			removal = removal.On(j.Answers) // a way back of one way
		}
		f.removal = &Job{Job: removal}
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

// back returns the facts of a refitting, which carries on where the procedure that it brings back ends.
func back(p *procedure.Procedure, removal *Procedure) *Procedure {
	f := of(p)
	for _, j := range f.Jobs {
		for _, out := range removal.Jobs {
			if out.Variant == j.Variant {
				j.removal = out
			}
		}
	}
	return f
}

// Refitting returns the facts of the refitting that the procedure has; nil when it has none.
func (f *Procedure) Refitting() *Procedure {
	if f.Procedure.Refitting == nil {
		return nil
	}
	if f.refitting == nil || f.refitting.Procedure != f.Procedure.Refitting {
		f.refitting = back(f.Procedure.Refitting, f)
	}
	return f.refitting
}

// Derive returns the facts of the refitting that is derived from the procedure, as refit.Derive does:
// its jobs are those of the procedure, in the same order. Rules judge these jobs and pages
// show them. What the first call gives as additions and words stays.
func (f *Procedure) Derive(add refit.Additions, words refit.Words) *Procedure {
	return once(&f.refitting, func() *Procedure { return back(f.derive(add, words), f) })
}

// Told returns the steps that authors wrote, those of the refitting with what they leave to derived ones.
func (f *Procedure) Told() []*procedure.Step {
	p := f.Procedure
	if p.RefitFile == nil || p.Machine == nil || len(p.RefitFile.Steps) == 0 {
		return p.WrittenSteps()
	}
	if f.derives == nil {
		return refit.Told(p, f.derive(refit.AdditionsOf(p), func(key string, _ ...any) string { return key }))
	}
	return refit.Told(p, f.derives().Procedure)
}

// Deriving is New for a procedure whose refitting will be derived with these additions and words: it is derived once.
func Deriving(p *procedure.Procedure, add refit.Additions, words refit.Words) *Procedure {
	f := New(p)
	f.derives = func() *Procedure { return f.Derive(add, words) }
	return f
}

// derive derives the refitting from the traces of the procedure's jobs, which are run once.
func (f *Procedure) derive(add refit.Additions, words refit.Words) *procedure.Procedure {
	var jobs []*procedure.Job
	if f.Machine != nil {
		for _, j := range f.Jobs {
			var ways []*state.Trace
			for _, way := range j.Ways() {
				ways = append(ways, refit.Run(way.Trace(), add, words))
			}
			jobs = append(jobs, refit.Joined(ways))
		}
	}
	return refit.Join(f.Procedure, jobs, words)
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

// Ways are the ways through the job that what is found can lead: the job alone when nothing decides on what is done to the machine. That of a
// way back has each way of the job that it brings back, and for each what is found on the way back itself.
func (j *Job) Ways() []*Job {
	return *once(&j.ways, func() *[]*Job {
		var out []*Job
		if j.removal == nil {
			for _, way := range j.Job.Ways() {
				out = append(out, &Job{Job: way})
			}
		} else {
			for _, removal := range j.removal.Ways() {
				for _, way := range j.Job.On(removal.Answers).Ways() {
					out = append(out, &Job{Job: way, removal: removal})
				}
			}
		}
		if len(out) == 1 {
			out[0] = j
		}
		return &out
	})
}

// Trace is the job's way through the machine's states; that of a way back begins where the job that it brings back ends. Of
// several ways it is the one on which all that can be found was found.
func (j *Job) Trace() *state.Trace {
	return once(&j.trace, func() *state.Trace {
		if ways := j.Ways(); ways[0] != j {
			return ways[0].Trace()
		}
		if j.removal != nil {
			return j.removal.Trace().Then(j.Job)
		}
		return state.Run(j.Job)
	})
}

// Out is the trace of the job that a refitting brings back; nil for a job that is no refitting.
func (j *Job) Out() *state.Trace {
	if j.removal == nil {
		return nil
	}
	return j.removal.Trace()
}

// Order is which steps must come before which.
func (j *Job) Order() *order.Precedence {
	return once(&j.order, func() *order.Precedence {
		var ways []*order.Precedence
		for _, way := range j.Ways() {
			ways = append(ways, order.NewPrecedence(way.Trace()))
		}
		return order.Union(ways)
	})
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
		var found []lifts.Lift
		for _, way := range j.Ways() {
			for _, l := range lifts.In(way.Out(), way.Trace()) {
				if !slices.ContainsFunc(found, func(x lifts.Lift) bool { return x.Action == l.Action }) {
					found = append(found, l)
				}
			}
		}
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
