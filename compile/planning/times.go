package planning

import (
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/schedule"
)

// longJob is from how many steps on the tables of the times page are folded: it is no longer than four screens of 1024 by 768 then.
const longJob = 20

// timesView is the page on how long a job takes and who does what.
type timesView struct {
	page.Shell
	// Subject is the procedure's title, Variant may be empty.
	Subject, Variant string
	StepsLink        string
	// Alone is all steps one after the other, Never what no number of people can beat with the tools that there are.
	Alone, Never string
	// Least is the longest path.
	Least, LeastSpread, Variance string
	Crews                        []crewView
	// Long is how many steps a long job has, whose tables are folded; 0 for any other.
	Long int
	// Enough is true when more people than the last crew would not make it shorter.
	Enough bool
	// Shared is true when a step waits for a thing that others use.
	Shared  bool
	Chances *chancesView
	Rows    []windowRow
	// Spread is true when any step has a range of times.
	Spread bool
	// Sometimes says how steps count that are not always done; empty when there are none.
	Sometimes string
	// Trades says which trades and tickets somebody has to have; empty for none.
	Trades string
}

// windowRow is one step of the network table.
type windowRow struct {
	Step                                     template.HTML
	Expected, Spread                         string
	EarlyStart, EarlyEnd, LateStart, LateEnd string
	Slack                                    string
	Critical                                 bool
	// Chapter is the title of a chapter that begins with the step, and Takes how long its steps take, one after the other.
	Chapter, Takes string
}

// chancesView says how likely the job ends by some times.
type chancesView struct {
	Runs     int
	Rows     []chanceRow
	Warnings []string
	// Rivals are other long ways through the job.
	Rivals []string
}

type chanceRow struct{ By, Normal, Simulated, Error, Difference string }

func (e *emitter) times(job *analysis.Job) error {
	p, at := job.Procedure, page.TimesPath(job.Job)
	w := newWork(job, e.people)
	v := timesView{Subject: p.Title}
	if n := len(job.Steps); n > longJob {
		v.Long = n
	}
	title := e.words.T("plan.times")
	if job.Variant != nil {
		v.Variant = job.Variant.Name
		title += ", " + v.Variant
	}
	v.Shell = page.NewShell(e.lib, e.words, at, title+": "+p.Title)
	v.Crumbs = append(v.Crumbs, v.Trail(p)...)
	v.Here, v.Body, v.Styles = e.words.T("plan.times"), "times-page", []string{"site.css", "plan.css"}
	v.StepsLink = v.Link(page.StepsPath(job.Job))

	links := e.links(w, v.StepsLink)
	t := w.forecast.Times
	for i, window := range t.Windows {
		v.Spread = v.Spread || window.Deviation > 0
		row := e.windowRow(links[i], window)
		row.Chapter, row.Takes = chapterAt(job.Job, i)
		v.Rows = append(v.Rows, row)
	}
	v.Alone, v.Never, v.Least = schedule.Duration(job.Clock().Total.Expected), schedule.Duration(w.least), schedule.Duration(t.Length)
	v.LeastSpread, v.Variance = spread(t.Deviation), e.words.Number(t.Variance, 1)
	if slices.ContainsFunc(job.Steps, func(s *procedure.Step) bool { return s.If != "" || s.Round.First != "" }) {
		v.Sometimes = e.words.T("plan.chance", procedure.UsualChance)
	}
	if trades := w.network.Trades(); len(trades) > 0 {
		var refs []procedure.Ref
		for _, id := range trades {
			refs = append(refs, procedure.Ref{ID: id})
		}
		v.Trades = e.words.T("plan.trades", strings.Join(e.lib.TradeNames(refs), ", "))
	}
	c := chart{e: e}
	for k := range w.rosters {
		v.Crews = append(v.Crews, e.crewView(w, k, links, &c))
		v.Shared = v.Shared || slices.ContainsFunc(w.rosters[k].Things, drawn)
	}
	if n := len(w.rosters); n > 0 {
		v.Enough = w.rosters[n-1].Length <= w.least+same
	}
	if v.Spread {
		v.Chances = e.chances(w)
	}
	return page.Write(e.out, at, timesPage(v))
}

// chapterAt is the chapter that begins with a job's step, and how long its steps take in all; empty where none begins.
func chapterAt(job *procedure.Job, i int) (title, takes string) {
	if i >= len(job.Steps) || job.Steps[i].Chapter == "" || i > 0 && job.Steps[i-1].Chapter == job.Steps[i].Chapter {
		return "", ""
	}
	sum := 0.0
	for _, s := range job.Steps[i:] {
		if s.Chapter != job.Steps[i].Chapter {
			break
		}
		mean, _ := schedule.StepTime(s)
		sum += mean
	}
	return job.Steps[i].Chapter, schedule.Duration(sum)
}

// links lead to the steps of the activities, which the tables of the page name several times.
func (e *emitter) links(w *work, steps string) []template.HTML {
	out := make([]template.HTML, len(w.network.Activities))
	for i, a := range w.network.Activities {
		out[i] = linkTo(a.Step, steps)
		if a.Wait != nil {
			out[i] += template.HTML(" (" + template.HTMLEscapeString(e.words.T("plan.passing", a.Wait.Time.String())) + ")")
		}
	}
	return out
}

// linkTo names a step and leads to it, on a page of steps.
func linkTo(s *procedure.Step, steps string) template.HTML {
	link, title := template.HTMLEscapeString(steps+"#"+s.ID), template.HTMLEscapeString(s.Title)
	return template.HTML(`<a href="` + link + `"><b>` + strconv.Itoa(s.Number) + `</b> ` + title + `</a>`)
}

func (e *emitter) windowRow(link template.HTML, w schedule.Window) windowRow {
	r := windowRow{
		Step: link, Expected: schedule.Duration(w.Expected), Spread: spread(w.Deviation),
		EarlyStart: clock(w.EarlyStart), EarlyEnd: clock(w.EarlyFinish), LateStart: clock(w.LateStart), LateEnd: clock(w.LateFinish),
		Critical: w.Critical,
	}
	if !w.Critical {
		r.Slack = schedule.Duration(w.Slack)
	}
	return r
}

// chances states some times around the expected end, on a grid that a clock shows.
func (e *emitter) chances(w *work) *chancesView {
	f := w.forecast
	v := &chancesView{Runs: f.Simulation.Runs}
	grid := 1.0
	if f.Times.Deviation >= 3 {
		grid = 5
	}
	var stated []float64
	for _, z := range []float64{-1, 0, 1, 1.5, 2} {
		by := math.Ceil((f.Times.Length+z*f.Times.Deviation)/grid-same) * grid
		if by > 0 && !slices.Contains(stated, by) {
			stated = append(stated, by)
		}
	}
	var warnings []schedule.Warning
	for _, by := range stated {
		c := f.By(by)
		v.Rows = append(v.Rows, chanceRow{
			By: schedule.Duration(by), Normal: e.percent(c.Normal), Simulated: e.percent(c.Simulated),
			Error: e.words.T("plan.percent", e.words.Number(100*c.StandardError, 1)), Difference: e.difference(c.Difference),
		})
		if c.Warning != schedule.Trusted && !slices.Contains(warnings, c.Warning) {
			warnings = append(warnings, c.Warning)
			v.Warnings = append(v.Warnings, e.words.T("plan.warning."+string(c.Warning)))
		}
	}
	for _, rival := range f.Rivals {
		var steps []string
		for _, i := range rival.Path {
			steps = append(steps, strconv.Itoa(w.network.Activities[i].Step.Number))
		}
		v.Rivals = append(v.Rivals, e.words.T("plan.rival", strings.Join(steps, ", "), schedule.Duration(rival.Length), e.percent(rival.Longer)))
	}
	return v
}

// difference writes how much higher the first of two chances is, in points of percent.
func (e *emitter) difference(d float64) string {
	points := math.Round(1000*d) / 10
	switch {
	case points > 0:
		return "+" + e.words.Number(points, 1)
	case points < 0:
		return "−" + e.words.Number(-points, 1)
	}
	return "0"
}
