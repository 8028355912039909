package refit

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/fitting"
	"matchmark/procedure/state"
)

// Names of the steps that turn nothing round.
const (
	startStep = "refit-start"
	endStep   = "refit-end"
)

// build makes steps of the acts: one for each step of the job that is turned
// round, divided before a lift so that the lift's hold point stands right before it.
func (d *derivation) build() {
	d.start()
	for rest := d.acts; len(rest) > 0; {
		home := rest[0].home
		n := slices.IndexFunc(rest, func(a *act) bool { return a.home != home })
		if n < 0 {
			n = len(rest)
		}
		d.stepsOf(home, rest[:n])
		rest = rest[n:]
	}
}

// stepsOf makes the step that turns one step of the job round; two when it begins with a lift's preparation.
func (d *derivation) stepsOf(home int, acts []*act) {
	id := d.out.Job.Steps[home].ID + Suffix
	lift := slices.IndexFunc(acts, func(a *act) bool { return a.verb == procedure.Lift })
	rest := 1.0
	if lift > 0 {
		share := float64(lift) / float64(len(acts))
		ready := d.step(home, id+Ready, acts[:lift], share)
		ready.Title = d.title(acts[:lift]) // what words tell of the step is told where the load goes back
		d.steps = append(d.steps, ready)
		acts, rest = acts[lift:], 1-share
	}
	if lift >= 0 {
		d.beforeLift(acts[0])
	}
	s := d.describe(d.step(home, id, acts, rest), home, acts)
	if home > 0 {
		// Where the job could be interrupted before this step, the refitting can be after it, and not earlier.
		s.SafeStop = state.SafeStop(d.out.Job.Steps[home-1])
	}
	d.steps = append(d.steps, s)
}

// step makes a step of acts, with what the job's step brings: time, people, tools, figure, cautions.
func (d *derivation) step(home int, id string, acts []*act, share float64) *procedure.Step {
	from := d.out.Job.Steps[home]
	s := &procedure.Step{
		ID: id, Span: from.Span, People: from.People, Who: from.Who, Chapter: d.chapter(from), Tools: from.Tools, Listed: from.Listed, FindTools: from.FindTools, Figure: from.Figure, Needs: slices.Clone(from.Needs),
		Time: procedure.Estimate{
			Optimistic: from.Time.Optimistic * share, Likely: from.Time.Likely * share, Pessimistic: from.Time.Pessimistic * share, Span: from.Time.Span,
		},
	}
	lists := d.worded(acts)
	s.Blocks = append(slices.Grow(d.carried(home, acts), len(lists)+1), lists...) // describe adds one
	s.Stand(d.standing(from, acts), true)
	s.Tools, _ = fitting.Tools(d.out.Job.Machine, s)
	return s
}

// chapter is that of the job's step, as the refitting calls it; empty for none.
func (d *derivation) chapter(from *procedure.Step) string {
	if from.Chapter == "" {
		return ""
	}
	return d.words("refit.chapter", from.Chapter)
}

// standing are the cautions of the job's chapter that the acts are warned of too.
func (d *derivation) standing(from *procedure.Step, acts []*act) (out []*procedure.Caution) {
	for _, c := range from.Standing {
		if back := c.ForRefitting(func(thing string) bool { return on(acts, thing) }); back != nil {
			out = append(out, back.Shows().Warning)
		}
	}
	return out
}

// on reports whether one of the acts is on the thing.
func on(acts []*act, thing string) bool {
	return slices.ContainsFunc(acts, func(a *act) bool { return a.object.ID == thing })
}

// describe gives the step its title and says which step of the job it turns round.
func (d *derivation) describe(s *procedure.Step, home int, acts []*act) *procedure.Step {
	from := d.out.Job.Steps[home]
	s.Title = d.title(acts)
	if d.saysAgain(acts) {
		return s
	}
	at := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { return b.Shows().Warning == nil })
	say := func(words string) {
		s.Blocks = slices.Insert(s.Blocks, at, procedure.Block(d.instruction(s.Span, words)))
	}
	before, behind, gap := d.unsaid(from, acts)
	if lift := afterLift(s); len(before) > 0 && lift > 0 {
		at = lift // the load is in the air by then
	}
	if len(before) > 0 {
		say(strings.Join(before, " "))
	}
	if s.Gap = gap; gap {
		say(d.words("refit.gap", from.Title))
	}
	if len(behind) > 0 {
		last := 0
		for i, b := range s.Blocks {
			if len(b.Shows().Actions) > 0 {
				last = i
			}
		}
		at = last + 1
		say(strings.Join(behind, " "))
	}
	return s
}

// afterLift parts the list of a step behind the lift, and returns the place between the parts; 0 where nothing is lifted.
func afterLift(s *procedure.Step) int {
	for i, b := range s.Blocks {
		acts := b.Shows().Actions
		lift := slices.IndexFunc(acts, func(a *procedure.Action) bool { return a.Verb == procedure.Lift })
		switch {
		case lift < 0:
		case lift == len(acts)-1:
			return i + 1
		default:
			s.Blocks[i] = withActions(b, acts[:lift+1:lift+1])
			s.Blocks = slices.Insert(s.Blocks, i+1, withActions(b, acts[lift+1:]))
			return i + 1
		}
	}
	return 0
}

// carried returns the blocks of the job's step that go along with what is acted on now.
func (d *derivation) carried(home int, acts []*act) []procedure.Block {
	acted := func(thing string) bool { return on(acts, thing) }
	var out []procedure.Block
	for _, b := range d.out.Job.Steps[home].Blocks {
		if c := b.Shows().Warning; c != nil && c.Standing {
			continue // standing has them
		}
		if r, ok := b.(procedure.Returning); ok {
			if back := r.ForRefitting(acted); back != nil {
				out = append(out, back)
			}
		}
	}
	for _, a := range acts {
		if a.verb == procedure.Lift && !slices.ContainsFunc(out, func(b procedure.Block) bool { return b.Shows().Warning != nil }) {
			out = append(out, d.warnings(a.object.ID)...)
		}
	}
	return out
}

// warnings returns the cautions about a load that the job gives in any step: on the refitting what they are about may come after the lift.
func (d *derivation) warnings(load string) []procedure.Block {
	var out []procedure.Block
	for _, s := range d.out.Job.Steps {
		for _, b := range s.Blocks {
			c, returning := b.(procedure.Returning)
			if w := b.Shows().Warning; !returning || w == nil || len(w.About) == 0 {
				continue
			}
			if back := c.ForRefitting(func(thing string) bool { return thing == load }); back != nil {
				out = append(out, back)
			}
		}
	}
	return out
}

// lists puts acts into fastener callouts and action lists, each callout on the figure of the one that it turns round.
func (d *derivation) lists(acts []*act) []procedure.Block {
	var out []procedure.Block
	var list *procedure.ActionList // the last of out, or else callout is
	var callout *procedure.Callout
	actions := make([]procedure.Action, len(acts))
	for i, a := range acts {
		action := &actions[i]
		*action = procedure.Action{
			Verb: a.verb, VerbSpan: a.of.Action.VerbSpan, Object: a.object, With: a.with, Span: a.of.Action.Span, Reason: d.details(a),
			Count: procedure.Count{N: a.pieces}, Who: a.of.Action.Who,
		}
		if a.placed != nil {
			action.At, action.Hook = a.placed.At, a.placed.Hook
		}
		if a.verb == procedure.Undo {
			action.Locks = a.of.Action.Locks
		}
		common := procedure.Common{Span: a.of.Action.Span}
		if a.of.Fastener == nil {
			by := byHand(a)
			if callout = nil; list == nil || by != (procedure.HandLift{}) || list.Lift != (procedure.HandLift{}) {
				list = &procedure.ActionList{Common: common, Lift: by}
				out = append(out, list)
			}
			list.Actions = append(list.Actions, action)
			continue
		}
		list = nil
		if figure := figureOf(a.of); callout == nil || callout.Figure.ID != figure.ID {
			callout = &procedure.Callout{Common: common, Figure: figure}
			out = append(out, callout)
		}
		callout.Actions = append(callout.Actions, action)
	}
	return out
}

// byHand is how a part is lifted back by hand: from where it was put, to where it was taken from.
func byHand(a *act) procedure.HandLift {
	if a.verb != procedure.Fit || a.of.Part == nil {
		return procedure.HandLift{}
	}
	for _, b := range a.of.Step.Blocks {
		if shown := b.Shows(); shown.Lift != nil && slices.Contains(shown.Actions, a.of.Action) {
			by := *shown.Lift
			by.From, by.To = by.To, by.From
			return by
		}
	}
	return procedure.HandLift{}
}

// figureOf returns the figure of the callout that the event's action stands in.
func figureOf(e *state.Event) procedure.Ref {
	for _, b := range e.Step.Blocks {
		if shown := b.Shows(); shown.Figure != nil && slices.Contains(shown.Actions, e.Action) {
			return *shown.Figure
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
		ID: from.ID + Suffix + Ready, Title: d.words("refit.hold.lift"), Span: from.Span, People: from.People,
		Blocks: []procedure.Block{d.instruction(from.Span, d.words("refit.hold.look")), hold},
	})
}

func (d *derivation) hold(at *state.Event, title, signature string, confirm []string) *procedure.Hold {
	h := &procedure.Hold{Common: procedure.Common{Span: at.Action.Span}, Title: title, Signature: signature}
	for _, c := range confirm {
		h.Confirmations = append(h.Confirmations, procedure.Words(at.Action.Span, c))
	}
	return h
}

// dropNeeds takes out needs that the refitting has no reason to meet, because the condition passed by itself or has ended.
func (d *derivation) dropNeeds(back *state.Trace) {
	for i, s := range back.Job.Steps {
		own := slices.ContainsFunc(d.add.Steps, func(x *procedure.Step) bool { return x.ID == s.ID }) && !slices.Contains(d.inherited, s.ID)
		if own {
			continue
		}
		s.Needs = slices.DeleteFunc(s.Needs, func(r procedure.Ref) bool {
			c := back.Assembly.Condition(r.ID)
			return c == nil || !back.Before(i).Condition(c).Holds()
		})
	}
}
