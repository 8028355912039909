package site

import (
	"fmt"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/lifts"
	"matchmark/procedure/measure"
)

// stepBuilder makes the views of a job's steps, one after the other.
type stepBuilder struct {
	*emitter
	job     *procedure.Job
	shell   page.Shell
	step    *procedure.Step // the one in hand, and its actions
	actions []*procedure.Action
	// linked are the ids of the step's rows that balloons lead to.
	linked map[*procedure.Action]string
	// told holds what the step has said of a thing, so that it says each fact once.
	told map[saying]bool
	// lifts are the job's lifts, by the action that lifts; liftSheet leads to their sheet.
	lifts     map[*procedure.Action]lifts.Lift
	liftSheet string
	gallery   *page.Gallery
	view      *stepView
}

// saying is a kind of fact on a thing.
type saying struct{ what, thing string }

func (b *stepBuilder) build(s *procedure.Step, of int) (*stepView, error) {
	b.step, b.actions = s, s.Actions()
	clear(b.linked)
	clear(b.told)
	b.view = &stepView{
		ID: s.ID, Title: s.Title, Number: s.Number, Of: of,
		Time:     b.estimate(s.Time),
		People:   s.People,
		Tools:    b.names(s.Tools),
		Needs:    b.names(s.Needs),
		SafeStop: s.SafeStop,
		Blocks:   make([]blockView, 0, len(s.Blocks)),
	}
	if err := b.figures(); err != nil {
		return nil, err
	}
	leading := true
	for _, block := range s.Blocks {
		if c, ok := block.(*procedure.Caution); ok && leading {
			b.view.Lead = append(b.view.Lead, b.caution(c))
			continue
		}
		if _, ok := block.(*procedure.Illustration); ok {
			continue // stands among the figures
		}
		leading = false
		if list, ok := block.(*procedure.ActionList); ok {
			b.view.Blocks = append(b.view.Blocks, b.liftPanels(list.Actions)...)
		}
		b.view.Blocks = append(b.view.Blocks, b.block(block))
	}
	return b.view, nil
}

func (b *stepBuilder) block(block procedure.Block) blockView {
	switch x := block.(type) {
	case *procedure.Instruction:
		return blockView{Text: page.Markup(x.Prose)}
	case *procedure.Caution:
		return blockView{Caution: b.caution(x)}
	case *procedure.Tip:
		return blockView{Tip: page.Markup(x.Prose)}
	case *procedure.KeyPoint:
		return blockView{KeyPoint: &keyPointView{Point: x.Point, Reason: page.Inline(x.Reason)}}
	case *procedure.Callout:
		return blockView{Rows: b.rows(x.Actions)}
	case *procedure.ActionList:
		return blockView{Rows: b.rows(x.Actions)}
	case *procedure.Inspection:
		return blockView{Inspection: b.inspection(x)}
	case *procedure.Hold:
		return blockView{Hold: b.hold(x)}
	}
	panic(fmt.Sprintf("no view for a %T", block)) // a new kind of block needs one
}

func (b *stepBuilder) caution(c *procedure.Caution) *signalView {
	return &signalView{Signal: c.Signal, Word: b.words.T("signal." + string(c.Signal)), Text: page.Markup(c.Prose)}
}

func (b *stepBuilder) inspection(x *procedure.Inspection) *inspectionView {
	v := &inspectionView{Title: b.words.T("step.inspect", b.name(x.Of.ID)), Thing: x.Of.ID}
	for _, item := range x.Items {
		v.Items = append(v.Items, inspectionItemView{Look: item.Look, Accept: page.Inline(item.Accept), Limits: limitsOf(item.Limits)})
	}
	return v
}

func limitsOf(l *procedure.Limits) *limitsView {
	if l == nil {
		return nil
	}
	first := l.Low
	if first == nil {
		first = l.High
	}
	v := &limitsView{Unit: first.Unit()}
	number := func(q *measure.Quantity) string {
		if q == nil {
			return ""
		}
		same, err := q.In(v.Unit)
		if err != nil {
			panic(fmt.Sprintf("limits of two dimensions: %v", err)) // the reader makes none
		}
		return strings.TrimSpace(strings.TrimSuffix(same.String(), v.Unit))
	}
	v.Low, v.High = number(l.Low), number(l.High)
	return v
}

func (b *stepBuilder) hold(h *procedure.Hold) *holdView {
	b.view.SafeStop = b.view.SafeStop || h.SafeStop
	v := &holdView{Title: h.Title, Signature: h.Signature}
	for _, c := range h.Confirmations {
		v.Confirmations = append(v.Confirmations, page.Inline(c))
	}
	return v
}

// names lists things by name, apart from each other by more than the comma that a name may hold.
func (b *stepBuilder) names(refs []procedure.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, b.name(r.ID))
	}
	return strings.Join(out, " · ")
}

func (b *stepBuilder) name(id string) string { return nameOf(b.job.Machine, id) }

// figures gathers the step's figures in the order in which they are named and
// picks out what the step acts on.
func (b *stepBuilder) figures() error {
	for _, f := range b.stepFigures() {
		fig, err := b.gallery.Show(f, b.pick)
		if err != nil {
			return fmt.Errorf("step %s of %s: %w", b.step.ID, b.job.Procedure.ID, err)
		}
		b.view.Figures = append(b.view.Figures, fig)
	}
	return nil
}

// pick picks out a balloon whose thing the step acts on.
func (b *stepBuilder) pick(thing string) page.Pick {
	first, main := b.actionsOn(thing)
	if first == nil {
		return page.Pick{}
	}
	row := b.rowID(first)
	b.linked[first] = row
	state := page.Active
	if main.Verb == procedure.Keep {
		state = page.Kept
	}
	return page.Pick{
		State: state, Verb: main.Verb, Link: "#" + row,
		Name: b.words.T("step.balloon", b.words.T("verb."+string(main.Verb)), b.name(thing)),
	}
}

// actionsOn returns the step's first action on a thing, whose row its balloon
// leads to, and the one that says what becomes of the thing: a bolt that is
// loosened and then removed is shown as one that comes out. Both are nil for none.
func (b *stepBuilder) actionsOn(thing string) (first, main *procedure.Action) {
	for _, a := range b.actions {
		if a.Object.ID != thing {
			continue
		}
		if first == nil {
			first, main = a, a
		}
		if passing(main.Verb) && !passing(a.Verb) {
			main = a
		}
	}
	return first, main
}

// passing reports whether a verb leaves a thing where it is, on the way to something else.
func passing(v procedure.Verb) bool {
	switch v {
	case procedure.Loosen, procedure.Mark, procedure.Clean, procedure.Inspect:
		return true
	}
	return false
}

// rowID is the id of the row for the step's first action on a thing. It names what is done, so that progress on
// the device survives a reordering of the step; package rows has the names of all rows.
func (b *stepBuilder) rowID(a *procedure.Action) string {
	return strings.ReplaceAll(b.step.ID+"--"+string(a.Verb)+"-"+a.Object.ID, " ", "-")
}

func (b *stepBuilder) stepFigures() []*procedure.Figure {
	var out []*procedure.Figure
	add := func(id string) {
		f := b.job.Procedure.Figure(id)
		if f == nil {
			return
		}
		for _, have := range out {
			if have == f {
				return
			}
		}
		out = append(out, f)
	}
	add(b.step.Figure.ID)
	for _, block := range b.step.Blocks {
		switch x := block.(type) {
		case *procedure.Callout:
			add(x.Figure.ID)
		case *procedure.Illustration:
			add(x.Figure.ID)
		}
	}
	return out
}
