package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// override puts the author's own steps in.
func (d *derivation) override() {
	placed := map[string]int{} // how many steps were put in behind the step of that name
	for _, own := range d.add.Steps {
		if !procedure.AppliesTo(own.Variants, d.out.Job.Variant) {
			continue
		}
		s := forVariant(own, d.out.Job.Variant)
		if i := slices.IndexFunc(d.steps, func(x *procedure.Step) bool { return x.ID == s.ID }); i >= 0 {
			d.steps[i] = s
			continue
		}
		at, after := len(d.steps), ""
		for _, r := range s.After {
			if i := slices.IndexFunc(d.steps, func(x *procedure.Step) bool { return x.ID == r.ID }); i >= 0 && (after == "" || i >= at) {
				at, after = i, r.ID
			}
		}
		if after != "" {
			at += 1 + placed[after]
			placed[after]++
		}
		d.steps = slices.Insert(d.steps, at, s)
	}
}

// forVariant returns the step with the blocks for one variant.
func forVariant(s *procedure.Step, v *procedure.Variant) *procedure.Step {
	out := *s
	out.Blocks = slices.DeleteFunc(slices.Clone(s.Blocks), func(b procedure.Block) bool { return !b.Applies(v) })
	return &out
}

// finish adds the final hold point, and the step that ends what kept energy away.
func (d *derivation) finish() {
	if len(d.steps) == 0 && len(d.closing) == 0 {
		return
	}
	end := slices.IndexFunc(d.steps, func(s *procedure.Step) bool { return s.ID == endStep })
	var own *procedure.Step
	if end >= 0 {
		own = d.steps[end]
		d.steps = slices.Delete(d.steps, end, end+1)
	}
	if n := len(d.steps); n > 0 && state.Hold(d.steps[n-1]) == nil {
		d.steps[n-1].Blocks = append(d.steps[n-1].Blocks, d.finalHold(d.steps[n-1]))
	}
	switch {
	case own != nil:
		d.steps = append(d.steps, own)
	case len(d.closing) > 0:
		d.steps = append(d.steps, d.closingStep())
	}
}

// finalHold asks for what is checked before the machine goes back to work.
//
// Source: release from lockout by 29 CFR 1910.147(e), from memory: components whole, people clear and told.
func (d *derivation) finalHold(last *procedure.Step) *procedure.Hold {
	confirm := []string{d.words("refit.final.bags"), d.words("refit.final.torque"), d.words("refit.final.tools")}
	for _, x := range d.out.Assembly.Fluids {
		if d.end.Fluid(x).Is != state.Full && !d.declared[&x.Row] {
			confirm = append(confirm, d.words("refit.final.fluid", name(&x.Row)))
		}
	}
	confirm = append(confirm, d.words("refit.final.guards"), d.words("refit.final.people"))
	signature := ""
	for _, s := range d.out.Job.Steps {
		if h := state.Hold(s); h != nil {
			signature = h.Signature
		}
	}
	h := &procedure.Hold{Common: procedure.Common{Span: last.Span}, Title: d.words("refit.final"), Signature: signature, SafeStop: true}
	for _, c := range confirm {
		h.Confirmations = append(h.Confirmations, prose(last.Span, c))
	}
	return h
}

// closingStep ends the conditions that kept energy away, those first that others
// need, then what they needed themselves, last established first.
func (d *derivation) closingStep() *procedure.Step {
	var order []*state.Event
	rest := slices.Clone(d.closing) // last established first
	energy := func(e *state.Event) bool { return e.Condition.Energy }
	for slices.ContainsFunc(rest, energy) {
		i := slices.IndexFunc(rest, func(e *state.Event) bool {
			waits := slices.ContainsFunc(rest, func(x *state.Event) bool {
				return x != e && energy(x) && slices.Contains(e.Condition.Requires, x.Condition)
			})
			return energy(e) && !waits
		})
		if i < 0 {
			i = slices.IndexFunc(rest, energy) // they need each other; the check of rows knows
		}
		order = append(order, rest[i])
		rest = slices.Delete(rest, i, i+1)
	}
	order = append(order, rest...)
	var acts []*act
	var time procedure.Estimate
	homes := map[int]bool{}
	for _, e := range order {
		home := e.Step.Number - 1
		acts = append(acts, &act{verb: procedure.Undo, object: e.Action.Object, of: e, home: home})
		if !homes[home] {
			homes[home] = true
			time.Optimistic += e.Step.Time.Optimistic
			time.Likely += e.Step.Time.Likely
			time.Pessimistic += e.Step.Time.Pessimistic
		}
	}
	first := order[0].Step
	return &procedure.Step{
		ID: endStep, Title: d.words("refit.end"), Span: first.Span, People: first.People, Time: time,
		Blocks: append([]procedure.Block{d.instruction(first.Span, d.words("refit.end.why"))}, d.lists(acts)...),
	}
}
