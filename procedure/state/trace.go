package state

import (
	"slices"

	"matchmark/procedure"
)

// Event is one action of a job, with the machine before and after it.
type Event struct {
	// Index counts the job's actions from 0.
	Index  int
	Step   *procedure.Step
	Action *procedure.Action

	// At most one of these is set: what the action is done to. None is when the
	// name is unknown or not on the variant.
	Fastener   *Fastener
	Part       *Part
	Connection *Connection
	Fluid      *Fluid
	Condition  *Condition
	// Supports are those that the action names.
	Supports []*Support

	Before, After *State
	// Moved are the parts that change their place with the action, the named one first.
	Moved []*Part
	// Lost are the conditions that end with the action.
	Lost []*Condition
}

// Leaves reports whether the action takes the part off its place.
func (e *Event) Leaves() bool {
	return e.Part != nil && (e.Action.Verb == procedure.Remove || e.Action.Verb == procedure.Lift) &&
		e.Before.Part(e.Part).Is == InPlace
}

// Departs reports whether the action takes the part off: from its place, or on the
// bench from the part that it rode on.
func (e *Event) Departs() bool {
	return e.Leaves() || e.Part != nil && e.Before.offBench(e.Part, e.Action.Verb)
}

// offBench reports whether the verb takes a part off what it rides on, away from its place.
func (s *State) offBench(p *Part, by procedure.Verb) bool {
	at := s.part(p)
	return at.Aboard && (by == procedure.Remove || by == procedure.Lift && at.Is != Lifted)
}

// Changes reports whether the verb can change the machine's state: marks,
// looks, cleaning and keeping do not.
func (e *Event) Changes() bool {
	switch e.Action.Verb {
	case procedure.Mark, procedure.Inspect, procedure.Clean, procedure.Keep, procedure.Verify:
		return false
	}
	return true
}

// Works reports whether the action is work on the machine, which needs energy kept away.
func (e *Event) Works() bool {
	if e.Fastener == nil && e.Part == nil && e.Connection == nil && e.Fluid == nil {
		return false
	}
	switch e.Action.Verb {
	case procedure.Remove, procedure.Loosen, procedure.Fit, procedure.Tighten, procedure.Disconnect, procedure.Connect,
		procedure.Drain, procedure.Fill, procedure.Flush, procedure.Lift:
		return true
	}
	return false
}

// Proves reports whether the action proves the condition, by itself or by another one that proves it.
func (e *Event) Proves(c *Condition) bool {
	return e.Action.Verb == procedure.Verify && e.Condition != nil && (e.Condition == c || slices.Contains(e.Condition.Proves, c))
}

// Hold returns the step's hold point; nil when it has none.
func Hold(s *procedure.Step) *procedure.Hold {
	for _, b := range s.Blocks {
		if h := b.Shows().Hold; h != nil {
			return h
		}
	}
	return nil
}

// SafeStop reports whether work can be interrupted after a step: it says so, or its hold point does.
func SafeStop(s *procedure.Step) bool {
	hold := Hold(s)
	return s.SafeStop || hold != nil && hold.SafeStop
}

// Trace is a job's way through the machine's states.
type Trace struct {
	Job      *procedure.Job
	Assembly *Assembly
	Start    *State
	Events   []Event
	// first holds the index of each step's first event, and the number of events at the end.
	first []int
	// before is the trace that this one carries on from; nil for none.
	before *Trace
}

// Run carries the assembled machine through the job.
func Run(job *procedure.Job) *Trace {
	return From(Assembled(NewAssembly(job.Machine, job.Variant)), job)
}

// RunAfterRemoval carries the assembled machine through the job that a refitting brings back,
// and through the refitting itself; out is nil for a job that is no refitting.
func RunAfterRemoval(job *procedure.Job) (out, t *Trace) {
	removal := job.Removal()
	if removal == nil {
		return nil, Run(job)
	}
	out = Run(removal)
	return out, out.Then(job)
}

// From carries a machine through the job from a given state, which must be of the job's machine and variant.
func From(start *State, job *procedure.Job) *Trace {
	t := &Trace{Job: job, Assembly: start.Assembly, Start: start.asStart()}
	actions := make([][]*procedure.Action, len(job.Steps))
	total := 0
	for i, step := range job.Steps {
		actions[i] = step.Actions()
		total += len(actions[i])
	}
	t.Events = make([]Event, 0, total)
	t.first = make([]int, 0, len(job.Steps)+1)
	for i, step := range job.Steps {
		t.first = append(t.first, len(t.Events))
		for _, a := range actions[i] {
			t.Events = append(t.Events, t.event(step, a))
		}
	}
	t.first = append(t.first, len(t.Events))
	now := t.Start
	after := make([]State, len(t.Events))
	for i := range t.Events {
		e := &t.Events[i]
		after[i] = State{Assembly: t.Assembly, course: t.Start.course, at: int32(i)}
		e.Before, e.After = now, &after[i]
		apply(e)
		now = e.After
	}
	return t
}

// Then carries the machine on from the trace's end through another job, after a stop: days may
// lie between, so nothing is proved any more. What was drained before and its plugs are remembered.
func (t *Trace) Then(job *procedure.Job) *Trace {
	next := From(t.End().Stopped(), job)
	next.before = t
	return next
}

func (t *Trace) event(step *procedure.Step, a *procedure.Action) Event {
	e := Event{Index: len(t.Events), Step: step, Action: a, Supports: resolve[*Support](t.Assembly, a.With)}
	switch x := t.Assembly.byID[a.Object.ID].(type) {
	case *Fastener:
		e.Fastener = x
	case *Part:
		e.Part = x
	case *Connection:
		e.Connection = x
	case *Fluid:
		e.Fluid = x
	case *Condition:
		e.Condition = x
	}
	return e
}

// Step returns the events of the job's i-th step, counted from 0.
func (t *Trace) Step(i int) []Event { return t.Events[t.first[i]:t.first[i+1]] }

// From returns the events from the start of the job's i-th step on, counted from 0.
func (t *Trace) From(i int) []Event { return t.Events[t.first[i]:] }

// Before returns the state before the job's i-th step, counted from 0.
func (t *Trace) Before(i int) *State {
	if first := t.first[i]; first > 0 {
		return t.Events[first-1].After
	}
	return t.Start
}

// After returns the state after the job's i-th step, counted from 0.
func (t *Trace) After(i int) *State { return t.Before(i + 1) }

// End returns the state after the last step.
func (t *Trace) End() *State { return t.Before(len(t.first) - 1) }

// Event returns the event with that index; nil for None.
func (t *Trace) Event(index int32) *Event {
	if index == None {
		return nil
	}
	return &t.Events[index]
}

// Plugs returns the plugs of a circuit: those that its connections lead to, and
// those that come out in a step that drains it.
func (t *Trace) Plugs(x *Fluid) []*Fastener {
	out := slices.Clone(x.Plugs)
	if t.before != nil {
		out = t.before.Plugs(x)
	}
	for i := range t.Job.Steps {
		events := t.Step(i)
		if !slices.ContainsFunc(events, func(e Event) bool { return e.Fluid == x && e.Action.Verb == procedure.Drain }) {
			continue
		}
		for _, e := range events {
			if f := e.Fastener; f != nil && f.Kind == procedure.Plug && e.Action.Verb != procedure.Keep && !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}
