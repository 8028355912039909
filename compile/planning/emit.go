// Package planning emits what a trainer plans with: the times of a job with who
// does what, the session plan of a course, and a printable sheet for each session.
package planning

import (
	"fmt"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/themes"
)

// emitter is what all pages are made from.
type emitter struct {
	lib   *procedure.Library
	words *themes.Words
	out   output.Sink
	// people is how many share a job of a procedure at most.
	people int
}

// EmitProcedure writes the times page of every job of a procedure. People is how
// many share a job at most, as People says.
func EmitProcedure(lib *procedure.Library, theme *themes.Theme, out output.Sink, f *analysis.Procedure, people int) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e := &emitter{lib: lib, words: words, out: out, people: people}
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
	e := &emitter{lib: lib, words: words, out: out}
	if err := e.course(c); err != nil {
		return fmt.Errorf("planning %s: %w", page.PlanPath(c), err)
	}
	return nil
}

func (e *emitter) procedure(f *analysis.Procedure) error {
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

// People returns for how many people the rosters of a procedure are made, once a
// course of that pace has it too; people is the number without that course, 0 for none yet.
func People(people int, pace procedure.Pace) int {
	return min(max(people, usualCrew, pace.People), mostCrew)
}
