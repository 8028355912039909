package sheet

import (
	"html/template"
	"slices"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/schedule"
)

// checklistView is the sheet that a mechanic ticks off at the machine.
type checklistView struct {
	Head
	Total, PersonTime string
	People            int
	// First are the repairs that the whole job waits for.
	First []Repair
	Steps []step
	// Figures are all pictures that the steps refer to, each once, with every number.
	Figures []numberedFigure
}

// numberedFigure is a picture of the checklist's last part.
type numberedFigure struct {
	Number int
	*page.Figure
}

// step is one step of the checklist.
type step struct {
	ID, Title string
	Number    int
	People    int
	// End is the expected clock when the step is done, from the start of the job.
	End      string
	Figures  []int
	Blocks   []block
	SafeStop bool
	// Bare is true for a step without anything to tick: the step itself gets a box.
	Bare bool
	// Repairs are what the step waits for.
	Repairs []Repair
}

// caution has the fields that the template "part/signal" reads.
type caution struct {
	Signal procedure.Signal
	Word   string
	Text   template.HTML
}

// block is one piece of a step; exactly one field is set.
type block struct {
	Caution    *caution
	Prose      template.HTML
	KeyPoint   string
	Lines      []line
	Inspection *inspection
	Hold       *hold
}

type inspection struct {
	Of    string
	Items []inspectionItem
}

type inspectionItem struct {
	Look   string
	Accept template.HTML
	// Measured is true when a reading has to be written down.
	Measured bool
}

type hold struct {
	Title         string
	Confirmations []template.HTML
	// Signature names who signs; empty when nobody but the mechanic does.
	Signature string
}

func (e emitter) checklist() error {
	h, err := e.head(Checklist, "who", "date", "start", "end", "machine", "trainer")
	if err != nil {
		return err
	}
	v, err := e.checklistView(h)
	if err != nil {
		return err
	}
	return e.write(Checklist, v)
}

func (e emitter) checklistView(h Head) (checklistView, error) {
	clock := e.clock
	v := checklistView{Head: h, Total: schedule.Duration(clock.Total.Expected), PersonTime: schedule.Duration(clock.PersonMinutes)}
	figures := map[string]int{}
	v.Steps = make([]step, 0, len(e.job.Steps))
	for i, s := range e.job.Steps {
		v.People = max(v.People, s.People)
		var numbers []int
		for _, id := range figuresOf(s) {
			if figures[id] == 0 {
				if err := e.addFigure(&v, id); err != nil {
					return v, err
				}
				figures[id] = len(v.Figures)
			}
			if n := figures[id]; n > 0 {
				numbers = append(numbers, n)
			}
		}
		v.Steps = append(v.Steps, e.step(h.Shell, s, schedule.Duration(clock.Rows[i].End.Expected), numbers))
	}
	return v, nil
}

// figuresOf returns the ids of the figures that a step shows, each once.
func figuresOf(s *procedure.Step) []string {
	var out []string
	add := func(r procedure.Ref) {
		if r.ID != "" && !slices.Contains(out, r.ID) {
			out = append(out, r.ID)
		}
	}
	add(s.Figure)
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case *procedure.Callout:
			add(b.Figure)
		case *procedure.Illustration:
			add(b.Figure)
		}
	}
	return out
}

func (e emitter) addFigure(v *checklistView, id string) error {
	f := e.job.Procedure.Figure(id)
	if f == nil || e.pictures == nil {
		return nil // an unknown figure is the checks' business; without any pictures there are no figures
	}
	drawn, err := page.NewFigure(v.Shell, f, e.job.Machine, e.pictures)
	if err != nil {
		return err
	}
	v.Figures = append(v.Figures, numberedFigure{len(v.Figures) + 1, drawn})
	return nil
}

func (e emitter) step(s page.Shell, from *procedure.Step, end string, figures []int) step {
	to := step{ID: from.ID, Title: from.Title, Number: from.Number, People: from.People, End: end, Figures: figures, SafeStop: from.SafeStop, Bare: true}
	var prose []block
	inspected := inspectedIn(from)
	to.Blocks = make([]block, 0, len(from.Blocks))
	for _, b := range from.Blocks {
		switch b := b.(type) {
		case *procedure.Instruction:
			prose = append(prose, block{Prose: page.Markup(b.Prose)})
		case *procedure.Caution:
			c := caution{b.Signal, e.words.T("signal." + string(b.Signal)), page.Markup(b.Prose)}
			to.Blocks = append(to.Blocks, block{Caution: &c})
		case *procedure.KeyPoint:
			to.Blocks = append(to.Blocks, block{KeyPoint: b.Point})
		case *procedure.Callout:
			to.add(e.lines(s, from, b.Actions, inspected))
		case *procedure.ActionList:
			to.add(e.lines(s, from, b.Actions, inspected))
		case *procedure.Inspection:
			to.Blocks = append(to.Blocks, block{Inspection: e.inspection(b)})
			to.Bare = false
		case *procedure.Hold:
			to.Blocks = append(to.Blocks, block{Hold: newHold(b)})
			to.SafeStop = to.SafeStop || b.SafeStop
			to.Bare = false
		}
	}
	if to.Bare {
		// Only the words say what to do here, so the checklist has them too.
		to.Blocks = append(to.Blocks, prose...)
	}
	return to
}

// add appends action lines; a list of nothing but inspections may have none left.
func (s *step) add(lines []line) {
	if len(lines) > 0 {
		s.Blocks = append(s.Blocks, block{Lines: lines})
		s.Bare = false
	}
}

// inspectedIn returns the things that have an inspect block in the step: its
// items have boxes of their own, and the action that leads to it needs none.
func inspectedIn(s *procedure.Step) []string {
	var out []string
	for _, b := range s.Blocks {
		if i, ok := b.(*procedure.Inspection); ok {
			out = append(out, i.Of.ID)
		}
	}
	return out
}

func (e emitter) inspection(from *procedure.Inspection) *inspection {
	to := &inspection{Of: e.name(from.Of.ID)}
	for _, item := range from.Items {
		to.Items = append(to.Items, inspectionItem{Look: item.Look, Accept: page.Inline(item.Accept), Measured: item.Limits != nil})
	}
	return to
}

func newHold(from *procedure.Hold) *hold {
	to := &hold{Title: from.Title, Signature: from.Signature}
	for _, c := range from.Confirmations {
		to.Confirmations = append(to.Confirmations, page.Inline(c))
	}
	return to
}
