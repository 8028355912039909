package sheet

import (
	"html/template"
	"reflect"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/refit"
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
	// Terms are the glossary's terms that the steps use.
	Terms []page.Term
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
	End     string
	Figures []int
	// Who are the trades and tickets that the step takes.
	Who string
	// Tools are the names of what the step needs.
	Tools    string
	Blocks   []block
	SafeStop bool
	// Bare is true for a step without anything to tick: the step itself gets a box.
	Bare bool
	// Repairs are what the step waits for.
	Repairs []Repair
	// Only says when the step is done, Round until when it is repeated, and Chapter what begins with it; empty for none.
	Only, Round, Chapter string
}

// caution is what a signal panel shows.
// block is one piece of a step; exactly one field is set.
type block struct {
	Caution    *page.Caution
	Prose      template.HTML
	KeyPoint   string
	Must       template.HTML
	Lines      []line
	Inspection *inspection
	Hold       *hold
	Readings   *readings
	// Question is a decision to tick yes or no, Wait what is waited for.
	Question, Wait template.HTML
	// Only is the condition of the blocks from this one on; it stands before the first of them.
	Only string
}

// readings are values to write down, in a table where they have columns.
type readings struct {
	Title   string
	Columns []string
	Rows    []readingRow
}

// readingRow is a value, a series of them, or the values of a table's row; a cell without a unit has no value.
type readingRow struct {
	Words  string
	Accept string
	Cells  []readingCell
}

type readingCell struct{ At, Unit, Accept string }

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
	return e.write(Checklist, checklistPage(v))
}

func (e emitter) checklistView(h Head) (checklistView, error) {
	clock := e.clock
	v := checklistView{Head: h, Total: schedule.Duration(clock.Total.Expected), PersonTime: schedule.Duration(clock.PersonMinutes)}
	figures := map[string]int{}
	found := e.job.Procedure.Finders()
	var terms []*procedure.Term
	v.Steps = make([]step, 0, len(e.job.Steps))
	for i, s := range e.job.Steps {
		v.People = max(v.People, s.People)
		var numbers []int
		for _, id := range s.FigureNames() {
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
		var before *procedure.Step
		if i > 0 {
			before = e.job.Steps[i-1]
		}
		shown := e.step(h.Shell, s, before, found, schedule.Duration(clock.Rows[i].End.Expected), numbers)
		if before == nil || before.Chapter != s.Chapter {
			shown.Chapter = s.Chapter
		}
		v.Steps = append(v.Steps, shown)
		on := procedure.Checklist
		if shown.Bare {
			on = procedure.StepView // its words stand here too
		}
		for _, t := range e.lib.Glossary.UsedIn(on, e.job.Machine, s) {
			if !slices.Contains(terms, t) {
				terms = append(terms, t)
			}
		}
	}
	v.Terms = page.Terms(terms)
	return v, nil
}

// tightens reports whether the job tightens the fastener.
func (e emitter) tightens(f *procedure.Fastener) bool {
	return slices.ContainsFunc(e.torques, func(t refit.Torque) bool { return t.Fastener == f })
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
	for _, b := range drawn.Balloons {
		if t := e.job.Machine.Thing(b.Thing); t.Fastener != nil && e.tightens(t.Fastener) {
			b.Order = page.Places(f, t.Fastener)
		}
	}
	v.Figures = append(v.Figures, numberedFigure{len(v.Figures) + 1, drawn})
	return nil
}

// toolNames are the tools of a step; their names have commas.
func (e emitter) toolNames(s page.Shell, of *procedure.Step) string {
	var out []string
	for _, r := range of.Tools {
		if !e.job.Has(r.ID) {
			continue
		}
		out = append(out, s.StepTool(e.name(r.ID), e.job.Machine.Thing(r.ID), of.Amount(r.ID)))
	}
	return strings.Join(out, " · ")
}

// step is a step of the checklist; before is the one before it, nil for the first.
func (e emitter) step(s page.Shell, from, before *procedure.Step, found []procedure.Finder, end string, figures []int) step {
	to := step{ID: from.ID, Title: from.Title, Number: from.Number, People: from.People, Who: strings.Join(e.lib.TradeNames(from.Trades()), " · "), End: end, Figures: figures, Tools: e.toolNames(s, from), SafeStop: from.SafeStop, Bare: true}
	var prose []block
	inspected := inspectedIn(from)
	to.Blocks = make([]block, 0, len(from.Blocks))
	if from.If != "" {
		to.Only = e.words.T("step.only-if", page.When(e.words, from.If, found))
	}
	if from.Round.First == from.ID {
		to.Round = e.words.T("step.round", page.When(e.words, from.Round.Until, found), from.Round.Most)
	}
	only := procedure.When("")
	for _, b := range from.Blocks {
		shown := procedure.Checklist.On(b)
		if c := b.Base().If; c != only && !reflect.ValueOf(shown).IsZero() {
			if only = c; c != "" {
				to.Blocks = append(to.Blocks, block{Only: e.words.T("step.only-if", page.When(e.words, c, found))})
			}
		}
		if x := shown.Warning; x != nil && !x.Repeats(from, before) {
			to.Blocks = append(to.Blocks, block{Caution: &page.Caution{Signal: x.Signal, Text: page.Markup(x.Prose)}})
		}
		if shown.Text != nil {
			to.Blocks = append(to.Blocks, block{Prose: page.Markup(*shown.Text)})
		} else if text := b.Shows().Text; text != nil {
			prose = append(prose, block{Prose: page.Markup(*text)})
		}
		if shown.Point != nil {
			to.Blocks = append(to.Blocks, block{KeyPoint: shown.Point.Point})
		}
		if shown.Must != nil {
			to.Blocks = append(to.Blocks, block{Must: page.Inline(*shown.Must)})
		}
		to.add(e.lines(s, from, shown.Actions, inspected))
		if shown.Looks != nil {
			to.Blocks = append(to.Blocks, block{Inspection: e.inspection(shown.Looks)})
			to.Bare = false
		}
		if x := shown.Readings; x != nil {
			to.Blocks = append(to.Blocks, block{Readings: e.readingsOf(x, found, from.Round.Most)})
			to.Bare = false
		}
		if x := shown.Decision; x != nil {
			to.Blocks = append(to.Blocks, block{Question: page.Inline(x.Question)})
			to.Bare = false
		}
		if x := shown.Wait; x != nil {
			to.Blocks = append(to.Blocks, block{Wait: template.HTML(e.words.T("sheet.wait", template.HTMLEscapeString(x.Time.String()), page.Inline(x.For)))})
			to.Bare = false
		}
		if shown.Advice != nil {
			to.Blocks = append(to.Blocks, block{Prose: page.Markup(*shown.Advice)})
		}
		if h := shown.Hold; h != nil {
			to.Blocks = append(to.Blocks, block{Hold: newHold(h)})
			to.SafeStop = to.SafeStop || h.SafeStop
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
		if i := b.Shows().Looks; i != nil {
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

// readingsOf puts the values of a block into lines, or into the rows of its table.
// A round has a line for each time.
func (e emitter) readingsOf(from *procedure.Readings, found []procedure.Finder, rounds int) *readings {
	to := &readings{Title: from.Title, Columns: from.Columns()}
	for i := range from.Rows {
		x := &from.Rows[i]
		if len(to.Columns) > 0 {
			n := len(to.Rows)
			if n == 0 || to.Rows[n-1].Words != x.Row {
				to.Rows = append(to.Rows, readingRow{Words: x.Row, Cells: make([]readingCell, len(to.Columns))})
			}
			to.Rows[len(to.Rows)-1].Cells[slices.Index(to.Columns, x.Column)] = readingCell{Unit: x.Unit, Accept: x.Accept}
			continue
		}
		row := readingRow{Words: x.Label(), Accept: x.Accept}
		if x.Sum != "" {
			row.Words += " = " + page.Sum(x, found)
		}
		if n := x.Points(); n > 1 {
			every := x.Every
			for k := range n {
				row.Cells = append(row.Cells, readingCell{At: every.Times(k + 1).String(), Unit: x.Unit})
			}
		} else {
			row.Cells = []readingCell{{Unit: x.Unit}}
			for n := 2; n <= rounds; n++ {
				row.Cells[0].At = e.words.T("workorder.round", 1)
				row.Cells = append(row.Cells, readingCell{At: e.words.T("workorder.round", n), Unit: x.Unit})
			}
		}
		to.Rows = append(to.Rows, row)
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
