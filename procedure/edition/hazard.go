package edition

import (
	"cmp"
	"slices"
	"strings"

	"matchmark/procedure"
)

// HazardKind says what happened to a caution.
type HazardKind string

// The kinds of change of a caution. A caution that was raised or lowered may have new words too.
const (
	HazardAdded   HazardKind = "added"
	HazardRemoved HazardKind = "removed"
	Raised        HazardKind = "raised"   // to a more severe signal word
	Lowered       HazardKind = "lowered"  // to a less severe one
	Reworded      HazardKind = "reworded" // or about other things
	HazardMoved   HazardKind = "moved"    // to another step
)

// Hazard is a caution that changed.
type Hazard struct {
	Kind HazardKind
	// OldStep and NewStep are the steps that it stands in; nil where there is none.
	OldStep, NewStep *procedure.Step
	// Old and New are the caution in the two editions; nil where there is none.
	Old, New *procedure.Caution
	// OldText and NewText are its words.
	OldText, NewText string
	// Changes are what else is different in its fields.
	Changes []Change
}

// signals are the signal words, the most severe first.
var signals = []procedure.Signal{procedure.Danger, procedure.WarningWord, procedure.CautionWord, procedure.Notice}

// rank is 0 for the most severe signal word.
func rank(c *procedure.Caution) int { return slices.Index(signals, c.Signal) }

// caution is a caution with its place.
type caution struct {
	*procedure.Caution
	step  *procedure.Step
	order int
	text  string
}

func cautions(p *procedure.Procedure) []*caution {
	var out []*caution
	var before *procedure.Step
	for _, s := range p.Steps {
		for _, b := range s.Blocks {
			if c := b.Shows().Warning; c != nil && !c.Repeats(s, before) {
				out = append(out, &caution{c, s, len(out), c.Prose.Plain()})
			}
		}
		before = s
	}
	return out
}

// alike is how two cautions are taken for the same one: the first rule that fits, for as many as it fits.
var alike = []func(a, b *caution) bool{
	func(a, b *caution) bool {
		return a.step.ID == b.step.ID && procedure.Fingerprint(a.Caution) == procedure.Fingerprint(b.Caution)
	},
	func(a, b *caution) bool { return a.step.ID == b.step.ID && a.text == b.text && a.Signal == b.Signal },
	func(a, b *caution) bool { return a.step.ID == b.step.ID && a.text == b.text },
	func(a, b *caution) bool { return a.step.ID == b.step.ID && len(a.About) > 0 && a.sameThings(b) },
	func(a, b *caution) bool { return a.step.ID == b.step.ID && overlap(a.text, b.text) >= 0.5 },
	func(a, b *caution) bool { return a.text == b.text },
}

func (a *caution) sameThings(b *caution) bool {
	return slices.EqualFunc(a.About, b.About, func(x, y procedure.Ref) bool { return x.ID == y.ID })
}

// overlap is which part of their words two texts share, by the Dice coefficient:
// twice the shared words over all words.
func overlap(a, b string) float64 {
	x, y := plain(strings.Fields(strings.ToLower(a))), plain(strings.Fields(strings.ToLower(b)))
	if len(x)+len(y) == 0 {
		return 0
	}
	return 2 * float64(len(x)-len(without(x, y))) / float64(len(x)+len(y))
}

func hazards(before, after *procedure.Procedure) []Hazard {
	old, now := cautions(before), cautions(after)
	var out []Hazard
	places := map[*procedure.Caution]int{}
	for _, same := range alike {
		for _, a := range slices.Clone(old) {
			i := slices.IndexFunc(now, func(b *caution) bool { return same(a, b) })
			if i < 0 {
				continue
			}
			b := now[i]
			places[b.Caution] = b.order
			now = slices.Delete(now, i, i+1)
			old = slices.DeleteFunc(old, func(c *caution) bool { return c == a })
			var c changes
			c.fields(namesOf(before), namesOf(after), a.Caution, b.Caution, "signal-word")
			if a.text != b.text { // shown as a whole
				c = slices.DeleteFunc(c, func(x Change) bool { return x.What == "text" })
			}
			if kind := happened(a, b, c); kind != "" {
				out = append(out, Hazard{kind, a.step, b.step, a.Caution, b.Caution, a.text, b.text, c})
			}
		}
	}
	for _, a := range old {
		places[a.Caution] = a.order
		out = append(out, Hazard{Kind: HazardRemoved, OldStep: a.step, Old: a.Caution, OldText: a.text})
	}
	for _, b := range now {
		places[b.Caution] = b.order
		out = append(out, Hazard{Kind: HazardAdded, NewStep: b.step, New: b.Caution, NewText: b.text})
	}
	slices.SortStableFunc(out, func(x, y Hazard) int {
		return cmp.Or(cmp.Compare(x.severity(), y.severity()), cmp.Compare(places[x.either()], places[y.either()]))
	})
	return out
}

// happened says how a caution changed; empty when it did not.
func happened(a, b *caution, other []Change) HazardKind {
	switch was, is := rank(a.Caution), rank(b.Caution); {
	case is < was:
		return Raised
	case is > was:
		return Lowered
	case a.step.ID != b.step.ID:
		return HazardMoved
	case a.text != b.text || len(other) > 0:
		return Reworded
	}
	return ""
}

func (h Hazard) either() *procedure.Caution {
	if h.New != nil {
		return h.New
	}
	return h.Old
}

// severity is the rank of the more severe of the two signal words.
func (h Hazard) severity() int {
	out := rank(h.either())
	if h.Old != nil {
		out = min(out, rank(h.Old))
	}
	return out
}
