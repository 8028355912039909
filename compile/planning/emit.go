// Package planning emits what a trainer plans with: the times of a job with who
// does what, the session plan of a course, and a printable sheet for each session.
package planning

import (
	"fmt"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/facts"
	"matchmark/procedure/parallel"
	"matchmark/themes"
)

// emitter is what all pages are made from.
type emitter struct {
	lib   *procedure.Library
	theme *themes.Theme
	words *themes.Words
	out   output.Sink
	// people is how many share a job at most, by procedure.
	people map[*procedure.Procedure]int
}

// Emit writes the times page of every job of a library, and the session plan and
// the session sheets of every course. The pages show no pictures.
func Emit(lib *procedure.Library, _ map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e := &emitter{lib: lib, theme: theme, words: words, out: out, people: peopleOf(lib)}
	var names []string
	var work []func() error
	for _, p := range lib.Procedures {
		names = append(names, page.ProcedurePath(p))
		work = append(work, func() error { return e.procedure(facts.Of(p)) })
	}
	for _, c := range lib.Courses {
		names = append(names, page.PlanPath(c))
		work = append(work, func() error { return e.course(c) })
	}
	errs := make([]error, len(work))
	parallel.Each(names, func(i int) { errs[i] = work[i]() })
	for i, err := range errs {
		if err != nil {
			return fmt.Errorf("planning %s: %w", names[i], err)
		}
	}
	return nil
}

// EmitProcedure writes the times page of every job of a procedure. People is how
// many share a job at most, as People says.
func EmitProcedure(lib *procedure.Library, theme *themes.Theme, out output.Sink, f *facts.Procedure, people int) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e := &emitter{lib: lib, theme: theme, words: words, out: out, people: map[*procedure.Procedure]int{f.Procedure: people}}
	if err := e.procedure(f); err != nil {
		return fmt.Errorf("planning %s: %w", page.ProcedurePath(f.Procedure), err)
	}
	return nil
}

// EmitCourse writes the session plan and the session sheets of a course.
func EmitCourse(lib *procedure.Library, theme *themes.Theme, out output.Sink, c *procedure.Course) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e := &emitter{lib: lib, theme: theme, words: words, out: out}
	if err := e.course(c); err != nil {
		return fmt.Errorf("planning %s: %w", page.PlanPath(c), err)
	}
	return nil
}

func (e *emitter) procedure(f *facts.Procedure) error {
	if f.Machine == nil {
		return fmt.Errorf("its machine %q is not there", f.MachineRef.ID)
	}
	for _, job := range f.Jobs {
		if err := e.times(job); err != nil {
			return err
		}
	}
	return nil
}

// Rosters are made for up to usualCrew people; for more where a course has more, up to mostCrew.
const (
	usualCrew = 4
	mostCrew  = 8
)

// peopleOf returns for how many people rosters are made.
func peopleOf(lib *procedure.Library) map[*procedure.Procedure]int {
	out := map[*procedure.Procedure]int{}
	for _, p := range lib.Procedures {
		out[p] = usualCrew
	}
	for _, c := range lib.Courses {
		for _, s := range c.Sessions {
			for _, item := range s.Items {
				if p := procedureOf(item); p != nil {
					out[p] = People(out[p], c.Pace)
				}
			}
		}
	}
	return out
}

// People returns for how many people the rosters of a procedure are made, once a
// course of that pace has it too; people is the number without that course, 0 for none yet.
func People(people int, pace procedure.Pace) int {
	return min(max(people, usualCrew, pace.People), mostCrew)
}

// procedureOf is the procedure, or the refitting, of a course's item; nil for a quiz.
func procedureOf(item procedure.CourseItem) *procedure.Procedure {
	if p := item.Procedure; p != nil && item.IsRefit {
		return p.Back // nil when there is nothing to bring back
	}
	return item.Procedure
}
