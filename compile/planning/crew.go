package planning

import (
	"html/template"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
	"matchmark/themes"
)

// crewView is who does what when some people share a job.
type crewView struct {
	ID     string
	People int
	Length string
	// Careful is the time kept nine times in ten.
	Careful string
	// Shortest is true when no sharing out is shorter; otherwise Gap and Bound say by how much it may be too long.
	Shortest   bool
	Gap, Bound string
	// Saved is how much time the last person more saves; empty for the smallest crew, and for no time.
	Saved string
	// First is true for the smallest crew.
	First   bool
	Drawing template.HTML
	Lanes   []laneView
	Rows    []barRow
}

// laneView sums up what one person does.
type laneView struct {
	Person, Steps int
	// Tickets are the trades and tickets that the person has.
	Tickets    []string
	Busy, Idle string
}

// barRow is one step of the roster.
type barRow struct {
	Step       template.HTML
	Start, End string
	// Does says for each person whether they do it.
	Does []bool
	// Wait is what it waits for; empty for nothing.
	Wait     string
	Hold     bool
	Critical bool
}

func (e *emitter) crewView(w *work, k int, links []template.HTML, c *chart) crewView {
	r := w.rosters[k]
	v := crewView{
		People: r.Crew, Length: schedule.Duration(r.Length), Careful: schedule.Duration(r.Careful),
		Shortest: r.Shortest, Gap: e.gap(r.Gap), Bound: schedule.Duration(r.Bound), First: k == 0,
	}
	v.ID = "crew-" + strconv.Itoa(r.Crew)
	if k > 0 {
		if saved := w.rosters[k-1].Length - r.Length; saved >= 0.5 {
			v.Saved = schedule.Duration(saved)
		}
	}
	v.Lanes, v.Rows = make([]laneView, 0, len(r.Lanes)), make([]barRow, 0, len(r.Bars))
	does := make([]bool, len(r.Bars)*r.Crew) // of all rows, one after the other
	for _, lane := range r.Lanes {
		l := laneView{Person: lane.Person, Steps: len(lane.Bars), Busy: schedule.Duration(lane.Busy)}
		for _, id := range r.Tickets[lane.Person-1] {
			l.Tickets = append(l.Tickets, e.lib.TradeNames([]procedure.Ref{{ID: id}})...)
		}
		if lane.Idle >= 0.5 {
			l.Idle = schedule.Duration(lane.Idle)
		}
		v.Lanes = append(v.Lanes, l)
	}
	for _, b := range r.Bars {
		row := barRow{
			Step: links[b.Index], Start: clock(b.Start), End: clock(b.End), Does: does[:r.Crew:r.Crew],
			Wait: e.wait(b.Wait), Hold: state.Hold(b.Activity.Step) != nil, Critical: r.critical(b.Index),
		}
		does = does[r.Crew:]
		for _, person := range b.People {
			row.Does[person-1] = true
		}
		v.Rows = append(v.Rows, row)
	}
	v.Drawing = c.drawRoster(r)
	return v
}

// wait says in a few words why a step does not start earlier.
func (e *emitter) wait(w schedule.Wait) string {
	if w.For == nil || w.For.Step == nil {
		return ""
	}
	switch w.Kind {
	case schedule.OrderWait:
		return e.words.T("plan.wait.order", w.For.Step.Number)
	case schedule.ThingWait:
		return e.words.T("plan.wait.thing", w.Thing.Name, w.For.Step.Number)
	case schedule.PeopleWait:
		return e.words.T("plan.wait.people", w.For.Step.Number)
	}
	return ""
}

// says is what a person has to do, behind the person's name.
func (l laneView) says(w *themes.Words) string {
	out := ""
	if len(l.Tickets) > 0 {
		out = " (" + strings.Join(l.Tickets, ", ") + ")"
	}
	if l.Person == 1 {
		out += " " + w.T("plan.leads")
	}
	out += ": " + w.Count("plan.steps", l.Steps) + ", " + w.T("plan.busy", l.Busy)
	if l.Idle != "" {
		out += ", " + w.T("plan.idle", l.Idle)
	}
	return out
}
