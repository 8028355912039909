package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
	"matchmark/procedure/measure"
	"matchmark/procedure/supplies"
)

// toolsView is the sheet from which everything is laid out before the job.
type toolsView struct {
	Head
	Tables []table
}

// table is one group of things to lay out.
type table struct {
	ID, Title string
	// Fact names the column that tells more about a thing; empty when there is none.
	Fact string
	Rows []tableRow
}

type tableRow struct {
	Name, Detail, Quantity, Fact string
	// Alarm is true when the fact is something to put right before starting.
	Alarm bool
	// First is the first step that needs the thing, and Others the later ones.
	First  int
	Others string
}

func (e emitter) tools() error {
	h, err := e.head(Tools, "laid-out", "date", "machine")
	if err != nil {
		return err
	}
	v := toolsView{Head: h}
	add := func(t table) {
		if len(t.Rows) > 0 {
			v.Tables = append(v.Tables, t)
		}
	}
	for _, kind := range procedure.ToolKinds {
		t := e.toolTable(h.Shell, kind)
		switch kind {
		case procedure.HandTool:
			t.Rows = append(t.Rows, e.wrench(h.Shell)...)
			add(t)
		case procedure.Lifting:
			add(t)
			add(e.supports(h.Shell))
			add(e.brought(h.Shell))
		case procedure.Container:
			t.Fact = e.words.T("sheet.takes")
			e.addContents(h.Shell, t.Rows)
			add(t)
		case procedure.Marking:
			add(t)
			add(e.bagsAndLabels())
		case procedure.Consumable:
			t.Rows = append(append(t.Rows, e.renewals(h.Shell)...), e.treatments()...)
			add(t)
		default:
			add(t)
		}
	}
	add(e.wastes(h.Shell))
	add(e.papers())
	return e.write(Tools, toolsPage(v))
}

// toolTable lists the tools of one kind; without rows when the job needs none.
func (e emitter) toolTable(s page.Shell, kind procedure.ToolKind) table {
	t := table{ID: string(kind), Title: e.words.T("tool-kind." + string(kind))}
	for _, tool := range e.toolsOf(kind) {
		r := tableRow{Name: s.Revised(tool.Tool), Detail: tool.Note, Quantity: e.howMuch(s, tool.Amount())}
		if pieces, limited := tool.Pieces(); limited && r.Quantity == "" {
			r.Quantity = e.words.Count("sheet.pieces", pieces) // the rosters count with it
		}
		if tool.Single {
			r.Detail = joined(r.Detail, e.words.T("sheet.single"))
		}
		r.First, r.Others = steps(tool.Steps)
		t.Rows = append(t.Rows, r)
	}
	return t
}

// howMuch writes a quantity; pieces are counted in words.
func (e emitter) howMuch(s page.Shell, q measure.Quantity) string {
	if q.Dimension() == measure.Count {
		return e.words.Count("sheet.pieces", int(q.Float("pcs")))
	}
	return s.Quantity(q)
}

func (e emitter) toolsOf(kind procedure.ToolKind) []supplies.Tool {
	for _, g := range e.list.Tools {
		if g.Kind == kind {
			return g.Tools
		}
	}
	return nil
}

// addContents says what goes into each container, and whether it is large enough.
func (e emitter) addContents(s page.Shell, rows []tableRow) {
	for i, tool := range e.toolsOf(procedure.Container) {
		var takes []string
		last := supplies.Drain{}
		for _, d := range e.list.Drains {
			if d.Container == tool.Tool {
				takes = append(takes, strings.TrimSpace(d.Fluid.Name+" "+s.Quantity(d.Fluid.Quantity)))
				last = d
			}
		}
		rows[i].Fact = strings.Join(takes, ", ")
		if last.Fit == supplies.Overflows {
			rows[i].Alarm = true
			rows[i].Fact += ". " + e.words.T("sheet.too-small", s.Quantity(last.Held))
		}
	}
}

// brought lists what is put on for the job, with where it comes off again.
func (e emitter) brought(s page.Shell) table {
	t := table{ID: "brought", Title: e.words.T("sheet.brought"), Fact: e.words.T("sheet.brought.off")}
	for _, b := range e.list.Brought {
		var r tableRow
		switch f, p := b.Fastener, b.Part; {
		case f != nil:
			r = tableRow{Name: fmt.Sprintf("%s %s", f.ID, f.Name), Detail: joined(s.ThreadAndLength(f), f.Note), Quantity: e.words.Count("sheet.pieces", f.Count)}
		default:
			r = tableRow{Name: p.Name, Detail: p.Note, Quantity: s.Quantity(p.Mass)}
		}
		r.Fact = e.words.T("sheet.brought.stays")
		if b.Last > 0 {
			r.Fact = e.words.T("sheet.step", b.Last)
		}
		r.First, r.Others = steps(b.Steps)
		t.Rows = append(t.Rows, r)
	}
	return t
}

// supports lists what carries parts, with what it is rated for.
func (e emitter) supports(s page.Shell) table {
	t := table{ID: "supports", Title: e.words.T("sheet.supports"), Fact: e.words.T("sheet.carries")}
	for _, support := range e.list.Supports {
		r := tableRow{Name: support.Name, Detail: support.Note}
		if support.Capacity.IsZero() {
			r.Quantity = e.words.T("sheet.rated.none")
		} else {
			r.Quantity = e.words.T("sheet.rated", s.Quantity(support.Capacity))
		}
		if support.Legs > 0 {
			r.Detail = joined(e.words.Count("sheet.legs", support.Legs), s.Quantity(support.Angle), s.Quantity(support.OtherAngle), r.Detail)
		}
		var carries []string
		for _, p := range support.Parts {
			carries = append(carries, strings.TrimSpace(p.Name+" "+e.carriedMass(s, support.Support, p)))
		}
		r.Fact = strings.Join(carries, ", ")
		r.First, r.Others = steps(support.Steps)
		t.Rows = append(t.Rows, r)
	}
	return t
}

// carriedMass is what a support has of a part: the most that comes along with it in a lift on that support, or in one that ends there;
// or the part's own mass.
func (e emitter) carriedMass(s page.Shell, support *procedure.Support, p *procedure.Part) string {
	return e.mostMass(s, p, func(l *lifts.Lift) bool {
		return l.Gear != nil && slices.ContainsFunc(l.Gear.Items, func(x lifting.Item) bool { return x.Support == support }) || e.endsOn(l, support)
	})
}

// endsOn reports whether a lifted part is set down on the support.
func (e emitter) endsOn(l *lifts.Lift, support *procedure.Support) bool {
	return slices.ContainsFunc(e.job.Steps, func(step *procedure.Step) bool {
		return slices.ContainsFunc(step.Actions(), func(a *procedure.Action) bool {
			return a.Verb == procedure.SetDown && slices.ContainsFunc(a.With, func(r procedure.Ref) bool { return r.ID == support.ID }) &&
				lifts.With(e.lifts, step, a) == l
		})
	})
}

// mostMass is the most that comes along with a part in one of its lifts that fit, or the part's own mass.
func (e emitter) mostMass(s page.Shell, p *procedure.Part, fits func(l *lifts.Lift) bool) string {
	var most *lifts.Lift
	for i := range e.lifts {
		l := &e.lifts[i]
		if l.Part == p && len(l.Along) > 0 && fits(l) && (most == nil || l.Mass.Compare(most.Mass) > 0) {
			most = l
		}
	}
	if most == nil {
		return s.Quantity(p.Mass)
	}
	return liftwords.WithAlong(e.words, *most, s.Quantity)
}

func (e emitter) bagsAndLabels() table {
	t := table{ID: "bags", Title: e.words.T("sheet.bags-and-labels"), Fact: e.words.T("sheet.holds")}
	for _, b := range e.list.Bags {
		var numbers []string
		for _, i := range b.Items {
			numbers = append(numbers, i.ID)
		}
		r := tableRow{Name: e.bagName(b), Quantity: e.words.Count("sheet.pieces", b.Pieces()), First: b.Step}
		r.Fact = e.words.T("sheet.numbers", strings.Join(numbers, ", "))
		t.Rows = append(t.Rows, r)
	}
	if n := len(e.list.Labels); n > 0 {
		t.Rows = append(t.Rows, tableRow{Name: e.words.T("sheet.labels.ready"), Quantity: e.words.Count("sheet.pieces", n), First: e.list.Labels[0].Step})
	}
	return t
}

// bagName is the bag's name, or the step for which a bag without one is laid out.
func (e emitter) bagName(b supplies.Bag) string {
	if b.Name == "" {
		return e.words.T("sheet.bag.step", b.Step)
	}
	return b.Name
}

// renewals lists what does not go back.
func (e emitter) renewals(s page.Shell) []tableRow {
	var out []tableRow
	for _, r := range e.list.Renewals {
		row := tableRow{First: r.Step, Detail: e.words.T("sheet.renewed")}
		switch {
		case r.Fastener != nil:
			row.Name = fmt.Sprintf("%s %s", r.Fastener.ID, r.Fastener.Name)
			row.Detail = joined(s.ThreadAndLength(r.Fastener), row.Detail)
			row.Quantity = e.words.Count("sheet.pieces", r.Fastener.Count)
		case r.Fluid != nil:
			row.Name, row.Quantity = r.Fluid.Name, s.Quantity(r.Fluid.Quantity)
		case r.Part != nil:
			row.Name, row.Quantity = r.Part.Name, e.words.Count("sheet.pieces", 1)
		}
		out = append(out, row)
	}
	return out
}

// wrench asks for a torque wrench where no registered one reaches.
func (e emitter) wrench(s page.Shell) []tableRow {
	w := e.list.Wrench
	if w == nil {
		return nil
	}
	var settings []string
	for _, q := range w.Settings {
		newtonMetres, _ := s.Torque(q)
		settings = append(settings, newtonMetres)
	}
	settings = slices.Compact(settings) // two units may come to the same
	low, high := settings[0], settings[len(settings)-1]
	r := tableRow{Name: e.words.T("sheet.wrench", low), Detail: e.words.T("sheet.wrench.proved")}
	if low != high {
		r.Name = e.words.T("sheet.wrench.range", low, high)
		r.Detail = joined(e.words.T("sheet.wrench.settings", strings.Join(settings, ", ")), r.Detail)
	}
	if w.Several() {
		r.Detail = joined(r.Detail, e.words.T("sheet.wrench.several"))
	}
	r.First, r.Others = steps(w.Steps)
	return []tableRow{r}
}

// treatments lists what goes on threads.
func (e emitter) treatments() []tableRow {
	var out []tableRow
	for _, t := range e.list.Treatments {
		r := tableRow{Name: e.words.T("sheet.treatment", t.Name), Detail: e.fastenersOf(t)}
		r.First, r.Others = steps(t.Steps)
		out = append(out, r)
	}
	return out
}

// fastenersOf are the numbers of the fasteners that a treatment goes on.
func (e emitter) fastenersOf(t supplies.Treatment) string {
	var numbers []string
	for _, f := range t.Fasteners {
		numbers = append(numbers, f.ID)
	}
	return e.words.T("sheet.numbers", strings.Join(numbers, ", "))
}

// wastes lists what is left over, with where it goes.
func (e emitter) wastes(s page.Shell) table {
	t := table{ID: "waste", Title: e.words.T("sheet.waste"), Fact: e.words.T("sheet.waste.goes")}
	for _, w := range e.list.Wastes {
		r := tableRow{Name: w.Row.Name, Quantity: e.howMuch(s, w.Amount), Fact: w.Goes}
		if w.Pieces > 0 {
			r.Quantity = e.words.Count("sheet.pieces", w.Pieces)
		}
		r.First, r.Others = steps(w.Steps)
		t.Rows = append(t.Rows, r)
	}
	return t
}

// papers lists the sheets that are filled in at the machine besides the checklist.
func (e emitter) papers() table {
	t := table{ID: "papers", Title: e.words.T("sheet.papers")}
	add := func(k Kind, first int) {
		t.Rows = append(t.Rows, tableRow{Name: k.Title(e.words), Detail: e.words.T("sheet.papers.printed"), Quantity: e.words.Count("sheet.pieces", 1), First: first})
	}
	if len(e.torques) > 0 {
		add(Torque, e.torques[0].Step)
	}
	if len(e.lifts) > 0 {
		add(Lift, e.lifts[0].Step.Number)
	}
	return t
}

// steps splits ascending step numbers into the first and the others.
func steps(numbers []int) (first int, others string) {
	var rest []string
	for _, n := range numbers[1:] {
		rest = append(rest, strconv.Itoa(n))
	}
	return numbers[0], strings.Join(rest, ", ")
}
