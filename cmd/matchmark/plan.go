package main

import (
	"errors"
	"slices"

	"matchmark/compile"
	"matchmark/compile/planning"
	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/sessions"
)

// planCommand splits a course or a procedure into sessions.
type planCommand struct {
	libraryArgument
	Course    string `placeholder:"ID" help:"Plan this course. Default: the only course of the library."`
	Procedure string `placeholder:"ID" help:"Plan this procedure alone."`
	Refit     bool   `help:"With --procedure: plan the refitting."`
	Variant   string `placeholder:"ID" help:"Plan for this variant of the machine. Default: the slowest one."`
	paceFlags
	Repetition int    `default:"1" placeholder:"N" help:"Which repetition to plan: 1 for the first, 3 for the third. Needs a learning rate."`
	AsStated   bool   `help:"Plan the course's own sessions, whether they fit or not."`
	Dates      []date `placeholder:"DAY,..." help:"The days of the sessions, in order, such as 2027-01-11,2027-01-13, one for each: for --calendar."`
	Calendar   string `type:"path" placeholder:"FILE" help:"Write the sessions into a file for calendars (iCalendar), on the days of --dates."`
	Format     string `enum:"text,json" default:"text" help:"How to print the plan: text for people, json for scripts; its times are minutes."`
}

// Help is shown below the command's one line.
func (*planCommand) Help() string {
	return `A session ends only where it is safe to stop: after a step or a hold point that is marked safe-stop, at the end of a job, or after a quiz. Of all splits whose sessions keep their length with the stated confidence it takes the one with the fewest sessions, and of those the one that is least likely to overrun.

Times are written as "3 h", "15 min" or 1h30m. What is not given is taken from the course, and where the course says nothing: sessions of 3 h from 08:30 with 10 min to set up, 15 min to clear down and a break of 15 min after 1 h 30 min of work, kept 90 times in 100, with two people on a machine.

Steps are planned one after the other. A clock stands beside each step; at those with a latest time, compare it with the clock on the wall: who starts them later will not end in time with that confidence.

With several teams (--teams) and one trainer it says when each hold point is due where, and by how much the teams should start apart so that no two of them need the trainer at once, nor the only one of a tool.

When no such split exists, it says which step would have to become a safe stop, and the exit code is 1.`
}

// Run plans.
func (m *planCommand) Run(c *console) error {
	if m.Repetition < 1 {
		return &failure{code: exitUsage, problem: say.That("--repetition %repetition: repetitions are counted from 1", say.Count(m.Repetition))}
	}
	lib, err := m.read(c)
	if err != nil {
		return err
	}
	course, err := m.work(lib)
	if err != nil {
		return err
	}
	if course, err = m.onVariant(course); err != nil {
		return err
	}
	if err := m.paceFlags.apply(&course.Pace); err != nil {
		return err
	}
	if len(m.Dates) > 0 && m.Calendar == "" {
		return &failure{code: exitUsage, problem: say.That("--dates without --calendar"), do: say.That("a plan has no days; name the calendar's file, or leave --dates out")}
	}
	groups, rules := planning.Items(course, m.Repetition)
	items := slices.Concat(groups...)
	plan, err := sessions.Split(items, rules)
	if m.AsStated {
		plan, err = sessions.As(groups, rules)
	}
	if err != nil {
		return &failure{code: exitUsage, problem: say.Why(err)}
	}
	w := planWriter{course: course, items: items, plan: plan, named: m.Variant != "", speaks: c.spoken()}
	if m.Calendar == standard {
		return errors.Join(w.calendar(c, m.Calendar, m.Dates), w.verdict())
	}
	if m.Format == "json" {
		err = printJSON(c.out, w.json())
	} else {
		m.demoHint(c)
		err = w.text(c.out)
	}
	if err == nil && m.Calendar != "" {
		err = w.calendar(c, m.Calendar, m.Dates)
	}
	if err != nil {
		return err
	}
	return w.verdict()
}

// read reads the library with its refittings.
func (m *planCommand) read(c *console) (*procedure.Library, error) {
	files, closeIt, err := m.open()
	if err != nil {
		return nil, err
	}
	defer closeIt()
	var log diagnostic.Log
	lib, err := compile.Load(files, &log, check.SessionLength) // a plan is what helps there
	if err != nil {
		return nil, err
	}
	if log.HasErrors() {
		all := errorsOnly(log.Sorted())
		if err := m.messages(c, all); err != nil {
			return nil, err
		}
		m.counted(c, all, say.That("Nothing was planned."))
		return nil, libraryErrors(all)
	}
	if lib, err = compile.DeriveRefittings(lib); err != nil {
		return nil, &compile.InternalError{Err: err}
	}
	return lib, nil
}

// work finds what to plan. A procedure alone is a course of one item.
func (m *planCommand) work(lib *procedure.Library) (*procedure.Course, error) {
	switch {
	case m.Course != "" && m.Procedure != "":
		return nil, &failure{code: exitUsage, problem: say.That("--course and --procedure together"), do: say.That("name one of them")}
	case m.Refit && m.Procedure == "":
		return nil, &failure{code: exitUsage, problem: say.That("--refit without --procedure"), do: say.That("add --procedure ID")}
	case m.Procedure != "":
		return m.single(lib)
	}
	var ids []string
	for _, c := range lib.Courses {
		if c.ID == m.Course || m.Course == "" && len(lib.Courses) == 1 {
			copied := *c
			return &copied, nil
		}
		ids = append(ids, c.ID)
	}
	switch {
	case m.Course != "":
		return nil, unknownID(say.That("there is no course %id", say.Quoted(m.Course)), m.Course, ids)
	case len(ids) == 0:
		return nil, &failure{code: exitUsage, problem: say.That("the library has no course"), do: say.That("name a procedure: --procedure ID")}
	}
	return nil, &failure{code: exitUsage, problem: say.That("the library has several courses"), do: say.That("name one: --course %courses", say.Each[say.Name](say.Or, ids))}
}

func (m *planCommand) single(lib *procedure.Library) (*procedure.Course, error) {
	var ids []string
	for _, p := range lib.Procedures {
		if p.Removal != nil {
			continue
		}
		if ids = append(ids, p.ID); p.ID != m.Procedure {
			continue
		}
		title := p.Title
		if m.Refit {
			if p.Refitting == nil {
				return nil, &failure{code: exitUsage, problem: say.That("the procedure %id has no refitting", say.Quoted(p.ID)), do: say.That("nothing is removed in it; leave out --refit")}
			}
			title = p.Refitting.Title
		}
		item := procedure.CourseItem{Procedure: p, IsRefit: m.Refit}
		return &procedure.Course{ID: p.ID, Title: title, Pace: procedure.UsualPace(), Sessions: []procedure.Session{{Items: []procedure.CourseItem{item}}}}, nil
	}
	return nil, unknownID(say.That("there is no procedure %id", say.Quoted(m.Procedure)), m.Procedure, ids)
}

// onVariant makes the chosen variant the only one of the machines that have it.
func (m *planCommand) onVariant(c *procedure.Course) (*procedure.Course, error) {
	if m.Variant == "" {
		return c, nil
	}
	out := *c
	out.Sessions = nil
	var ids []string
	found := false
	limited := map[*procedure.Procedure]*procedure.Procedure{}
	machines := map[*procedure.Machine]*procedure.Machine{}
	var limit func(*procedure.Procedure) *procedure.Procedure
	limit = func(p *procedure.Procedure) *procedure.Procedure {
		if p == nil || p.Machine == nil {
			return p
		}
		for _, v := range p.Machine.Variants {
			ids = append(ids, v.ID)
		}
		v := p.Machine.Variant(m.Variant)
		if v == nil {
			return p
		}
		found = true
		if limited[p] == nil {
			if machines[p.Machine] == nil {
				machine := *p.Machine
				machine.Variants = []*procedure.Variant{v}
				machines[p.Machine] = &machine
			}
			copied := *p
			copied.Machine, copied.Refitting = machines[p.Machine], limit(p.Refitting)
			limited[p] = &copied
		}
		return limited[p]
	}
	for _, s := range c.Sessions {
		items := make([]procedure.CourseItem, len(s.Items))
		for i, item := range s.Items {
			item.Procedure = limit(item.Procedure)
			items[i] = item
		}
		out.Sessions = append(out.Sessions, procedure.Session{Title: s.Title, Items: items})
	}
	if !found {
		return nil, unknownID(say.That("there is no variant %id", say.Quoted(m.Variant)), m.Variant, ids)
	}
	return &out, nil
}

// unknownID says that there is no such thing, which is the problem, and what there is.
func unknownID(problem say.Text, id string, ids []string) error {
	f := &failure{code: exitUsage, problem: problem}
	if near := diagnostic.Nearest(id, ids); near != "" {
		f.do = say.That("did you mean %near?", say.Quoted(near))
	} else if len(ids) > 0 {
		f.do = say.That("there is %names", say.Each[say.Name](say.Or, ids))
	}
	return f
}
