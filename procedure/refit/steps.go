package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// Names of the steps that turn nothing round.
const (
	startStep = "refit-start"
	endStep   = "refit-end"
	readyEnd  = "-ready"
)

// build makes steps of the acts: one for each step of the job that is turned
// round, divided before a lift so that the lift's hold point stands right before it.
func (d *derivation) build() {
	d.start()
	for len(d.acts) > 0 {
		home := d.acts[0].home
		n := slices.IndexFunc(d.acts, func(a *act) bool { return a.home != home })
		if n < 0 {
			n = len(d.acts)
		}
		d.stepsOf(home, d.acts[:n])
		d.acts = d.acts[n:]
	}
}

// start proves again what keeps energy away.
func (d *derivation) start() {
	var proofs []*act
	home := -1
	for i := range d.out.Events {
		e := &d.out.Events[i]
		c := e.Condition
		if c == nil || !c.Energy || e.Action.Verb != procedure.Verify || d.end.Condition(c).Is != state.Verified {
			continue
		}
		if again := slices.ContainsFunc(d.out.Events[i+1:], func(x state.Event) bool { return x.Condition == c && x.Action.Verb == procedure.Verify }); again {
			continue
		}
		home = e.Step.Number - 1
		proofs = append(proofs, &act{verb: procedure.Verify, object: e.Action.Object, of: e, home: home})
	}
	if len(proofs) > 0 {
		s := d.step(home, startStep, proofs, 1)
		s.Title = d.words("refit.start")
		s.Blocks = append([]procedure.Block{d.instruction(s.Span, d.words("refit.start.why"))}, s.Blocks...)
		d.steps = append(d.steps, s)
	}
}

// stepsOf makes the step that turns one step of the job round; two when it begins with a lift's preparation.
func (d *derivation) stepsOf(home int, acts []*act) {
	id := d.out.Job.Steps[home].ID + Suffix
	lift := slices.IndexFunc(acts, func(a *act) bool { return a.verb == procedure.Lift })
	if lift > 0 {
		share := float64(lift) / float64(len(acts))
		d.steps = append(d.steps, d.describe(d.step(home, id+readyEnd, acts[:lift], share), home, acts[:lift]))
		acts = acts[lift:]
		d.beforeLift(acts[0])
		d.steps = append(d.steps, d.describe(d.step(home, id, acts, 1-share), home, acts))
		return
	}
	if lift == 0 {
		d.beforeLift(acts[0])
	}
	d.steps = append(d.steps, d.describe(d.step(home, id, acts, 1), home, acts))
}

// step makes a step of acts, with what the job's step brings: time, people, tools, figure, cautions.
func (d *derivation) step(home int, id string, acts []*act, share float64) *procedure.Step {
	from := d.out.Job.Steps[home]
	s := &procedure.Step{
		ID: id, Span: from.Span, People: from.People, Tools: from.Tools, Figure: from.Figure, Needs: slices.Clone(from.Needs),
		Time: procedure.Estimate{
			Optimistic: from.Time.Optimistic * share, Likely: from.Time.Likely * share, Pessimistic: from.Time.Pessimistic * share, Span: from.Time.Span,
		},
	}
	if home > 0 {
		// Where the job could be interrupted before this step, the way back can be after it.
		before := d.out.Job.Steps[home-1]
		hold := state.Hold(before)
		s.SafeStop = before.SafeStop || hold != nil && hold.SafeStop
	}
	lists := d.lists(acts)
	s.Blocks = append(slices.Grow(d.cautions(home, acts), len(lists)+1), lists...) // describe adds one
	return s
}

// describe gives the step its title and says which step of the job it turns round.
func (d *derivation) describe(s *procedure.Step, home int, acts []*act) *procedure.Step {
	from := d.out.Job.Steps[home]
	s.Title = d.title(acts)
	at := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { _, caution := b.(*procedure.Caution); return !caution })
	s.Blocks = slices.Insert(s.Blocks, at, procedure.Block(d.instruction(s.Span, d.words("refit.turns-round", from.Title))))
	return s
}

// cautions returns the cautions of the job's step that speak of what is acted
// on now, or of nothing in particular; hazards of taking out stay behind.
func (d *derivation) cautions(home int, acts []*act) []procedure.Block {
	unnamed := func(r procedure.Ref) bool {
		return !slices.ContainsFunc(acts, func(a *act) bool { return a.object.ID == r.ID })
	}
	var out []procedure.Block
	for _, b := range d.out.Job.Steps[home].Blocks {
		c, ok := b.(*procedure.Caution)
		if !ok || c.OutOnly {
			continue
		}
		copied := *c
		copied.About = slices.DeleteFunc(slices.Clone(c.About), unnamed)
		if len(c.About) == 0 || len(copied.About) > 0 {
			out = append(out, &copied)
		}
	}
	return out
}

// lists puts acts into fastener callouts and action lists, each callout on the figure of the one that it turns round.
func (d *derivation) lists(acts []*act) []procedure.Block {
	var out []procedure.Block
	actions := make([]procedure.Action, len(acts))
	for i, a := range acts {
		action := &actions[i]
		*action = procedure.Action{
			Verb: a.verb, VerbSpan: a.of.Action.VerbSpan, Object: a.object, With: a.with, Span: a.of.Action.Span, Reason: d.details(a),
		}
		var last procedure.Block
		if len(out) > 0 {
			last = out[len(out)-1]
		}
		common := procedure.Common{Span: a.of.Action.Span}
		if a.of.Fastener == nil {
			if list, ok := last.(*procedure.ActionList); ok {
				list.Actions = append(list.Actions, action)
			} else {
				out = append(out, &procedure.ActionList{Common: common, Actions: []*procedure.Action{action}})
			}
			continue
		}
		figure := figureOf(a.of)
		if list, ok := last.(*procedure.Callout); ok && list.Figure.ID == figure.ID {
			list.Actions = append(list.Actions, action)
		} else {
			out = append(out, &procedure.Callout{Common: common, Figure: figure, Actions: []*procedure.Action{action}})
		}
	}
	return out
}

// figureOf returns the figure of the callout that the event's action stands in.
func figureOf(e *state.Event) procedure.Ref {
	for _, b := range e.Step.Blocks {
		if c, ok := b.(*procedure.Callout); ok && slices.Contains(c.Actions, e.Action) {
			return c.Figure
		}
	}
	return procedure.Ref{}
}

// beforeLift ends the last step with a hold point for the lift that comes next.
func (d *derivation) beforeLift(lift *act) {
	signature := ""
	for i := lift.of.Step.Number - 2; i >= 0 && signature == ""; i-- {
		if h := state.Hold(d.out.Job.Steps[i]); h != nil {
			signature = h.Signature
		}
	}
	hold := d.hold(lift.of, d.words("refit.hold.lift"), signature, d.confirmations(lift))
	if n := len(d.steps); n > 0 && state.Hold(d.steps[n-1]) == nil {
		d.steps[n-1].Blocks = append(d.steps[n-1].Blocks, hold)
		return
	}
	// Nothing comes before the lift: the hold point needs a step of its own.
	from := lift.of.Step
	d.steps = append(d.steps, &procedure.Step{
		ID: from.ID + Suffix + readyEnd, Title: d.words("refit.hold.lift"), Span: from.Span, People: from.People,
		Blocks: []procedure.Block{d.instruction(from.Span, d.words("refit.hold.look")), hold},
	})
}

func (d *derivation) hold(at *state.Event, title, signature string, confirm []string) *procedure.Hold {
	h := &procedure.Hold{Common: procedure.Common{Span: at.Action.Span}, Title: title, Signature: signature}
	for _, c := range confirm {
		h.Confirmations = append(h.Confirmations, prose(at.Action.Span, c))
	}
	return h
}

// dropNeeds takes out needs that the way back has no reason to meet, because the condition passed by itself or has ended.
func (d *derivation) dropNeeds(back *state.Trace) {
	for i, s := range back.Job.Steps {
		own := slices.ContainsFunc(d.add.Steps, func(x *procedure.Step) bool { return x.ID == s.ID })
		if own {
			continue
		}
		s.Needs = slices.DeleteFunc(s.Needs, func(r procedure.Ref) bool {
			c := back.Assembly.Condition(r.ID)
			return c == nil || !back.Before(i).Condition(c).Holds()
		})
	}
}
