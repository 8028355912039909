package site

import (
	"html/template"
	"slices"
	"strconv"

	"matchmark/compile/drawing"
	"matchmark/procedure"
	"matchmark/procedure/order"
	"matchmark/procedure/schedule"
)

// orderView is why a job's steps come in their order: a drawing, the same as a
// table, and what could be otherwise.
type orderView struct {
	ID string
	// Variant tells the drawings of a page apart; empty for a machine without variants.
	Variant string
	Drawing template.HTML
	// Length is the time that the longest path takes, and On how many of the Steps it goes through.
	Length    string
	On, Steps int
	Waits     []waitView
	// Swaps are neighbours that could change places, Habits steps that wait for another only because the author says so.
	Swaps, Habits []pairView
}

// waitView is a step with all that it comes right after.
type waitView struct {
	Step    template.HTML // a link, as in all that follows
	Longest bool
	After   []afterView
}

type afterView struct {
	Step    template.HTML
	Because string
}

type pairView struct{ Step, Other template.HTML }

// orderView works out the order of a job whose steps the view has; nil when there is nothing to order.
func (e *emitter) orderView(v *jobView, j *procedure.Job, clock schedule.Timetable) *orderView {
	if j.Machine == nil || len(j.Steps) < 2 {
		return nil
	}
	p := e.worked(j).Order()
	b := orderBuilder{emitter: e, job: j, steps: v.Steps, longest: make([]bool, p.N)}
	b.linkSteps()
	// A step without a time counts a hair, so that the path does not pass it by.
	path, _ := p.LongestPath(func(i int) float64 { return clock.Rows[i].Expected + 1e-9 })
	length := 0.0
	for _, i := range path {
		b.longest[i] = true
		length += clock.Rows[i].Expected
	}
	edges := p.Reduced()
	out := &orderView{
		ID: v.ID + "--order", Variant: v.Variant,
		Length: schedule.Duration(length), On: len(path), Steps: p.N,
		Waits: b.waits(edges),
	}
	for _, i := range p.Swaps() {
		out.Swaps = append(out.Swaps, pairView{b.links[i], b.links[i+1]})
	}
	for _, edge := range p.Habits() {
		out.Habits = append(out.Habits, pairView{b.links[edge.To], b.links[edge.From]})
	}
	out.Drawing = b.draw(edges, path, clock)
	return out
}

// orderBuilder makes the view of one job's order.
type orderBuilder struct {
	*emitter
	job     *procedure.Job
	steps   []stepLine
	longest []bool          // of each step
	links   []template.HTML // to each step
}

// linkSteps writes the links once: the table names most steps several times.
func (b *orderBuilder) linkSteps() {
	b.links = make([]template.HTML, len(b.steps))
	for i := range b.steps {
		s := &b.steps[i]
		b.links[i] = template.HTML(`<a href="` + template.HTMLEscapeString(s.Link) + `"><b>` +
			strconv.Itoa(s.Number) + `</b> ` + template.HTMLEscapeString(s.Title) + `</a>`)
	}
}

func (b *orderBuilder) waits(edges []order.Edge) []waitView {
	counts := make([]int, len(b.longest))
	for _, e := range edges {
		counts[e.To]++
	}
	out := make([]waitView, len(b.longest))
	all := make([]afterView, len(edges)) // the lists lie one behind the other
	for i, n := range counts {
		out[i] = waitView{b.links[i], b.longest[i], all[:0:n]}
		all = all[n:]
	}
	for _, e := range edges {
		out[e.To].After = append(out[e.To].After, afterView{b.links[e.From], b.because(e.Reasons)})
	}
	return slices.DeleteFunc(out, func(w waitView) bool { return len(w.After) == 0 })
}

// because gives the reasons in words, each kind once with all its things. That the
// author says so tells nothing where there is another reason.
func (b *orderBuilder) because(reasons []order.Reason) string {
	out := ""
	for i, r := range reasons {
		if r.Kind == order.Stated && len(reasons) > 1 ||
			slices.ContainsFunc(reasons[:i], func(q order.Reason) bool { return q.Kind == r.Kind }) {
			continue
		}
		if out != "" {
			out += "; "
		}
		out += b.words.T("order.because."+string(r.Kind), b.things(reasons[i:], r.Kind))
	}
	return out
}

// things names what the reasons of a kind are about.
func (b *orderBuilder) things(reasons []order.Reason, kind order.Kind) string {
	out := ""
	for _, r := range reasons {
		if r.Kind != kind || r.Thing == nil {
			continue
		}
		if out != "" {
			out += " · "
		}
		out += nameOf(b.job.Machine, r.Thing.ID)
	}
	return out
}

func (b *orderBuilder) draw(edges []order.Edge, path []int, clock schedule.Timetable) template.HTML {
	next := make([]int, len(b.longest)) // on the longest path; a first step comes after none
	for i := 1; i < len(path); i++ {
		next[path[i-1]] = path[i]
	}
	arrows := make([]drawing.Arrow, len(edges))
	for i, e := range edges {
		arrows[i] = drawing.Arrow{From: e.From, To: e.To, Heavy: next[e.From] == e.To}
	}
	onPath := b.words.T("order.on-path")
	boxes := make([]orderBox, len(b.longest))
	for i := range b.steps {
		s := &b.steps[i]
		boxes[i] = orderBox{Number: s.Number, Title: s.Title, Link: s.Link, Time: schedule.Duration(clock.Rows[i].Expected)}
		if b.longest[i] {
			boxes[i].Longest = onPath
		}
	}
	return drawOrder(drawing.Layered(len(boxes), arrows), boxes)
}
