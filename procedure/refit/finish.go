package refit

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/fitting"
	"matchmark/procedure/state"
)

// override puts the author's own steps in: in place of derived ones, behind those
// that they name, or at the end of the work, before the step that ends the refitting.
func (d *derivation) override() {
	placed := map[string]int{} // how many steps were put in behind the step of that name
	own := d.own()
	for _, s := range own {
		if i := d.replaced(s); i >= 0 {
			d.inherit(s, d.steps[i])
		}
	}
	for _, s := range own {
		if i := d.replaced(s); i >= 0 && len(s.After) > 0 && s.ID != endStep {
			d.steps = slices.Delete(d.steps, i, i+1) // it says itself where it stands
		}
	}
	for _, s := range own {
		if i := d.replaced(s); i >= 0 {
			if s.Chapter == "" {
				s.Chapter = d.steps[i].Chapter
				standing := d.steps[i].Standing
				s.Blocks = slices.DeleteFunc(s.Blocks, func(b procedure.Block) bool { // inherited from the derived step
					c := b.Shows().Warning
					return c != nil && slices.Contains(standing, c)
				})
				s.Stand(standing, true)
			}
			d.steps[i] = s
			continue
		}
		at, after, front := len(d.steps), "", false
		if end := d.index(endStep); end >= 0 {
			at = end
		}
		for _, r := range s.After {
			i := d.mentioned(r.ID)
			if i < 0 {
				var gone bool
				i, gone = d.instead(r.ID)
				front = front || gone && i < 0
			}
			if i >= 0 && (after == "" || i > at) {
				at, after = i, d.steps[i].ID
			}
		}
		switch {
		case after != "":
			at += 1 + placed[after]
			placed[after]++
		case front:
			at = placed[""]
			placed[""]++
		}
		d.steps = slices.Insert(d.steps, at, s)
	}
}

// own returns the author's steps for this variant. Steps that take a derived step's
// place come first and the step that ends the refitting next, so that others can name them
// wherever they stand in the file; then each after those of the others that it names.
func (d *derivation) own() []*procedure.Step {
	var first, rest []*procedure.Step
	for _, s := range d.add.Steps {
		if s = d.onWay(s); s == nil {
			continue
		}
		switch {
		case !procedure.AppliesTo(s.Variants, d.out.Job.Variant):
		case s.ID == endStep || d.replaced(s) >= 0 && len(s.After) == 0:
			first = append(first, d.forVariant(s))
		default:
			rest = append(rest, d.forVariant(s))
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

// replaced returns the place of the step that an author's step takes; -1 when there is none. One for this variant alone may have the
// name that the derived step has once the variants are joined.
func (d *derivation) replaced(s *procedure.Step) int {
	if len(s.Variants) == 1 {
		return d.mentioned(s.ID)
	}
	return d.index(s.ID)
}

// mentioned returns the place of the step of a name, also by the name
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

// forVariant returns the step with the blocks for the job's variant.
func (d *derivation) forVariant(s *procedure.Step) *procedure.Step {
	out := *s
	out.Blocks = nil
	for _, b := range s.Blocks {
		if b = procedure.OnVariant(b, d.out.Job.Machine, d.out.Job.Variant); b != nil {
			out.Blocks = append(out.Blocks, b)
		}
	}
	return &out
}

// settle takes the variants, and the conditions that are decided, off the blocks: they stand in a job for one variant on one way, and
// the step says for which it is once the jobs are joined.
func (d *derivation) settle() {
	for _, s := range d.steps {
		for i, b := range s.Blocks {
			decided := b.Base().If != "" && b.Base().If.Decided(d.out.Job.Answers)
			if b.Base().Variants != nil || decided {
				s.Blocks[i] = procedure.Clone(b)
				s.Blocks[i].Base().Variants = nil
				if decided {
					s.Blocks[i].Base().If = ""
				}
			}
		}
	}
}

// finish adds the final hold point, before the step that ends the refitting.
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
	for _, f := range d.out.Assembly.Fasteners {
		if f.Retorque != "" && d.find(procedure.Tighten, f) >= 0 {
			confirm = append(confirm, d.words("refit.final.retorque", name(&f.Row), f.ID, f.Retorque))
		}
	}
	confirm = append(confirm, d.words("refit.final.guards"), d.words("refit.final.people"))
	if left := d.leftOut(); len(left) > 0 {
		confirm = append(confirm, d.words("refit.final.left", strings.Join(left, ", ")))
	}
	signature := ""
	for _, s := range d.out.Job.Steps {
		if h := state.Hold(s); h != nil {
			signature = h.Signature
		}
	}
	h := &procedure.Hold{Common: procedure.Common{Span: last.Span}, Title: d.words("refit.final"), Signature: signature, SafeStop: true}
	for _, c := range confirm {
		h.Confirmations = append(h.Confirmations, procedure.Words(last.Span, c))
	}
	return h
}

// leftOut names what was taken off and does not go back, as the author declares.
func (d *derivation) leftOut() (names []string) {
	for _, x := range state.Differences(d.out.Start, d.end) {
		if d.declared[x.Row] {
			names = append(names, numbered(d.out.Assembly, x.Row))
		}
	}
	return names
}

// numbered is what a thing is called, behind its callout number if it has one.
func numbered(a *state.Assembly, row *procedure.Row) string {
	if a.Fastener(row.ID) != nil {
		return row.ID + " " + name(row)
	}
	return name(row)
}

// close adds the step that ends what kept energy away.
func (d *derivation) close() {
	if len(d.closing) > 0 {
		d.steps = append(d.steps, d.closingStep())
	}
}

// closingStep ends the conditions that kept energy away, of these those first that others need, and
// before each what else needs it; then what they needed themselves, last established first.
func (d *derivation) closingStep() *procedure.Step {
	var order []*state.Event
	rest := slices.Clone(d.closing) // last established first
	energy := func(e *state.Event) bool { return e.Condition.Energy }
	for len(rest) > 0 {
		free := func(e *state.Event) bool {
			return !slices.ContainsFunc(rest, func(x *state.Event) bool {
				if slices.Contains(e.Condition.Requires, x.Condition) {
					return x != e && !x.Condition.Outlives(e.Condition)
				}
				return x != e && slices.Contains(x.Condition.Requires, e.Condition) && e.Condition.Outlives(x.Condition)
			})
		}
		i := slices.IndexFunc(rest, func(e *state.Event) bool { return energy(e) && free(e) })
		if i < 0 {
			i = max(0, slices.IndexFunc(rest, free)) // where they need each other, the check of rows knows
		}
		order = append(order, rest[i])
		rest = slices.Delete(rest, i, i+1)
	}
	var acts []*act
	var time procedure.Estimate
	people := 0
	turned := map[*procedure.Step]bool{}
	for _, e := range order {
		acts = append(acts, &act{verb: procedure.Undo, object: e.Action.Object, of: e})
		if !turned[e.Step] {
			turned[e.Step] = true
			time.Optimistic += e.Step.Time.Optimistic
			time.Likely += e.Step.Time.Likely
			time.Pessimistic += e.Step.Time.Pessimistic
			people = max(people, e.Step.People)
		}
		people = max(people, e.Action.Locks.N) // each takes off their own
	}
	first := order[0].Step
	s := &procedure.Step{
		ID: endStep, Title: d.words("refit.end"), Span: first.Span, People: people, Time: time, FindTools: true,
		Blocks: append([]procedure.Block{&procedure.Caution{
			Common: procedure.Common{Span: first.Span}, Signal: procedure.Danger, Prose: procedure.Words(first.Span, d.words("refit.end.caution")),
		}, d.instruction(first.Span, d.words("refit.end.why"))}, d.lists(acts)...),
	}
	s.Tools, _ = fitting.Tools(d.out.Job.Machine, s)
	return s
}
