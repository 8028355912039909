package planning

import (
	"html/template"
	"strings"

	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
	"matchmark/themes"
)

// sheetView is the trainer's sheet for one session: when to be where, what to lay
// out, and the breakdown of the job by TWI job instruction.
type sheetView struct {
	sheet.Head
	Session sessionView
	// Marks are the rows to compare the clock at.
	Marks []planRow
	// Visits are the trainer's to several teams; nil for one.
	Visits   *visitsView
	Supplies []supplyGroup
	Items    []breakdown
}

// breakdown is an item of the session, taken apart.
type breakdown struct {
	// Title is empty for a quiz, which is a step of its own. Again says which repetition it is.
	Title, Again string
	Steps        []importantStep
}

// importantStep is a step with what makes or breaks it.
type importantStep struct {
	Number   int
	Title    string
	Time     string
	People   int
	Who      []string
	Cautions []page.Caution
	Points   []keyPoint
	Holds    []hold
	// Lines is how many rows of the table the step takes.
	Lines int
}

// caution is what a signal panel shows.
type keyPoint struct {
	Point  string
	Reason template.HTML
}

type hold struct{ Title, Signature string }

// sessionSheets writes the sheets of a plan's sessions.
func (e *emitter) sessionSheets(a *agenda, p *sessions.Plan, path func(*procedure.Course, int) string) error {
	again := a.byItem(p)
	for _, s := range p.Sessions {
		if err := e.sessionSheet(a, s, len(p.Sessions), path(a.Course, s.Number), again); err != nil {
			return err
		}
	}
	return nil
}

func (e *emitter) sessionSheet(a *agenda, s sessions.Session, of int, at string, again map[*sessions.Item]int) error {
	c := a.Course
	name := e.words.T("plan.sheet.of", s.Number, of)
	v := sheetView{Head: sheet.NewHead(e.lib, e.words, at, e.words.T("plan.sheet"), c.Title, name, page.Crumb{Title: c.Title, Link: page.CoursePath(c)})}
	v.Crumbs = append(v.Crumbs, page.Crumb{Title: e.words.T("plan.sessions"), Link: v.Link(page.PlanPath(c))})
	v.Here = name
	v.Styles = append(v.Styles, "plan.css")
	if at == page.SessionPath(c, s.Number) {
		v.On = c.Sessions[s.Number-1].Title
	} else {
		v.On = e.words.T("plan.sheet.proposed")
	}
	for _, field := range []string{"trainer", "date", "learners"} {
		v.Fields = append(v.Fields, e.words.T("plan.field."+field))
	}
	var err error
	if v.Code, err = sheet.NewCode(e.lib, page.PlanPath(c), e.words.T("plan.sheet.code")); err != nil {
		return err
	}
	v.Session = e.sessionView(v.Shell, a.Rules, s, again)
	for _, row := range v.Session.Rows {
		if row.Checkpoint || row.Kind != sessions.WorkRow {
			v.Marks = append(v.Marks, row)
		}
	}
	v.Visits = e.visits(a, &s)
	v.Supplies = e.layOut(v.Shell, s)
	var item *sessions.Item
	var before *procedure.Step
	for _, row := range s.Rows {
		if row.Item == nil {
			continue
		}
		if row.Item != item {
			item, before = row.Item, nil
			var b breakdown
			if item.Job != nil {
				b = breakdown{Title: e.jobTitle(item.Job), Again: e.again(again[item])}
			}
			v.Items = append(v.Items, b)
		}
		last := &v.Items[len(v.Items)-1]
		last.Steps = append(last.Steps, e.importantStep(row, before))
		before = row.Step
	}
	return page.Write(e.out, at, sessionSheet(v))
}

func (e *emitter) importantStep(row sessions.Row, before *procedure.Step) importantStep {
	out := importantStep{Time: schedule.Duration(row.End - row.Start), Title: row.Item.Title}
	if s := row.Step; s != nil {
		out.Number, out.Title, out.People, out.Who = s.Number, s.Title, s.People, e.lib.TradeNames(s.Trades())
		if row.Kind == sessions.ProofRow {
			out.Title = e.words.T("plan.proof.step", s.Title)
		}
		for _, b := range s.Blocks {
			shown := procedure.SessionSheet.On(b)
			if c := shown.Warning; c != nil && !c.Repeats(s, before) {
				out.Cautions = append(out.Cautions, page.Caution{Signal: c.Signal, Text: page.Markup(c.Prose)})
			}
			if p := shown.Point; p != nil {
				out.Points = append(out.Points, keyPoint{p.Point, page.Inline(p.Reason)})
			}
			for _, p := range []*procedure.Prose{shown.Text, shown.Advice} {
				if p != nil {
					out.Points = append(out.Points, keyPoint{Reason: page.Inline(*p)})
				}
			}
			if h := shown.Hold; h != nil {
				out.Holds = append(out.Holds, hold{strings.TrimSuffix(h.Title, ":"), h.Signature})
			}
		}
	}
	out.Lines = max(len(out.Cautions)+len(out.Points)+len(out.Holds), 1)
	return out
}

// duration is the step's time, and who is needed for it if that is more than one.
func (s *importantStep) duration(w *themes.Words) string {
	out := s.Time
	if s.People > 1 {
		out += " · " + w.Count("plan.people", s.People)
	}
	return strings.Join(append([]string{out}, s.Who...), " · ")
}
