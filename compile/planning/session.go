package planning

import (
	"html/template"
	"strconv"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
	"matchmark/procedure/state"
	"matchmark/themes"
)

// sessionView is one session on the plan.
type sessionView struct {
	ID     string
	Number int
	// Title is the course's own; empty for a proposed session.
	Title, Sheet string
	// Work is the expected work, Ends when the session ends as expected, Careful when
	// it ends with the stated confidence, Close when it must be over; all times of day.
	Work, Ends, Careful, Close string
	Overrun                    string
	Fits                       bool
	// Beyond is by how much it is expected to take longer than it may; empty when it is not.
	Beyond string
	// Last is the last thing that is done and Why the reason why it is safe to stop there; empty when it is not safe.
	Last, Why   string
	LongStretch bool
	Rows        []planRow
}

// planRow is a line of a session's timetable.
type planRow struct {
	Kind sessions.RowKind
	// Item begins a new item when it is not empty; Again says which repetition it is.
	Item, Again string
	// Chapter is the title of a chapter that begins, or goes on in a new session, with the step.
	Chapter string
	Step    *planStep
	// Who are the trades and tickets that the step takes.
	Who []string
	// Words name a row that is no step.
	Words string
	// Start and Latest are times of day; Late is true when the row is too late before the session has begun.
	Start, Latest string
	Late          bool
	Checkpoint    bool
	Hold          bool
	// Proof is true for a step that is done again because work has stopped.
	Proof bool
	// Safe is true when it is safe to stop after the row.
	Safe bool
}

// planStep is a step on a plan, by its number and title for paper and as a link.
type planStep struct {
	Number int
	Title  string
	Link   template.HTML
}

func (e *emitter) splitView(s page.Shell, a *agenda, p *sessions.Plan, id string) *splitView {
	v := &splitView{ID: id, Careful: e.words.Number(100*a.Rules.Confidence, 1)}
	again := a.byItem(p)
	for _, session := range p.Sessions {
		view := e.sessionView(s, a.Rules, session, again)
		if teams := a.Course.Pace.Teams; teams > 1 {
			view.Overrun = e.words.T("plan.overrun.teams", view.Overrun, teams, e.percent(session.AllKeep(teams, a.class(&session).Apart)))
		}
		view.ID = id + "-" + strconv.Itoa(session.Number)
		if id == "own" {
			view.Title, view.Sheet = a.Course.Sessions[session.Number-1].Title, s.Link(page.SessionPath(a.Course, session.Number))
		} else {
			view.Sheet = s.Link(page.ProposedSessionPath(a.Course, session.Number))
		}
		v.Overrun = v.Overrun || !session.Fits
		v.Sessions = append(v.Sessions, view)
	}
	for _, b := range p.Breaches {
		v.Breaches = append(v.Breaches, e.words.T("plan.breach", b.Item.Title, b.Step.Number, b.Step.Title))
	}
	return v
}

// byItem returns which repetition each item of a plan is. A plan points at items of
// its own: those of the course, in the same order.
func (a *agenda) byItem(p *sessions.Plan) map[*sessions.Item]int {
	var all []int
	for _, r := range a.Repeats {
		all = append(all, r...)
	}
	out := map[*sessions.Item]int{}
	for _, s := range p.Sessions {
		for _, r := range s.Rows {
			if _, known := out[r.Item]; r.Item != nil && !known {
				out[r.Item] = all[len(out)]
			}
		}
	}
	return out
}

func (e *emitter) sessionView(s page.Shell, r sessions.Rules, session sessions.Session, again map[*sessions.Item]int) sessionView {
	v := sessionView{
		Number: session.Number, Work: schedule.Duration(session.Work), Ends: r.Clock(session.End), Careful: r.Clock(session.CarefulEnd), Close: r.Clock(r.Length),
		Overrun: e.percent(session.Overrun), Fits: session.Fits, LongStretch: session.LongStretch,
	}
	if session.Spare < -0.5 {
		v.Beyond = schedule.Duration(-session.Spare)
	}
	if session.Stop != sessions.NotSafe {
		v.Why = e.words.T("plan.stop." + string(session.Stop))
	}
	var item *sessions.Item
	chapter := ""
	for _, row := range session.Rows {
		shown := e.planRow(s, r, row, row.Item != item, again[row.Item])
		if row.Step != nil && (row.Step.Chapter != chapter || shown.Item != "") {
			chapter, shown.Chapter = row.Step.Chapter, row.Step.Chapter
		}
		v.Rows = append(v.Rows, shown)
		if row.Item != nil {
			item = row.Item
		}
		if row.Kind == sessions.WorkRow {
			v.Last = row.Item.Title
			if row.Step != nil {
				v.Last = e.words.T("plan.step", row.Step.Number, row.Step.Title)
			}
		}
	}
	return v
}

func (e *emitter) planRow(s page.Shell, r sessions.Rules, row sessions.Row, fresh bool, again int) planRow {
	v := planRow{Kind: row.Kind, Start: r.Clock(row.Start), Latest: r.Clock(row.Latest), Late: row.Latest < 0, Checkpoint: row.Checkpoint, Safe: row.Kind == sessions.WorkRow && row.Stop != sessions.NotSafe}
	switch {
	case row.Item == nil:
		v.Words = e.words.T("plan.row." + string(row.Kind))
	case row.Step == nil:
		v.Words = row.Item.Title
	default:
		if fresh {
			v.Item, v.Again = e.jobTitle(row.Item.Job), e.again(again)
		}
		v.Step = &planStep{row.Step.Number, row.Step.Title, linkTo(row.Step, s.Link(page.StepsPath(row.Job)))}
		v.Who = e.lib.TradeNames(row.Step.Trades())
		v.Proof = row.Kind == sessions.ProofRow
		v.Hold = state.Hold(row.Step) != nil
	}
	return v
}

// again says which repetition it is; nothing for the first.
func (e *emitter) again(n int) string {
	if n < 2 {
		return ""
	}
	return e.words.T("plan.again", n)
}

// obstacleView says why there is no split, and what would have to change.
type obstacleView struct {
	Run string
	// Stops are the steps that would have to become safe stops, Others those that would do instead.
	Stops, Others []string
	// Long are the runs that no safe stop can help with.
	Long []string
}

func (e *emitter) obstacleView(o sessions.Obstacle) obstacleView {
	v := obstacleView{Run: e.words.T("plan.obstacle", e.run(o.Item, o.From, o.To), schedule.Duration(o.Needs))}
	for _, p := range o.Stops {
		v.Stops = append(v.Stops, e.proposal(p))
	}
	for _, p := range o.Others {
		v.Others = append(v.Others, e.proposal(p))
	}
	for _, l := range o.TooLong {
		run, needs := e.run(l.Item, l.From, l.To), schedule.Duration(l.Needs)
		if l.Hangs != nil {
			v.Long = append(v.Long, e.words.T("plan.long.hangs", run, needs, l.Hangs.Name))
		} else {
			v.Long = append(v.Long, e.words.T("plan.long.step", run, needs))
		}
	}
	return v
}

func (e *emitter) proposal(p sessions.Proposal) string {
	return e.words.T("plan.proposal", p.Item.Title, p.Step.Number, p.Step.Title, e.percent(p.Overrun))
}

// run names a run of steps, or an item without steps.
func (e *emitter) run(it *sessions.Item, from, to *procedure.Step) string {
	switch {
	case from == nil || to == nil:
		return it.Title
	case from == to:
		return e.words.T("plan.run.one", it.Title, from.Number, from.Title)
	}
	return e.words.T("plan.run", it.Title, from.Number, from.Title, to.Number, to.Title)
}

// name is the session's number, with its title if the course gives it one.
func (v *sessionView) name() string {
	if v.Title == "" {
		return strconv.Itoa(v.Number)
	}
	return strconv.Itoa(v.Number) + " " + v.Title
}

// about says which session a sheet or a timetable is of: of the course's own, or of those proposed.
func (v *sessionView) about(w *themes.Words, own bool) string {
	if own {
		return strconv.Itoa(v.Number)
	}
	return w.T("plan.sheet.proposed") + ", " + strconv.Itoa(v.Number)
}

// class is what a row of the timetable is.
func (r *planRow) class() string {
	class := string(r.Kind)
	if r.Checkpoint {
		class += " checkpoint"
	}
	if r.Hold {
		class += " held"
	}
	return class
}
