package refit

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// override puts the author's own steps in: in place of derived ones, behind those
// that they name, or at the end of the work, before the step that ends the way back.
func (d *derivation) override() {
	placed := map[string]int{} // how many steps were put in behind the step of that name
	for _, s := range d.own() {
		if i := d.index(s.ID); i >= 0 {
			d.steps[i] = s
			continue
		}
		at, after := len(d.steps), ""
		if end := d.index(endStep); end >= 0 {
			at = end
		}
		for _, r := range s.After {
			if i := d.mentioned(r.ID); i >= 0 && (after == "" || i >= at) {
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

// own returns the author's steps for this variant. Steps that take a derived step's
// place come first and the step that ends the way back next, so that others can name them
// wherever they stand in the file; then each after those of the others that it names.
func (d *derivation) own() []*procedure.Step {
	var first, rest []*procedure.Step
	for _, s := range d.add.Steps {
		switch {
		case !procedure.AppliesTo(s.Variants, d.out.Job.Variant):
		case s.ID == endStep || d.index(s.ID) >= 0:
			first = append(first, forVariant(s, d.out.Job.Variant))
		default:
			rest = append(rest, forVariant(s, d.out.Job.Variant))
		}
	}
	out := first
	for len(rest) > 0 {
		waits := func(s *procedure.Step) bool {
			return slices.ContainsFunc(s.After, func(r procedure.Ref) bool {
				return slices.ContainsFunc(rest, func(x *procedure.Step) bool { return x != s && x.ID == r.ID })
			})
		}
		// Steps that wait for each other are taken as they come.
		i := max(0, slices.IndexFunc(rest, func(s *procedure.Step) bool { return !waits(s) }))
		out = append(out, rest[i])
		rest = slices.Delete(rest, i, i+1)
	}
	return out
}

// index returns the place of the step with that name; -1 when there is none.
func (d *derivation) index(id string) int {
	return slices.IndexFunc(d.steps, func(s *procedure.Step) bool { return s.ID == id })
}

// mentioned returns the place of the step that an `after` names, also by the name
// that it has once the variants are joined; -1 when there is none.
func (d *derivation) mentioned(id string) int {
	i := d.index(id)
	if v := d.out.Job.Variant; i < 0 && v != nil {
		if plain, ok := strings.CutSuffix(id, "-"+v.ID); ok {
			return d.index(plain)
		}
	}
	return i
}

// forVariant returns the step with the blocks for one variant.
func forVariant(s *procedure.Step, v *procedure.Variant) *procedure.Step {
	out := *s
	out.Blocks = slices.DeleteFunc(slices.Clone(s.Blocks), func(b procedure.Block) bool { return !b.Applies(v) })
	return &out
}

// finish adds the final hold point, before the step that ends the way back.
func (d *derivation) finish() {
	last := len(d.steps) - 1
	if end := d.index(endStep); end >= 0 {
		last = end - 1
	}
	if last >= 0 && state.Hold(d.steps[last]) == nil {
		d.steps[last].Blocks = append(d.steps[last].Blocks, d.finalHold(d.steps[last]))
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

// close adds the step that ends what kept energy away.
func (d *derivation) close() {
	if len(d.closing) > 0 {
		d.steps = append(d.steps, d.closingStep())
	}
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
