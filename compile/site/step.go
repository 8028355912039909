package site

import (
	"fmt"
	"slices"
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
	// finders are what is found on both ways, deciding the names that something goes by, and foundBefore the values of the way out.
	finders     []procedure.Finder
	deciding    map[string]bool
	foundBefore map[string]bool
	before      *procedure.Step // the step before; nil for the first
	// terms are those of the job that a step has explained, and unmarked those of the step in hand that its text has not shown yet.
	terms    map[*procedure.Term]bool
	unmarked []*procedure.Term
}

// saying is a kind of fact on a thing.
type saying struct{ what, thing string }

// tools are the names of a step's tools, with the amount of what it uses up.
func (b *stepBuilder) tools(s *procedure.Step) string {
	var out []string
	for _, r := range s.Tools {
		if !b.job.Has(r.ID) {
			continue
		}
		out = append(out, b.shell.StepTool(b.name(r.ID), b.job.Machine.Thing(r.ID), s.Amount(r.ID)))
	}
	return strings.Join(out, " · ")
}

func (b *stepBuilder) build(s *procedure.Step, of int) (*stepView, error) {
	b.step, b.actions = s, s.Actions()
	clear(b.linked)
	clear(b.told)
	b.view = &stepView{
		ID: s.ID, Title: s.Title, Number: s.Number, Of: of,
		Time:   b.estimate(s.Time),
		People: s.People, Who: strings.Join(b.lib.TradeNames(s.Trades()), " · "),
		Tools:    b.tools(s),
		Needs:    b.names(s.Needs),
		SafeStop: s.SafeStop,
		Blocks:   make([]blockView, 0, len(s.Blocks)),
	}
	if s.If != "" {
		b.view.If, b.view.IfWords = encoded(s.If), b.words.T("step.only-if", page.When(b.words, s.If, b.finders))
	}
	b.view.Chapter, b.view.Begins = s.Chapter, b.before == nil && s.Chapter != "" || b.before != nil && b.before.Chapter != s.Chapter
	if s.Round.First == s.ID {
		b.view.Round = b.words.T("step.round", page.When(b.words, s.Round.Until, b.finders), s.Round.Most)
	}
	b.explain()
	if err := b.figures(); err != nil {
		return nil, err
	}
	leading := true
	for _, block := range s.Blocks {
		shown := procedure.StepView.On(block)
		if c := shown.Warning; c != nil && c.Repeats(s, b.before) {
			continue // unfold.js shows it again
		}
		if shown.Warning != nil && leading && block.Base().If == "" {
			b.view.Lead = append(b.view.Lead, b.caution(shown.Warning))
			shown.Warning = nil
		}
		before := len(b.view.Blocks)
		b.block(shown)
		if c := block.Base().If; c != "" {
			b.only(c, before)
		}
		leading = leading && len(b.view.Blocks) == before
	}
	b.before = s
	return b.view, nil
}

// explain gives the step the terms that no step before it uses.
func (b *stepBuilder) explain() {
	b.unmarked = nil
	for _, t := range b.lib.Glossary.UsedIn(procedure.StepView, b.job.Machine, b.step) {
		if !b.terms[t] {
			b.terms[t] = true
			b.unmarked = append(b.unmarked, t)
		}
	}
	b.view.Terms = page.Terms(b.unmarked)
}

// marked is a text with the terms that are new in it marked.
func (b *stepBuilder) marked(p procedure.Prose) procedure.Prose {
	p, b.unmarked = b.lib.Glossary.Marked(p, b.unmarked)
	return p
}

// block adds the pieces of a block; its figure stands among those of the step.
func (b *stepBuilder) block(shown procedure.Shown) {
	add := func(v blockView) { b.view.Blocks = append(b.view.Blocks, v) }
	if shown.Warning != nil {
		add(blockView{Caution: b.caution(shown.Warning)})
	}
	if shown.Text != nil {
		add(blockView{Text: page.Markup(b.marked(*shown.Text))})
	}
	if shown.Point != nil {
		add(blockView{KeyPoint: &keyPointView{Point: shown.Point.Point, Reason: page.Inline(b.marked(shown.Point.Reason))}})
	}
	if shown.Must != nil {
		add(blockView{Must: page.Inline(b.marked(*shown.Must))})
	}
	if shown.Lift != nil {
		b.view.Blocks = append(b.view.Blocks, b.liftPanels(shown.Actions)...)
	}
	if len(shown.Actions) > 0 {
		add(blockView{Rows: b.rows(shown.Actions)})
	}
	if shown.Looks != nil {
		add(blockView{Inspection: b.inspection(shown.Looks)})
	}
	if shown.Readings != nil {
		add(blockView{Readings: b.readings(shown.Readings)})
	}
	if x := shown.Decision; x != nil {
		add(blockView{Decision: &decisionView{x.Name, page.Inline(b.marked(x.Question))}})
	}
	if shown.Wait != nil {
		add(blockView{Wait: b.wait(shown.Wait)})
	}
	if shown.Advice != nil {
		add(blockView{Tip: page.Markup(b.marked(*shown.Advice))})
	}
	if shown.Hold != nil {
		add(blockView{Hold: b.hold(shown.Hold)})
	}
}

// only puts the blocks from the given one on under a condition, together with those before them that are under it already.
func (b *stepBuilder) only(c procedure.When, from int) {
	blocks := append([]blockView(nil), b.view.Blocks[from:]...)
	b.view.Blocks = b.view.Blocks[:from]
	if n := len(b.view.Blocks); n > 0 && b.view.Blocks[n-1].If == encoded(c) {
		b.view.Blocks[n-1].Only = append(b.view.Blocks[n-1].Only, blocks...)
		return
	}
	b.view.Blocks = append(b.view.Blocks, blockView{Only: blocks, If: encoded(c), IfWords: b.words.T("step.only-if", page.When(b.words, c, b.finders))})
}

func (b *stepBuilder) caution(c *procedure.Caution) *page.Caution {
	return &page.Caution{Signal: c.Signal, Text: page.Markup(b.marked(c.Prose)), Standing: c.Standing}
}

func (b *stepBuilder) inspection(x *procedure.Inspection) *inspectionView {
	v := &inspectionView{Title: b.words.T("step.inspect", b.name(x.Of.ID)), Thing: x.Of.ID, Decides: x.Name != "" && b.deciding[x.Name]}
	for _, item := range x.Items {
		v.Items = append(v.Items, inspectionItemView{Look: item.Look, Accept: page.Inline(b.marked(item.Accept)), Limits: limitsOf(item.Limits)})
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
		v.Confirmations = append(v.Confirmations, page.Inline(b.marked(c)))
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
	for _, id := range b.step.FigureNames() {
		f := b.job.Procedure.Figure(id)
		if f == nil {
			continue // an unknown figure is the checks' business
		}
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
	var tightens *procedure.Fastener
	if t := b.job.Machine.Thing(thing); t != nil && slices.ContainsFunc(b.actions, func(a *procedure.Action) bool { return a.Object.ID == thing && a.Verb == procedure.Tighten }) {
		tightens = t.Fastener
	}
	return page.Pick{
		Tightens: tightens,
		State:    state, Verb: main.Verb, Link: "#" + row,
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
