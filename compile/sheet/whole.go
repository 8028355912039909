package sheet

import (
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure/analysis"
	"matchmark/procedure/assessment"
	"matchmark/procedure/schedule"
)

// wholeView is the cover of a whole job on paper: what it is, and its sheets in the order in which they lie behind it. The page
// itself holds nothing of them: whole.js sets them together, so that no sheet stands in the site twice.
type wholeView struct {
	Head
	// About says how long the job is.
	About string
	Aims  []string
	Ways  []wholeWay
}

// wholeWay are the sheets of a job's way out, or of its way back.
type wholeWay struct {
	ID, Title string
	Sheets    []wholeSheet
}

// wholeSheet is one of them.
type wholeSheet struct {
	Title, Link string
	// Part names the section that is taken, by what labels it; empty for all of the page.
	Part string
	// Left is true for what is left out until somebody asks for it.
	Left bool
	// Styles are the addresses of style sheets that are its own, apart from those of the others.
	Styles string
}

func (e emitter) whole() error {
	h, err := e.head(Whole, "who", "trainer", "date")
	if err != nil {
		return err
	}
	h.Scripts, h.Styles, h.Framing = []string{"whole.js"}, append(h.Styles, "site.css", "order.css", "plan.css", "deck.css", "whole.css"), true
	v := wholeView{Head: h, Aims: assessment.Aims(e.job.Procedure), About: joined(
		e.words.T("sheet.whole.time", schedule.Duration(e.clock.Total.Expected)),
		e.words.T("sheet.whole.work", schedule.Duration(e.clock.PersonMinutes)),
		e.words.Count("start.steps", len(e.job.Steps)),
	)}
	v.Ways = append(v.Ways, e.wholeWay(h, e.analysed, "way.out"))
	if e.back != nil {
		if back := e.back.Job(e.job.Variant); back != nil {
			v.Ways = append(v.Ways, e.wholeWay(h, back, "way.back"))
		}
	}
	return e.write(Whole, wholePage(v))
}

// wholeWay lists what there is of a job on paper: what to do first, then the sheets, then how the time goes.
func (e emitter) wholeWay(h Head, job *analysis.Job, title string) wholeWay {
	part := "job--plan"
	if job.Variant != nil {
		part = "variant-" + job.Variant.ID + "--plan"
	}
	way := wholeWay{ID: "ui_" + strings.TrimPrefix(title, "way."), Title: e.words.T(title), Sheets: []wholeSheet{
		{Title: e.words.T("overview.plan"), Link: h.Link(page.ProcedurePath(job.Procedure)), Part: part},
	}}
	for _, k := range SheetsOf(e.lib, job) {
		if k != Whole {
			way.Sheets = append(way.Sheets, wholeSheet{Title: k.Title(e.words), Link: h.Link(k.Path(job.Job)), Left: k == Deck})
		}
	}
	steps := wholeSheet{Title: e.words.T("sheet.whole.steps"), Link: h.Link(page.StepsPath(job.Job)), Left: true}
	for _, name := range append([]string{"base.css"}, page.StepStyles...) {
		steps.Styles = strings.TrimSpace(steps.Styles + " " + h.Link(page.AssetPath(name)))
	}
	way.Sheets = append(way.Sheets, wholeSheet{Title: e.words.T("plan.times"), Link: h.Link(page.TimesPath(job.Job))}, steps)
	return way
}
