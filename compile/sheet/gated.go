package sheet

import (
	"io"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/themes"
)

// Repair is a repair that has to be done before a job, or one of its steps, goes on.
type Repair struct {
	// Number is that of the finding on the work order.
	Number int
	// Thing is what was found wanting, Kind how, and Words what is to be done about it; Words may be empty.
	Thing, Kind, Words string
	// Stops is true when all work waits for it.
	Stops bool
}

// Repairs are what a checklist holds back until it is repaired.
type Repairs struct {
	// First are those that the whole job waits for, Before those of each step, by its name.
	First  []Repair
	Before map[string][]Repair
}

// Gated writes a job's checklist with the repairs that it waits for. change gets the sheet's head as the site has it. Figures are left out
// where pictures is nil.
func Gated(w io.Writer, lib *procedure.Library, job *procedure.Job, pictures map[string]*picture.Picture, theme *themes.Theme, repairs Repairs, change func(*Head)) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e := emitter{lib: lib, pictures: pictures, words: words, job: job, contents: contentsOf(analysis.NewJob(job))}
	h, err := e.head(Checklist, "who", "date", "start", "end", "machine", "trainer")
	if err != nil {
		return err
	}
	change(&h)
	v, err := e.checklistView(h)
	if err != nil {
		return err
	}
	v.First = repairs.First
	for i := range v.Steps {
		v.Steps[i].Repairs = repairs.Before[v.Steps[i].ID]
	}
	return page.Render(w, loneChecklist(v))
}
