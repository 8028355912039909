package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/fitting"
	"matchmark/procedure/text"
)

// inherit fills in what an author's step leaves to the derived one whose place it takes: where the step says that it only differs, or
// when it does none of the derived acts and no other step of the author's does them all. Then they are still to be done, and the author only
// changes how they are told. Any other step with derived acts of its own says all of it itself, but for a time that it does not state.
func (d *derivation) inherit(own, derived *procedure.Step) {
	if own.Time == (procedure.Estimate{}) {
		own.Time = derived.Time
	}
	if own.Title == "" {
		own.Title = derived.Title
	}
	acts := d.left(own, derived)
	if len(acts) == 0 && !own.Differs {
		return
	}
	own.Inherits = true
	if own.Unsaid.People {
		own.People = derived.People
	}
	if own.Unsaid.Who {
		own.Who = derived.Who
	}
	if own.Unsaid.Tools {
		own.Listed = derived.Listed
	}
	if own.Unsaid.Needs {
		own.Needs = slices.Clone(derived.Needs)
		d.inherited = append(d.inherited, own.ID)
	}
	if own.FindFigure && own.Figure.ID == "" {
		own.Figure = derived.Figure
	}
	own.SafeStop = own.SafeStop || derived.SafeStop
	if own.Differs {
		own.Blocks = overlaid(own.Blocks, derived, acts)
	} else {
		own.Blocks = inherited(own.Blocks, derived.Blocks, acts)
	}
	own.Gap = derived.Gap && !slices.ContainsFunc(own.Blocks, func(b procedure.Block) bool { return isText(b) && !slices.Contains(derived.Blocks, b) })
	own.People = own.Crew()
	own.Tools, _ = fitting.Tools(d.out.Job.Machine, own)
}

// does reports whether a step does what an act does.
func does(s *procedure.Step, a *procedure.Action) bool {
	return slices.ContainsFunc(s.Actions(), a.IsLike)
}

// left returns the acts of a derived step that the author leaves to it; none when the author's step does one of them and does not say that it
// only differs.
func (d *derivation) left(own, derived *procedure.Step) []procedure.Block {
	var out []procedure.Block
	for _, b := range derived.Blocks {
		actions := b.Shows().Actions
		if !own.Differs && slices.ContainsFunc(actions, func(a *procedure.Action) bool { return does(own, a) }) {
			return nil
		}
		rest := slices.DeleteFunc(slices.Clone(actions), func(a *procedure.Action) bool {
			return does(own, a) || slices.ContainsFunc(d.add.Steps, func(s *procedure.Step) bool {
				return procedure.AppliesTo(s.Variants, d.out.Job.Variant) && does(s, a)
			})
		})
		if len(rest) > 0 {
			out = append(out, withActions(b, rest))
		}
	}
	return out
}

// withActions returns a derived list or callout with some of its acts.
func withActions(b procedure.Block, acts []*procedure.Action) procedure.Block {
	if len(acts) == len(b.Shows().Actions) {
		return b
	}
	c := procedure.Clone(b)
	procedure.EachField(c, func(_ *procedure.Field, value any) {
		if list, ok := value.(*[]*procedure.Action); ok {
			*list = acts
		}
	})
	return c
}

func isWarning(b procedure.Block) bool { return b.Shows().Warning != nil }
func isText(b procedure.Block) bool    { return b.Shows().Text != nil }
func isHold(b procedure.Block) bool    { return b.Shows().Hold != nil }

// inherited lays the blocks of a step: the acts behind the words that the author begins with, and cautions, words and the hold point of
// the derived step where the author writes none.
func inherited(own, derived, acts []procedure.Block) (out []procedure.Block) {
	lead := func(b procedure.Block) bool { return isWarning(b) || isText(b) || len(b.Shows().Actions) > 0 }
	at := slices.IndexFunc(own, func(b procedure.Block) bool { return !lead(b) })
	if at < 0 {
		at = len(own)
	}
	missing := func(is func(procedure.Block) bool) {
		if slices.ContainsFunc(own, is) {
			return
		}
		for _, b := range derived {
			if is(b) {
				out = append(out, b)
			}
		}
	}
	missing(isWarning)
	for _, b := range own[:at] {
		out = append(out, aboutNext(b, acts))
	}
	if slices.ContainsFunc(own, isText) {
		out = append(out, acts...)
	} else {
		out = append(out, told(derived, acts)...)
	}
	missing(func(b procedure.Block) bool { return b.Shows().Point != nil })
	missing(func(b procedure.Block) bool { return b.Shows().Must != nil })
	out = append(out, slices.DeleteFunc(slices.Clone(own[at:]), isHold)...)
	for _, b := range own[at:] {
		if isHold(b) {
			out = append(out, b)
		}
	}
	missing(isHold)
	return out
}

// told returns the words of a derived step with the acts that are left to it, each in its place.
func told(derived, acts []procedure.Block) (out []procedure.Block) {
	for _, b := range derived {
		at := slices.IndexFunc(acts, func(x procedure.Block) bool { return x == b || x.Place() == b.Place() && len(b.Shows().Actions) > 0 })
		switch {
		case isText(b):
			out = append(out, b)
		case at >= 0:
			out = append(out, acts[at])
			acts = slices.Delete(slices.Clone(acts), at, at+1)
		}
	}
	return append(out, acts...)
}

// aboutNext is a caution that its author leaves open, about the first of the acts that come next.
func aboutNext(b procedure.Block, acts []procedure.Block) procedure.Block {
	c := b.Shows().Warning
	if c == nil || !c.FindAbout || len(c.About) > 0 {
		return b
	}
	again := *c
	again.About = []procedure.Ref{acts[0].Shows().Actions[0].Object}
	return &again
}

// Told returns the steps that authors wrote, those of the refitting with what they leave to derived ones: back is the whole of it.
func Told(p, back *procedure.Procedure) []*procedure.Step {
	steps := p.WrittenSteps()
	whole := map[text.Span]*procedure.Step{}
	for _, s := range back.Steps {
		if first := whole[s.Span]; first == nil && s.Inherits {
			copied := *s
			whole[s.Span] = &copied
		} else if s.Inherits {
			for _, b := range s.Blocks { // of another variant: the words are the same
				same := func(x procedure.Block) bool { return x.Place() == b.Place() && len(x.Shows().Actions) > 0 }
				if len(b.Shows().Actions) > 0 && !slices.ContainsFunc(first.Blocks, same) {
					first.Blocks = append(slices.Clone(first.Blocks), b)
				}
			}
		}
	}
	out := slices.Clone(steps)
	for i, s := range out {
		if x := whole[s.Span]; x != nil && i >= len(p.Steps) {
			out[i] = x
		}
	}
	return out
}
