package planning

import (
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/sessions"
	"matchmark/procedure/supplies"
)

// supplyGroup is one kind of thing to lay out.
type supplyGroup struct {
	Title string
	Items []supply
}

// supply is a thing to lay out; Detail is how much of it, or what for.
type supply struct{ Name, Detail string }

// layOut lists what the steps of a session need, each thing once. Two machines may
// name the same tool.
func (e *emitter) layOut(s page.Shell, session sessions.Session) []supplyGroup {
	l := layout{e: e, shell: s}
	for _, kind := range procedure.ToolKinds {
		l.group("tool-"+string(kind), e.words.T("tool-kind."+string(kind)))
		if kind == procedure.Lifting {
			l.group("supports", e.words.T("sheet.supports"))
		}
	}
	l.group("bags", e.words.T("sheet.bags-and-labels"))
	for job, numbers := range stepsOf(session) {
		l.add(supplies.For(job), numbers)
		l.addBags(job, numbers)
	}
	if l.labels > 0 {
		l.put("bags", e.words.T("sheet.labels.ready"), e.words.Count("sheet.pieces", l.labels))
	}
	return slices.DeleteFunc(l.groups, func(g supplyGroup) bool { return len(g.Items) == 0 })
}

// stepsOf yields the jobs of a session in order, each with the numbers of its steps.
func stepsOf(session sessions.Session) func(func(*procedure.Job, []int) bool) {
	var jobs []*procedure.Job
	numbers := map[*procedure.Job][]int{}
	for _, row := range session.Rows {
		if row.Step == nil {
			continue
		}
		job := row.Job
		if numbers[job] == nil {
			jobs = append(jobs, job)
		}
		numbers[job] = append(numbers[job], row.Step.Number)
	}
	return func(yield func(*procedure.Job, []int) bool) {
		for _, job := range jobs {
			if !yield(job, numbers[job]) {
				return
			}
		}
	}
}

type layout struct {
	e      *emitter
	shell  page.Shell
	names  []string
	groups []supplyGroup
	labels int // how many labels are needed in all
}

func (l *layout) group(name, title string) {
	l.names, l.groups = append(l.names, name), append(l.groups, supplyGroup{Title: title})
}

// put adds a thing to a group; a thing that is there already stays as it is.
func (l *layout) put(group, name, detail string) {
	if !l.has(group, name) {
		g := &l.groups[slices.Index(l.names, group)]
		g.Items = append(g.Items, supply{name, detail})
	}
}

func (l *layout) has(group, name string) bool {
	items := l.groups[slices.Index(l.names, group)].Items
	return slices.ContainsFunc(items, func(s supply) bool { return strings.EqualFold(s.Name, name) })
}

// add puts in what some steps of a job need.
func (l *layout) add(list supplies.List, numbers []int) {
	words := l.e.words
	needed := func(steps ...int) bool {
		return slices.ContainsFunc(steps, func(n int) bool { return slices.Contains(numbers, n) })
	}
	for _, g := range list.Tools {
		for _, t := range g.Tools {
			if needed(t.Steps...) {
				l.put("tool-"+string(g.Kind), l.shell.Revised(t.Tool), l.howMuch(t.Amount()))
			}
		}
	}
	for _, s := range list.Supports {
		if needed(s.Steps...) {
			detail := words.T("sheet.rated.none")
			if !s.Capacity.IsZero() {
				detail = words.T("sheet.rated", l.shell.Quantity(s.Capacity))
			}
			l.put("supports", s.Name, detail)
		}
	}
	consumables := "tool-" + string(procedure.Consumable)
	for _, r := range list.Renewals {
		switch {
		case !needed(r.Step):
		case r.Fastener != nil:
			l.put(consumables, r.Fastener.ID+" "+r.Fastener.Name, words.T("plan.new", words.Count("sheet.pieces", r.Fastener.Count)))
		case r.Fluid != nil:
			l.put(consumables, r.Fluid.Name, words.T("plan.new", l.shell.Quantity(r.Fluid.Quantity)))
		case r.Part != nil:
			l.put(consumables, r.Part.Name, words.T("plan.new", words.Count("sheet.pieces", 1)))
		}
	}
	for _, t := range list.Treatments {
		if needed(t.Steps...) {
			l.put(consumables, words.T("sheet.treatment", t.Name), "")
		}
	}
	if w := list.Wrench; w != nil && needed(w.Steps...) {
		low, _ := l.shell.Torque(w.Low())
		high, _ := l.shell.Torque(w.High())
		name := words.T("sheet.wrench.range", low, high)
		if low == high {
			name = words.T("sheet.wrench", low)
		}
		l.put("tool-"+string(procedure.HandTool), name, words.T("sheet.wrench.proved"))
	}
}

// addBags puts in the bags and labels of some steps of a job. Bags of two machines may have one name.
func (l *layout) addBags(job *procedure.Job, numbers []int) {
	words := l.e.words
	for _, b := range supplies.Bags(job) {
		if !slices.Contains(numbers, b.Step) {
			continue
		}
		name := b.Name
		if name == "" {
			name = words.T("sheet.bag.step", b.Step)
		}
		if l.has("bags", name) {
			name += " (" + job.Machine.Title + ")"
		}
		l.put("bags", name, words.Count("sheet.pieces", b.Pieces()))
	}
	for _, label := range supplies.Labels(job) {
		if slices.Contains(numbers, label.Step) {
			l.labels++
		}
	}
}

// howMuch writes a quantity; pieces are counted in words.
func (l *layout) howMuch(q measure.Quantity) string {
	if q.Dimension() == measure.Count {
		return l.e.words.Count("sheet.pieces", int(q.Float("pcs")))
	}
	return l.shell.Quantity(q)
}
