package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/procedure/sessions"
	"matchmark/procedure/state"
	"matchmark/procedure/supplies"
	"matchmark/themes"
)

// EmitCourse writes the papers of a course, as far as the library makes them.
func EmitCourse(lib *procedure.Library, theme *themes.Theme, out output.Sink, c *procedure.Course) error {
	kinds := PapersOf(lib)
	if len(kinds) == 0 {
		return nil
	}
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	e, err := newCourse(emitter{lib: lib, words: words, out: out}, c)
	for _, k := range kinds {
		if err == nil {
			err = e.paperOf(k)
		}
	}
	if err != nil {
		return fmt.Errorf("papers of %s: %w", page.CoursePath(c), err)
	}
	return nil
}

// courseEmitter makes the papers of one course.
type courseEmitter struct {
	emitter
	course *procedure.Course
	agenda *sessions.Agenda
	plan   *sessions.Plan
	lists  map[*procedure.Job]supplies.List
}

func newCourse(e emitter, c *procedure.Course) (*courseEmitter, error) {
	out := &courseEmitter{emitter: e, course: c, agenda: sessions.AgendaOf(c), lists: map[*procedure.Job]supplies.List{}}
	var err error
	out.plan, err = sessions.As(out.agenda.Groups, out.agenda.Rules)
	for _, job := range out.agenda.Jobs {
		if job.Machine == nil {
			return nil, fmt.Errorf("the machine of %s is not there", page.ProcedurePath(job.Procedure))
		}
		out.lists[job] = supplies.For(job)
	}
	return out, err
}

func (e *courseEmitter) paperOf(k Kind) error {
	switch k {
	case Class:
		return e.class(k)
	case Order:
		return e.order(k)
	case Lesson:
		return e.lesson(k)
	}
	return e.attendance(k)
}

// begin begins a paper of the course.
func (e *courseEmitter) begin(k Kind, signs ...string) (paperView, error) {
	c := e.course
	h := NewHead(e.lib, e.words, k.PathOf(c), k.Title(e.words), c.Title, "", page.Crumb{Title: c.Title, Link: page.CoursePath(c)})
	for _, field := range []string{"trainer", "date", "learners"} {
		h.Fields = append(h.Fields, e.words.T("plan.field."+field))
	}
	var err error
	h.Code, err = NewCode(e.lib, page.PlanPath(c), e.words.T("plan.sheet.code"))
	return e.begun(h, k, signs), err
}

func (e *courseEmitter) writeOf(k Kind, v paperView) error {
	return page.Write(e.out, k.PathOf(e.course), paperPage(v))
}

// session names a session of the course.
func (e *courseEmitter) session(i int) string {
	return e.words.T("paper.session", i+1) + ": " + e.course.Sessions[i].Title
}

// jobTitle names a job by its procedure and variant.
func jobTitle(job *procedure.Job) string {
	if job.Variant == nil {
		return job.Procedure.Title
	}
	return job.Procedure.Title + ", " + job.Variant.Name
}

// eachItem calls f with the work of each session in order, and with the numbers of the steps that belong to it.
func (e *courseEmitter) eachItem(f func(session int, it *sessions.Item, steps []int)) {
	for i, group := range e.agenda.Groups {
		for j := range group {
			it := &group[j]
			if it.Job == nil {
				continue
			}
			var steps []int
			inside := it.From == ""
			for _, s := range it.Job.Steps {
				inside = inside || s.ID == it.From
				if inside {
					steps = append(steps, s.Number)
				}
				if it.To != "" && s.ID == it.To {
					break
				}
			}
			f(i, it, steps)
		}
	}
}

// attendance is who was there, session by session.
func (e *courseEmitter) attendance(k Kind) error {
	v, err := e.begin(k, "trainer")
	if err != nil {
		return err
	}
	t := e.table(k, "who", "name", "tickets-seen")
	for i := range e.course.Sessions {
		t.Columns = append(t.Columns, paperColumn{Name: e.words.T("paper.session", i+1)})
	}
	t.Rows = blankRows(max(e.atWork()+2, 8), len(t.Columns))
	when := e.table(k, "when", "session", "planned", "begun", "ended")
	for i, s := range e.plan.Sessions {
		when.add(cell(e.session(i)), cell(e.words.T("paper.from-to", e.agenda.Rules.Clock(0), e.agenda.Rules.Clock(s.End))), paperCell{}, paperCell{})
	}
	v.Tables = []paperTable{t, when}
	return e.writeOf(k, v)
}

// atWork is how many can be at work at once: so many on each machine.
func (e *courseEmitter) atWork() int { return e.course.Pace.Teams * e.course.Pace.People }

// lesson is what the trainer does in each session, after the four steps of job instruction: prepare, present, try out, follow up.
//
// Source: Training Within Industry, Job Instruction card, War Production Board, 1943 (public domain), from memory.
func (e *courseEmitter) lesson(k Kind) error {
	v, err := e.begin(k, "trainer")
	if err != nil {
		return err
	}
	for i, s := range e.plan.Sessions {
		t := e.table(k, "session", "time", "what", "on-board", "initials")
		t.ID = "session-" + strconv.Itoa(s.Number)
		t.Title = e.session(i)
		e.prepare(&t, i)
		e.present(&t, i)
		e.tryOut(&t, s)
		e.followUpOf(&t)
		v.Tables = append(v.Tables, t)
	}
	return e.writeOf(k, v)
}

func (t *paperTable) heading(words string) { t.Rows = append(t.Rows, paperRow{Heading: words}) }

// prepare is the briefing: the aims go on the board.
func (e *courseEmitter) prepare(t *paperTable, session int) {
	t.heading(e.words.T("paper.lesson.prepare"))
	aims := paperCell{}
	e.eachItem(func(i int, it *sessions.Item, _ []int) {
		for _, aim := range it.Job.Procedure.Aims {
			if i == session && !slices.Contains(aims.Lines, aim) {
				aims.Lines = append(aims.Lines, aim)
			}
		}
	})
	t.add(paperCell{}, cell(e.words.T("paper.lesson.brief")), aims, paperCell{})
	t.add(paperCell{}, cell(e.words.T("paper.lesson.know")), paperCell{}, paperCell{})
}

// present is the demonstration: the steps with key points, which go on the board.
func (e *courseEmitter) present(t *paperTable, session int) {
	t.heading(e.words.T("paper.lesson.present"))
	e.eachItem(func(i int, it *sessions.Item, steps []int) {
		if i != session {
			return
		}
		for _, s := range it.Job.Steps {
			if !slices.Contains(steps, s.Number) {
				continue
			}
			var board paperCell
			for _, b := range s.Blocks {
				if p := b.Shows().Point; p != nil {
					board.Lines = append(board.Lines, joined(p.Point, p.Reason.Plain()))
				}
			}
			if len(board.Lines) > 0 {
				t.add(paperCell{}, cell(it.Title, stepTitle(s)), board, paperCell{})
			}
		}
	})
	t.add(paperCell{}, cell(e.words.T("paper.lesson.back")), paperCell{}, paperCell{})
}

// tryOut is the supervised work, as it is planned: what is done when, where somebody signs, and the breaks.
func (e *courseEmitter) tryOut(t *paperTable, s sessions.Session) {
	t.heading(e.words.T("paper.lesson.try"))
	r := e.agenda.Rules
	var run []sessions.Row // steps of one item in a row
	flush := func() {
		if len(run) == 0 {
			return
		}
		first, last := run[0], run[len(run)-1]
		what := cell(first.Item.Title)
		if first.Step != nil {
			what.Lines = append(what.Lines, e.words.T("paper.lesson.run", first.Step.Number, last.Step.Number))
		}
		board := paperCell{}
		if last.Step != nil {
			if hold := state.Hold(last.Step); hold != nil {
				board = strong(e.words.T("paper.holds-at", hold.Title))
			}
		}
		t.add(cell(e.words.T("paper.from-to", r.Clock(first.Start), r.Clock(last.End))), what, board, paperCell{})
		run = nil
	}
	for _, row := range s.Rows {
		switch {
		case row.Item == nil:
			flush()
			t.add(cell(e.words.T("paper.from-to", r.Clock(row.Start), r.Clock(row.End))), strong(e.words.T("plan.row."+string(row.Kind))), paperCell{}, paperCell{})
			continue
		case len(run) > 0 && (run[0].Item != row.Item || run[0].Kind != row.Kind):
			flush()
		}
		run = append(run, row)
		if row.Step != nil && state.Hold(row.Step) != nil {
			flush()
		}
	}
	flush()
}

func (e *courseEmitter) followUpOf(t *paperTable) {
	t.heading(e.words.T("paper.lesson.follow"))
	for _, key := range []string{"debrief", "ask", "next"} {
		t.add(paperCell{}, cell(e.words.T("paper.lesson."+key)), paperCell{}, paperCell{})
	}
}

// order is what the course uses up for all its machines, by when, and which dates of tools must hold.
func (e *courseEmitter) order(k Kind) error {
	v, err := e.begin(k, "ordered", "checked")
	if err != nil {
		return err
	}
	fresh, used := e.table(k, "new", "what", "amount", "needed-by", "ordered", "there"), e.table(k, "used", "what", "amount", "needed-by", "ordered", "there")
	for _, x := range e.usedUp() {
		t := &used
		if x.single {
			t = &fresh
		}
		t.add(cell(x.name, x.detail, x.threads), cell(x.amount(e)), cell(e.words.T("paper.session", x.session+1)), paperCell{}, paperCell{})
	}
	for _, t := range []*paperTable{&fresh, &used} {
		if len(t.Rows) == 0 {
			t.Lead = e.words.T("paper.order.none")
			t.Rows = blankRows(2, len(t.Columns))
		}
	}
	spare := e.table(k, "spare", "what", "amount", "needed-by", "ordered", "there")
	spare.Rows = blankRows(4, len(spare.Columns))
	v.Tables = []paperTable{fresh, used, spare, e.datesOfTools(k)}
	return e.writeOf(k, v)
}

// usedThing is something that a course uses up.
type usedThing struct {
	key, name, detail string
	// threads says on which threads it goes; empty for none.
	threads string
	single  bool
	// each is how much one job takes, in words, or pieces for what is counted; times is how many jobs do, on all machines.
	each    string
	pieces  int
	times   int
	session int // of the first job that takes it
}

func (x *usedThing) amount(e *courseEmitter) string {
	switch {
	case x.pieces > 0:
		return e.words.Count("sheet.pieces", x.pieces*x.times)
	case x.each != "" && x.times > 1:
		return e.words.T("paper.order.times", x.times, x.each)
	}
	return x.each
}

// usedUp lists what is renewed and used up, each once.
func (e *courseEmitter) usedUp() []usedThing {
	var out []usedThing
	note := func(x usedThing) {
		if at := slices.IndexFunc(out, func(o usedThing) bool { return o.key == x.key }); at >= 0 {
			out[at].times += x.times
			out[at].threads = cmp.Or(out[at].threads, x.threads)
			return
		}
		out = append(out, x)
	}
	teams := e.course.Pace.Teams
	e.eachItem(func(session int, it *sessions.Item, steps []int) {
		list, machine := e.lists[it.Job], it.Job.Machine
		inside := func(of []int) bool {
			return slices.ContainsFunc(of, func(n int) bool { return slices.Contains(steps, n) })
		}
		for _, r := range list.Renewals {
			if !inside([]int{r.Step}) {
				continue
			}
			x := usedThing{key: machine.ID + "/" + r.Row().ID, name: r.Row().Name, detail: machine.Title, single: true, pieces: 1, times: teams, session: session}
			switch {
			case r.Fastener != nil:
				x.name, x.pieces = r.Fastener.ID+" "+r.Fastener.Name, r.Fastener.Count
				x.detail = joined(page.Shell{Words: e.words}.ThreadAndLength(r.Fastener), machine.Title)
			case r.Fluid != nil:
				x.single, x.pieces, x.each = false, 0, e.quantity(r.Fluid.Quantity)
			}
			note(x)
		}
		threads := map[*procedure.Tool]string{}
		for _, t := range list.Treatments {
			switch {
			case !inside(t.Steps):
			case t.Tool != nil:
				threads[t.Tool] = e.threads(t)
			default:
				note(usedThing{key: "treatment/" + t.Name, name: t.Name, threads: e.threads(t), times: teams, session: session})
			}
		}
		used := func(t *procedure.Tool, amount measure.Quantity) {
			note(usedThing{key: machine.ID + "/" + t.ID, name: t.Name, detail: machine.Title, threads: threads[t], each: e.quantity(amount), times: teams, session: session})
			delete(threads, t)
		}
		for _, g := range list.Tools {
			for _, t := range g.Tools {
				if (g.Kind == procedure.Consumable || g.Kind == procedure.Marking) && inside(t.Steps) {
					used(t.Tool, t.Amount())
				}
			}
		}
		for _, t := range list.Treatments { // what no step names among its tools
			if _, open := threads[t.Tool]; open {
				used(t.Tool, t.Tool.Quantity)
			}
		}
	})
	return out
}

// threads says on which threads a treatment goes.
func (e *courseEmitter) threads(t supplies.Treatment) string {
	return joined(e.words.T("sheet.treatment", t.Name), e.fastenersOf(t))
}

// datesOfTools are the dates that must hold on the day: of torque wrenches, of lifting gear and of protection.
func (e *courseEmitter) datesOfTools(k Kind) paperTable {
	t := e.table(k, "dates", "what", "date-of", "holds-until", "seen-by")
	var known []string
	note := func(m *procedure.Machine, id, name, date string) {
		if id = m.ID + "/" + id; !slices.Contains(known, id) {
			known = append(known, id)
			t.add(cell(name, m.Title), cell(e.words.T("paper.order."+date)), paperCell{}, paperCell{})
		}
	}
	for _, job := range e.agenda.Jobs {
		list, torques := e.lists[job], torquesOf(job)
		for _, g := range list.Tools {
			for _, x := range g.Tools {
				switch {
				case g.Kind == procedure.HandTool && slices.ContainsFunc(torques, func(f *procedure.Fastener) bool { return supplies.Covers(x.Tool, f.Torque) }):
					note(job.Machine, x.ID, x.Name, "calibrated")
				case g.Kind == procedure.Lifting:
					note(job.Machine, x.ID, x.Name, "inspected")
				case g.Kind == procedure.Protection:
					note(job.Machine, x.ID, x.Name, "usable")
				}
			}
		}
		for _, s := range list.Supports {
			note(job.Machine, s.ID, s.Name, "inspected")
		}
	}
	t.Rows = append(t.Rows, blankRows(3, len(t.Columns))...)
	return t
}

func torquesOf(job *procedure.Job) []*procedure.Fastener {
	var out []*procedure.Fastener
	for _, t := range analysis.NewJob(job).Torques() {
		if !t.Fastener.Torque.IsZero() {
			out = append(out, t.Fastener)
		}
	}
	return out
}

// class is how many can learn at once and why, who does what when, who may come, and what to ask beforehand.
func (e *courseEmitter) class(k Kind) error {
	v, err := e.begin(k, "trainer")
	if err != nil {
		return err
	}
	v.Tables = []paperTable{e.limits(k), e.rota(k), e.entry(k), e.beforehand(k)}
	return e.writeOf(k, v)
}

func (e *courseEmitter) limits(k Kind) paperTable {
	t, p := e.table(k, "limits", "what", "number", "means"), e.course.Pace
	t.add(cell(e.words.T("paper.class.machines")), cell(strconv.Itoa(p.Teams)), cell(e.words.T("paper.class.machines.means")))
	t.add(cell(e.words.T("paper.class.people")), cell(strconv.Itoa(p.People)), cell(e.words.T("paper.class.people.means")))
	t.add(strong(e.words.T("paper.class.at-work")), strong(strconv.Itoa(e.atWork())), cell(e.words.T("paper.class.at-work.means")))
	for _, job := range e.agenda.Jobs {
		var pairs []int
		signed := 0
		for _, s := range job.Steps {
			if s.Crew() > 1 {
				pairs = append(pairs, s.Number)
			}
			if hold := state.Hold(s); hold != nil && hold.Signature != "" {
				signed++
			}
		}
		t.heading(jobTitle(job))
		if len(pairs) > 0 {
			t.add(cell(e.words.T("paper.class.pairs")), cell(e.stepsOf(pairs)), cell(e.words.T("paper.class.pairs.means")))
		}
		if signed > 0 {
			t.add(cell(e.words.T("paper.class.signed")), cell(strconv.Itoa(signed*p.Teams)), cell(e.words.T("paper.class.signed.means")))
		}
		for _, name := range e.single(job) {
			t.add(cell(name), cell("1"), cell(e.words.T("paper.class.single")))
		}
	}
	return t
}

// single are the tools of which there is one in the shop, and the lifting gear of a job.
func (e *courseEmitter) single(job *procedure.Job) []string {
	var out []string
	for _, g := range e.lists[job].Tools {
		for _, t := range g.Tools {
			if t.Single {
				out = append(out, t.Name)
			}
		}
	}
	for _, s := range e.lists[job].Supports {
		if can := s.Ability(); can.Holds() && !can.Hands {
			out = append(out, s.Name)
		}
	}
	return out
}

// rota changes the roles of a pair from one item of the course to the next.
func (e *courseEmitter) rota(k Kind) paperTable {
	t := e.table(k, "rota", "session", "work", "learner-a", "learner-b")
	n := 0
	e.eachItem(func(session int, it *sessions.Item, _ []int) {
		roles := []string{e.words.T("assess.role.does"), e.words.T("assess.role.checks")}
		if n%2 == 1 {
			slices.Reverse(roles)
		}
		n++
		t.add(cell(e.session(session)), cell(it.Title), cell(roles[0]), cell(roles[1]))
	})
	if n%2 == 1 {
		t.Lead = e.words.T("paper.class.odd")
	}
	return t
}

// entry is what whoever comes must bring: the tickets that steps ask for, and what the trainer adds.
func (e *courseEmitter) entry(k Kind) paperTable {
	t := e.table(k, "entry", "what", "where-needed", "seen-by")
	var tickets []procedure.Ref
	steps := map[string][]string{}
	for _, job := range e.agenda.Jobs {
		for _, s := range job.Steps {
			for _, r := range s.Trades() {
				if steps[r.ID] == nil {
					tickets = append(tickets, r)
				}
				if where := jobTitle(job); !slices.Contains(steps[r.ID], where) {
					steps[r.ID] = append(steps[r.ID], where)
				}
			}
		}
	}
	for i, name := range e.lib.TradeNames(tickets) {
		t.add(cell(name), cell(steps[tickets[i].ID]...), paperCell{})
	}
	t.Rows = append(t.Rows, blankRows(3, len(t.Columns))...)
	return t
}

// mostAsked is how many questions there are beforehand, at most.
const mostAsked = 8

// beforehand are the critical questions of the course's quizzes, to be answered in the learner's own words.
func (e *courseEmitter) beforehand(k Kind) paperTable {
	t := e.table(k, "beforehand", "question", "answer", "right")
	for _, s := range e.course.Sessions {
		for _, item := range s.Items {
			if item.Quiz == nil {
				continue
			}
			for _, q := range item.Quiz.Questions {
				if q.Critical && len(t.Rows) < mostAsked {
					t.add(cell(q.Stem.Plain()), paperCell{}, paperCell{})
				}
			}
		}
	}
	if len(t.Rows) == 0 {
		t.Lead = e.words.T("paper.class.no-questions")
		t.Rows = blankRows(4, len(t.Columns))
	}
	return t
}
