package refit

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/claims"
	"matchmark/procedure/state"
)

// worded puts acts into lists, each list behind the words with which the removal does its first act, where it does the same.
func (d *derivation) worded(acts []*act) (out []procedure.Block) {
	from := 0 // where the list begins that is not laid yet
	for i, a := range acts {
		if words := d.wordsAgain(a); len(words) > 0 {
			out = append(append(out, d.lists(acts[from:i])...), words...)
			from = i
		}
	}
	return append(out, d.lists(acts[from:])...)
}

// wordsAgain returns the words with which the removal does the same; of those before a lift the ones on its try, since the load goes the other
// way then.
func (d *derivation) wordsAgain(a *act) []procedure.Block {
	words := wordsBefore(d.same(a))
	if a.verb != procedure.Lift || d.words("refit.language") != "en" {
		return words
	}
	var out []procedure.Block
	for _, b := range words {
		var kept []string
		all := true
		for x := range claims.SentencesOf(*b.Shows().Text, d.called()) {
			if x.LiftTest() {
				kept = append(kept, strings.TrimSpace(x.Text))
			} else {
				all = false
			}
		}
		switch {
		case all:
			out = append(out, b)
		case len(kept) > 0:
			out = append(out, d.instruction(b.Place(), strings.Join(kept, " ")))
		}
	}
	return out
}

// same returns the act of the removal that this one does once more: a proof, a load slung, lifted and let go of, an eye turned in. Nil for one that
// turns round what the removal does.
func (d *derivation) same(a *act) *state.Event {
	if a.verb == procedure.Verify {
		return a.of
	}
	brought := a.of.Fastener != nil && a.of.Fastener.Brought && (a.verb == procedure.Fit || a.verb == procedure.Tighten)
	slung := (a.verb == procedure.Hang || a.verb == procedure.Release) && d.hangs(a)
	if !brought && a.verb != procedure.Lift && !slung {
		return nil
	}
	for i := range d.out.Events {
		e := &d.out.Events[i]
		if e.Action.Verb == a.verb && e.Action.Object.ID == a.object.ID && slices.EqualFunc(e.Action.With, a.with, func(x, y procedure.Ref) bool { return x.ID == y.ID }) {
			return e
		}
	}
	return nil
}

// hangs reports whether an act hangs a load on gear with a sling: from below and by hand, it is done otherwise where the load stands.
func (d *derivation) hangs(a *act) bool {
	return slices.ContainsFunc(a.with, func(r procedure.Ref) bool {
		x := d.out.Assembly.Support(r.ID)
		return x != nil && x.Ability().Between
	})
}

// wordsBefore returns the words between an act and the one before it in its step: they say how it is done. An act further down in a list
// has none of its own, but for a proof of what the acts before it establish: dead is established and verified by one measurement.
func wordsBefore(e *state.Event) (out []procedure.Block) {
	if e == nil {
		return nil
	}
	proof := e.Action.Verb == procedure.Verify
	for _, b := range e.Step.Blocks {
		shown := b.Shows()
		switch i := slices.Index(shown.Actions, e.Action); {
		case i == 0, i > 0 && proof && !slices.ContainsFunc(shown.Actions[:i], func(a *procedure.Action) bool { return a.Object.ID != e.Action.Object.ID }):
			return out
		case i > 0:
			return nil
		case len(shown.Actions) > 0:
			out = nil
		case shown.Text != nil:
			out = append(out, b)
		}
	}
	return nil
}

// saysAgain reports whether each of the acts has words of the removal, its own or those of the list that it stands in.
func (d *derivation) saysAgain(acts []*act) bool {
	told := false
	for _, a := range acts {
		e := d.same(a)
		if e == nil {
			return false
		}
		if told = len(wordsBefore(e)) > 0 || told; !told {
			return false
		}
	}
	return true
}
