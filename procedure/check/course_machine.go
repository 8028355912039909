package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/sessions"
	"matchmark/procedure/state"
)

// withRefittings returns the library with courses whose procedures have their refittings, as plans take them.
func withRefittings(lib *procedure.Library, log *diagnostic.Log) *procedure.Library {
	out := *lib
	out.Courses = nil
	for _, c := range lib.Courses {
		diagnostic.GuardWork(say.That("deriving the refittings of a course"), c.Span, log.Add, func() { c = courseWithRefittings(c) })
		out.Courses = append(out.Courses, c)
	}
	return &out
}

func courseWithRefittings(c *procedure.Course) *procedure.Course {
	known := map[*procedure.Procedure]*procedure.Procedure{}
	out := *c
	out.Sessions = make([]procedure.Session, len(c.Sessions))
	for i, s := range c.Sessions {
		s.Items = slices.Clone(s.Items)
		for j := range s.Items {
			p := s.Items[j].Procedure
			if p == nil || p.Machine == nil {
				continue
			}
			if known[p] == nil {
				copied := *p
				if copied.Refitting == nil && refitted(c, p) {
					copied.Refitting = refit.Derive(&copied, refit.AdditionsOf(&copied), func(key string, _ ...any) string { return key })
					copied.Refitting.Removal = &copied
				}
				known[p] = &copied
			}
			s.Items[j].Procedure = known[p]
		}
		out.Sessions[i] = s
	}
	return &out
}

// refitted reports whether a course has the refitting of a procedure.
func refitted(c *procedure.Course, p *procedure.Procedure) bool {
	return slices.ContainsFunc(c.Sessions, func(s procedure.Session) bool {
		return slices.ContainsFunc(s.Items, func(item procedure.CourseItem) bool { return item.IsRefit && item.Procedure == p })
	})
}

// place finds a step by its name; -1 when there is none.
func place(p *procedure.Procedure, id string) int {
	return slices.IndexFunc(p.Steps, func(s *procedure.Step) bool { return s.ID == id })
}

var courseOrder = rule{
	Rule: diagnostic.Rule{
		Code: "course-order", Severity: diagnostic.Error, Title: "Item of a course begins where its machine does not stand",
		Wrong: "The items of a course are one continuous job for each machine. This one leaves steps out, does some twice, puts together what is not out, or begins in the middle.",
		Why:   "The class stands at a machine that is not as the first step takes it: supports that nobody put on, bolts that are out already.",
		Do:    "Begin where the item before has ended. Where somebody else brings the machine to a step, say so: `prepared: step`; where it stands whole again, `prepared: whole`.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		w := &machineWalk{stands: map[*procedure.Procedure]*standing{}, report: report}
		for _, s := range c.Sessions {
			for i := range s.Items {
				w.item(&s.Items[i])
			}
		}
	}),
}

// eachCourse makes a rule's run of what it asks of each course. Its procedures have their refittings: see withRefittings.
func eachCourse(ask func(c *procedure.Course, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, c := range lib.Courses {
			ask(c, report)
		}
	}
}

// standing is how far a machine is through a procedure and its refitting.
type standing struct {
	// out and back count the steps that are done.
	out, back int
	// by is the last item that did some.
	by *procedure.CourseItem
}

// machineWalk follows the machines of a course.
type machineWalk struct {
	stands map[*procedure.Procedure]*standing
	report func(diagnostic.Diagnostic)
}

// item judges an item and takes its steps as done, whatever is wrong with it, so that one fault does not bring on others.
func (w *machineWalk) item(item *procedure.CourseItem) {
	p, work := item.Procedure, item.Work()
	if p == nil || p.Machine == nil || work == nil {
		return
	}
	first, last, ok := runOf(item, work)
	if !ok {
		return // reported where the step is named
	}
	at := w.stands[p]
	if at == nil {
		at = &standing{}
		w.stands[p] = at
	}
	if item.Prepared.ID != "" {
		*at = preparedAt(item, p)
		w.hanging(item)
	}
	if item.IsRefit {
		w.refit(item, at, first)
		at.out, at.back = len(p.Steps), last+1
		if at.back == len(work.Steps) {
			at.out, at.back = 0, 0
		}
	} else {
		w.forth(item, at, first)
		at.out, at.back = last+1, 0
	}
	at.by = item
}

// hanging reports a machine that nobody may leave as an item takes it: with a load on its supports.
func (w *machineWalk) hanging(item *procedure.CourseItem) {
	work := item.Procedure
	if item.IsRefit && place(work.Refitting, item.Prepared.ID) >= 0 {
		work = work.Refitting
	}
	for _, job := range work.Jobs() {
		step := job.Step(item.Prepared.ID)
		if step == nil {
			continue
		}
		_, trace := state.RunAfterRemoval(job)
		if p := sessions.Hanging(trace.After(step.Number - 1)); p != nil {
			w.report(diagnostic.Diagnostic{
				Span: item.Prepared.Span, Wrong: say.That("the machine cannot be prepared like that: after step %number the %part hangs on its supports", say.Step(step.Number), say.Name(p.ID)),
				Advice: say.That("Name a step after which nothing hangs."), See: []diagnostic.Related{{Span: step.Span, Says: say.That("the step")}},
			})
			return
		}
	}
}

// runOf finds an item's first and last step; ok is false where a name leads nowhere or no step is left.
func runOf(item *procedure.CourseItem, work *procedure.Procedure) (first, last int, ok bool) {
	first, last = 0, len(work.Steps)-1
	switch {
	case item.From.ID != "":
		first = place(work, item.From.ID)
	case item.Prepared.ID != "":
		first = place(work, item.Prepared.ID) + 1 // 0 for whole, and for a refitting that is prepared by the removal
	}
	if item.To.ID != "" {
		last = place(work, item.To.ID)
	}
	return first, last, first >= 0 && last >= first
}

// preparedAt is how the machine stands after the step that an item names as prepared.
func preparedAt(item *procedure.CourseItem, p *procedure.Procedure) standing {
	if item.IsRefit {
		if at := place(p.Refitting, item.Prepared.ID); at >= 0 {
			return standing{out: len(p.Steps), back: at + 1}
		}
	}
	return standing{out: place(p, item.Prepared.ID) + 1}
}

func (w *machineWalk) forth(item *procedure.CourseItem, at *standing, first int) {
	p := item.Procedure
	switch {
	case at.back > 0:
		w.wrong(item, at, say.That("the refitting of %procedure is under way: %done of its %all steps are done", say.Quote(p.ID), say.Count(at.back), say.Count(len(p.Refitting.Steps))),
			say.That("Finish the refitting before, or write `prepared: whole` where the class gets another machine."))
	case first < at.out && at.out == len(p.Steps):
		w.wrong(item, at, say.That("%procedure is done already, and nothing has brought its machine back", say.Quote(p.ID)),
			say.That("Do `refit: %procedure` before, or write `prepared: whole` where the class gets another machine.", say.Name(p.ID)))
	case first < at.out:
		w.wrong(item, at, say.That("step %first %name is done already: the machine stands after step %last %after", number(p, first), say.Quote(p.Steps[first].ID), number(p, at.out-1), say.Quote(p.Steps[at.out-1].ID)),
			say.That("Write `from: %next`.", say.Name(p.Steps[at.out].ID)))
	case first > at.out && at.out == 0:
		w.wrong(item, at, say.That("this begins with step %first %name, and nothing in the course does the %count steps before it", number(p, first), say.Quote(p.Steps[first].ID), say.Count(first)),
			say.That("Begin with the first step, or write `prepared: %before` where the class gets a machine that stands after that step.", say.Name(p.Steps[first-1].ID)))
	case first > at.out:
		w.wrong(item, at, say.That("%count(step is|steps are) left out: the machine stands after step %last %after, and this begins with step %first %name", say.Count(first-at.out), number(p, at.out-1), say.Quote(p.Steps[at.out-1].ID), number(p, first), say.Quote(p.Steps[first].ID)),
			say.That("Write `from: %next`, or `prepared: %before` where somebody does these steps in between.", say.Name(p.Steps[at.out].ID), say.Name(p.Steps[first-1].ID)))
	}
}

func (w *machineWalk) refit(item *procedure.CourseItem, at *standing, first int) {
	p := item.Procedure
	back := p.Refitting
	end := p.Steps[len(p.Steps)-1].ID
	switch {
	case at.out == 0 && at.by != nil && at.by.IsRefit:
		w.wrong(item, at, say.That("the refitting is done already, and nothing has taken the machine apart again"),
			say.That("Do `procedure: %procedure` before, or write `prepared: %last` where the class gets a machine that is taken apart.", say.Name(p.ID), say.Name(end)))
	case at.out == 0:
		w.wrong(item, at, say.That("the refitting begins before the removal is done: nothing in the course has taken the machine apart"),
			say.That("Do `procedure: %procedure` before, or write `prepared: %last` where the class gets a machine that is taken apart.", say.Name(p.ID), say.Name(end)))
	case at.out < len(p.Steps):
		w.wrong(item, at, say.That("the refitting begins, but the removal has come to step %last %after only, of %all", number(p, at.out-1), say.Quote(p.Steps[at.out-1].ID), say.Count(len(p.Steps))),
			say.That("Do the steps from %next on before, or write `prepared: %last` where somebody else does.", say.Quote(p.Steps[at.out].ID), say.Name(end)))
	case first < at.back:
		w.wrong(item, at, say.That("step %first %name is done already: the machine stands after step %last %after", number(back, first), say.Quote(back.Steps[first].ID), number(back, at.back-1), say.Quote(back.Steps[at.back-1].ID)),
			say.That("Write `from: %next`.", say.Name(back.Steps[at.back].ID)))
	case first > at.back:
		w.wrong(item, at, say.That("%count(step of the refitting is|steps of the refitting are) left out before step %first %name", say.Count(first-at.back), number(back, first), say.Quote(back.Steps[first].ID)),
			say.That("Write `from: %next`, or `prepared: %before` where somebody does these steps in between.", say.Name(back.Steps[at.back].ID), say.Name(back.Steps[first-1].ID)))
	}
}

// number is the number of a procedure's i-th step, counted from 0.
func number(p *procedure.Procedure, i int) say.Step { return say.Step(p.Steps[i].Number) }

func (w *machineWalk) wrong(item *procedure.CourseItem, at *standing, wrong, advice say.Text) {
	d := diagnostic.Diagnostic{Span: item.Ref.Span, Wrong: wrong, Advice: advice}
	switch {
	case item.Prepared.ID != "":
		d.Span = item.Prepared.Span
	case item.From.ID != "":
		d.Span = item.From.Span
	}
	if at.by != nil {
		d.See = []diagnostic.Related{{Span: at.by.Ref.Span, Says: say.That("the item before")}}
	}
	w.report(d)
}

var courseState = rule{
	Rule: diagnostic.Rule{
		Code: "course-state", Severity: diagnostic.Error, Title: "Procedure does not fit the machine as the course leaves it",
		Wrong: "A course does a procedure on a machine that an item before has left apart, and an action of it cannot be done like that.",
		Why:   "What is right on a whole machine is wrong on one that stands open, without its supports or with its oil out.",
		Do:    "Bring the machine back before, or choose a procedure for a machine in that state.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		w := &stateWalk{facts: map[*procedure.Procedure]*analysis.Procedure{}, starts: map[*procedure.Procedure][]*state.State{}, now: map[*procedure.Machine][]*state.State{}, report: report}
		for _, s := range c.Sessions {
			for i := range s.Items {
				w.item(&s.Items[i])
			}
			w.stop()
		}
	}),
}

// stateWalk carries the machines of a course from procedure to procedure.
type stateWalk struct {
	facts map[*procedure.Procedure]*analysis.Procedure
	// starts are how a machine stood, on each variant, when a procedure began; nil for whole.
	starts map[*procedure.Procedure][]*state.State
	// now is how each machine stands, on each variant; nil for whole.
	now    map[*procedure.Machine][]*state.State
	report func(diagnostic.Diagnostic)
}

func (w *stateWalk) item(item *procedure.CourseItem) {
	p, work := item.Procedure, item.Work()
	if p == nil || p.Machine == nil || work == nil || len(p.Jobs()) == 0 {
		return
	}
	first, last, ok := runOf(item, work)
	if !ok {
		return
	}
	if item.IsRefit {
		if last == len(work.Steps)-1 {
			w.now[p.Machine] = w.starts[p]
			delete(w.starts, p)
		}
		return
	}
	f := w.facts[p]
	if f == nil {
		f = analysis.New(p)
		w.facts[p] = f
	}
	if item.Prepared.ID != "" {
		w.now[p.Machine] = nil
	}
	if _, begun := w.starts[p]; !begun || item.Prepared.ID != "" { // what is begun twice is a matter of order
		w.starts[p] = w.now[p.Machine]
	}
	start := w.starts[p]
	var after []*state.State
	var told []diagnostic.Diagnostic
	for i, j := range f.Jobs {
		trace := j.Trace()
		if start != nil {
			var found []diagnostic.Diagnostic
			found, trace = order.OnMachine(j, start[i])
			if first == 0 {
				told = append(told, found...)
			}
		}
		after = append(after, trace.After(stepsUpTo(j.Job, p, last)-1))
	}
	w.now[p.Machine] = after
	w.tell(item, told)
}

// tell reports what cannot be done, in one message with the place of each fault, whichever variants have it.
func (w *stateWalk) tell(item *procedure.CourseItem, found []diagnostic.Diagnostic) {
	if len(found) == 0 {
		return
	}
	d := diagnostic.Diagnostic{Span: item.Ref.Span, Advice: say.That("Bring the machine back before, or write `prepared: whole` where the class gets another machine.")}
	for i, x := range found {
		if !slices.ContainsFunc(found[:i], func(y diagnostic.Diagnostic) bool { return y.Code == x.Code && y.Span == x.Span }) {
			d.See = append(d.See, diagnostic.Related{Span: x.Span, Says: say.That("%code", say.Word(x.Code))})
		}
	}
	d.Wrong = say.That("on the machine as the course leaves it: %wrong", found[0].Wrong)
	if more := len(d.See) - 1; more > 0 {
		d.Wrong = say.That("on the machine as the course leaves it: %wrong; with it %count more %count(error|errors)", found[0].Wrong, say.Count(more))
	}
	w.report(d)
}

// stop ends the proofs on all machines: a night lies between.
func (w *stateWalk) stop() {
	for _, states := range w.now {
		for i, s := range states {
			states[i] = s.Stopped()
		}
	}
}

// stepsUpTo counts the steps of a job that are among the first of its procedure, up to and with the one at last.
func stepsUpTo(j *procedure.Job, p *procedure.Procedure, last int) int {
	n := 0
	for _, s := range p.Steps[:last+1] {
		if j.Step(s.ID) != nil {
			n++
		}
	}
	return n
}
