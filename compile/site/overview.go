package site

import (
	"html/template"
	"slices"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/schedule"
)

// overviewView is a procedure before the job: how long, in which steps, with what.
type overviewView struct {
	page.Shell
	Summary     string
	About       template.HTML
	Aims        []string
	Edition     string
	Machine     string
	MachineLink string
	// Ways lead to the procedure and to its refitting; empty when there is no refitting.
	Ways []wayLink
	// Derived is true for a refitting.
	Derived bool
	Jobs    []jobView
	// Variants are those that the jobs are for.
	Variants variantChooser
	// Subject is what the work is about, in a drawing; nil for none.
	Subject *page.Figure
}

// variantChooser is the machine that a choice of variants is kept for, and the variants.
type variantChooser struct {
	Machine  string
	Variants []variantName
}

type variantName struct{ ID, Name string }

// wayLink leads to one of a procedure's two ways; Here is true for the page's own.
type wayLink struct {
	Name, Link string
	Here       bool
}

// jobView is the procedure for one variant.
type jobView struct {
	// ID tells the variants' sections apart in links; Variant is empty for a machine without variants.
	ID, Variant, Note string
	Total, Deviation  string
	PersonTime        string
	StepCount         string
	StepsLink         string
	Sheets            []sheetLink
	Steps             []stepLine
	Supplies          []supplyView
	// Order is nil for a job of one step.
	Order *orderView
}

// sheetLink leads to a page that is made from the job, most of them for paper.
type sheetLink struct{ Title, Link string }

// stepLine is one step in the list, with the clock at its start and end.
type stepLine struct {
	Number           int
	Title, Link      string
	Time, Start, End string
	// Who are the trades and tickets that the step takes.
	Who []string
	// Chapter is the title of a chapter that begins with the step.
	Chapter        string
	People         int
	Hold, SafeStop bool
	// Cautions are the most severe signal words of the step, for the eye that runs down the list.
	Signal, SignalWord string
}

// supplyView is one kind of thing that must lie ready.
type supplyView struct {
	Title string
	Items []string
}

func (e *emitter) emitOverview(p *procedure.Procedure, jobs []*procedure.Job) error {
	at := page.ProcedurePath(p)
	v := overviewView{
		Shell:   e.shell(at, p.Title),
		Summary: p.Summary,
		About:   page.Markup(p.About),
		Aims:    p.Aims,
		Edition: p.Edition,
	}
	v.Body = "overview-page"
	v.Styles, v.Scripts = []string{"site.css", "order.css"}, []string{"going.js"}
	if len(jobs) > 1 {
		v.Scripts = append(v.Scripts, "variant.js")
	}
	v.Ways = e.ways(v.Shell, p)
	if p.Removal != nil {
		v.Derived, v.Summary, v.Here = true, "", e.words.T("way.back")
		v.Crumbs = append(v.Crumbs, v.Trail(p.Removal)...)
	}
	if p.Machine != nil {
		v.Machine, v.MachineLink = p.Machine.Title, v.Link(page.MachinePath(p.Machine))
	}
	for _, j := range jobs {
		v.Jobs = append(v.Jobs, e.jobView(v.Shell, j))
		if j.Variant != nil {
			v.Variants.Machine, v.Variants.Variants = p.Machine.ID, append(v.Variants.Variants, variantName{j.Variant.ID, j.Variant.Name})
		}
	}
	var err error
	if v.Subject, err = e.subject(v.Shell, p); err != nil {
		return err
	}
	return e.write(at, overviewPage(v))
}

// subject is the drawing of what the work is about, without its balloons; nil where no step has one.
func (e *emitter) subject(s page.Shell, p *procedure.Procedure) (*page.Figure, error) {
	f := Subject(p)
	if f == nil {
		return nil, nil
	}
	out, err := page.NewFigure(s, f, p.Machine, e.pictures)
	if err == nil {
		out.Balloons = nil
	}
	return out, err
}

// Subject is the figure that tells a procedure from others on its machine: that of its first lift, or the first one; nil for none.
func Subject(p *procedure.Procedure) (first *procedure.Figure) {
	if p.Machine == nil {
		return nil
	}
	for _, step := range p.Steps {
		f := p.Figure(step.Figure.ID)
		if f == nil {
			continue
		}
		if slices.ContainsFunc(step.Actions(), func(a *procedure.Action) bool { return a.Verb == procedure.Lift }) {
			return f
		}
		if first == nil {
			first = f
		}
	}
	return first
}

// DrawingOf is the picture of a figure at its smallest; nothing for no figure, or one whose picture was not prepared.
func DrawingOf(f *procedure.Figure, pictures map[string]*picture.Picture) procedure.Drawing {
	if f == nil || pictures[f.Source] == nil || len(pictures[f.Source].Sizes) == 0 {
		return procedure.Drawing{}
	}
	pic := pictures[f.Source]
	return procedure.Drawing{Path: pic.Sizes[0].Path, Width: pic.Width, Height: pic.Height}
}

func (e *emitter) ways(s page.Shell, p *procedure.Procedure) []wayLink {
	out, back := p, p.Refitting
	if p.Removal != nil {
		out, back = p.Removal, p
	}
	if back == nil {
		return nil
	}
	return []wayLink{
		{e.words.T("way.out"), s.Link(page.ProcedurePath(out)), p == out},
		{e.words.T("way.back"), s.Link(page.ProcedurePath(back)), p == back},
	}
}

func (e *emitter) jobView(s page.Shell, j *procedure.Job) jobView {
	clock := e.worked(j).Clock()
	v := jobView{
		ID:         "job",
		Total:      schedule.Duration(clock.Total.Expected),
		Deviation:  schedule.Duration(clock.Spread(procedure.UsualPace().CommonPace)),
		PersonTime: schedule.Duration(clock.PersonMinutes),
		StepCount:  e.words.Count("start.steps", len(j.Steps)),
		StepsLink:  s.Link(page.StepsPath(j)),
		Supplies:   e.supplies(s, j),
	}
	if j.Variant != nil {
		v.ID, v.Variant, v.Note = "variant-"+j.Variant.ID, j.Variant.Name, j.Variant.Note
	}
	if j.Machine != nil {
		v.Sheets = append(v.Sheets, sheetLink{e.words.T("plan.times"), s.Link(page.TimesPath(j))})
		for _, kind := range sheet.SheetsOf(e.lib, e.worked(j)) {
			v.Sheets = append(v.Sheets, sheetLink{kind.Title(e.words), s.Link(kind.Path(j))})
		}
	}
	v.Steps = make([]stepLine, 0, len(j.Steps))
	for i, step := range j.Steps {
		line := stepLine{
			Number: step.Number, Title: step.Title, Link: v.StepsLink + "#" + step.ID,
			Time:   e.estimate(step.Time),
			Start:  clockTime(clock.Rows[i].Start.Expected),
			End:    clockTime(clock.Rows[i].End.Expected),
			People: step.People, Who: e.lib.TradeNames(step.Trades()), SafeStop: step.SafeStop,
		}
		if i == 0 || j.Steps[i-1].Chapter != step.Chapter {
			line.Chapter = step.Chapter
		}
		for _, b := range step.Blocks {
			shown := b.Shows()
			if h := shown.Hold; h != nil {
				line.Hold = true
				line.SafeStop = line.SafeStop || h.SafeStop
			}
			if c := shown.Warning; c != nil && (line.Signal == "" || severity(c.Signal) > severity(procedure.Signal(line.Signal))) {
				line.Signal, line.SignalWord = string(c.Signal), e.words.T("signal."+string(c.Signal))
			}
		}
		v.Steps = append(v.Steps, line)
	}
	v.Order = e.orderView(&v, j, clock)
	return v
}

// severity orders the signal words of ANSI Z535.6.
func severity(s procedure.Signal) int {
	switch s {
	case procedure.Danger:
		return 3
	case procedure.WarningWord:
		return 2
	case procedure.CautionWord:
		return 1
	}
	return 0
}

// supplies is the short list of what must lie ready; the sheet has the details.
func (e *emitter) supplies(s page.Shell, j *procedure.Job) []supplyView {
	if j.Machine == nil {
		return nil
	}
	list := e.worked(j).Supplies()
	var out []supplyView
	for _, g := range list.Tools {
		v := supplyView{Title: e.words.T("tool-kind." + string(g.Kind))}
		for _, t := range g.Tools {
			v.Items = append(v.Items, withQuantity(s, s.Revised(t.Tool), t.Amount()))
		}
		out = append(out, v)
	}
	supports := supplyView{Title: e.words.T("overview.supports")}
	for _, x := range list.Supports {
		supports.Items = append(supports.Items, withQuantity(s, x.Name, x.Capacity))
	}
	if len(supports.Items) > 0 {
		out = append(out, supports)
	}
	return out
}

// withQuantity writes how much of a thing is needed after its name; one piece goes without saying.
func withQuantity(s page.Shell, name string, q measure.Quantity) string {
	if q.IsZero() || q.Equal(onePiece) {
		return name
	}
	return name + " (" + s.Quantity(q) + ")"
}

var onePiece = measure.Must("1 pcs")
