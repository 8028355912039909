package guess

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// steps are the steps as they were likely meant.
func (g *guesser) steps(steps []*procedure.Step, faults []diagnostic.Diagnostic) []*procedure.Step {
	var out []*procedure.Step
	lost := g.lostInclusions(faults)
	for _, s := range steps {
		for len(lost) > 0 && s.Span.File == lost[0].File && lost[0].Start < s.Span.Start {
			out = append(out, g.anyStep(lost[0]))
			lost = lost[1:]
		}
		var here []diagnostic.Diagnostic
		for _, d := range faults {
			if d.Span.File.Name != g.p.Machine.File.Name && stepAt(steps, d.Span) == s {
				here = append(here, d)
			}
		}
		if len(here) > 0 {
			s = g.step(s, here)
		}
		out = append(out, s)
	}
	return out
}

// lostInclusions are the places of include blocks whose steps are not there, in order.
func (g *guesser) lostInclusions(faults []diagnostic.Diagnostic) (out []text.Span) {
	for _, d := range faults {
		if g.isInclusion(d) {
			out = append(out, d.Span)
		}
	}
	slices.SortFunc(out, func(a, b text.Span) int { return a.Start - b.Start })
	return out
}

func (g *guesser) isInclusion(d diagnostic.Diagnostic) bool {
	line, _ := lineAt(d.Span)
	return d.Span.File == g.p.File && strings.HasPrefix(line, "::: include")
}

// anyStep does what nothing else in the procedure does: that may be what the steps were that are lost.
func (g *guesser) anyStep(at text.Span) *procedure.Step {
	s := &procedure.Step{ID: "what lost steps do", Span: at, People: 20}
	list := &procedure.ActionList{Common: procedure.Common{Span: at}}
	for _, kind := range []procedure.ThingKind{procedure.ConditionThing, procedure.FluidThing, procedure.ConnectionThing, procedure.FastenerThing} {
		for _, verb := range away[kind] {
			for _, id := range g.untouched(verb, []procedure.ThingKind{kind}) {
				list.Actions = append(list.Actions, &procedure.Action{Verb: verb, VerbSpan: at, Object: procedure.Ref{ID: id, Span: at}, Span: at})
			}
		}
	}
	s.Blocks = []procedure.Block{list}
	return s
}

func (g *guesser) step(s *procedure.Step, faults []diagnostic.Diagnostic) *procedure.Step {
	out := *s
	out.Blocks = nil
	out.Needs, out.After, out.Variants = g.names(s.Needs), g.after(s.After), g.variants(s.Variants)
	unclosed := slices.ContainsFunc(faults, func(d diagnostic.Diagnostic) bool { return d.Code == "unclosed-block" })
	for _, b := range s.Blocks {
		b = g.block(b, faults)
		if unclosed {
			b.Base().Variants = nil // what stands behind an open block of one variant may be for all
		}
		out.Blocks = append(out.Blocks, b)
	}
	for _, d := range faults {
		region := Region(d)
		if on(s.Span, region) {
			out.People = 20 // nobody knows how many hold on
		}
		if !g.known(s, region) {
			g.insert(&out, region)
		}
	}
	return &out
}

func (g *guesser) after(refs []procedure.Ref) []procedure.Ref {
	return slices.DeleteFunc(slices.Clone(refs), func(r procedure.Ref) bool { return g.p.Step(r.ID) == nil })
}

// on reports whether a place starts inside a region.
func on(place, region text.Span) bool { return region.Start <= place.Start && place.Start < region.End }

// known reports whether the actions of a region are in the step.
func (g *guesser) known(s *procedure.Step, region text.Span) bool {
	return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return on(a.Span, region) })
}

func (g *guesser) block(b procedure.Block, faults []diagnostic.Diagnostic) procedure.Block {
	b = procedure.Clone(b)
	procedure.EachField(b, func(field *procedure.Field, value any) {
		switch x := value.(type) {
		case *[]*procedure.Action:
			*x = g.actions(*x, faults)
		case *[]procedure.Ref:
			switch field.Refers {
			case "variant":
				*x = g.variants(*x)
			case "thing":
				*x = g.names(*x)
			}
		}
	})
	return b
}

// actions are the actions as they were likely meant: names put right, and for a name
// that is like none every thing that it may stand for.
func (g *guesser) actions(actions []*procedure.Action, faults []diagnostic.Diagnostic) []*procedure.Action {
	var out []*procedure.Action
	for _, a := range actions {
		if !slices.ContainsFunc(faults, func(d diagnostic.Diagnostic) bool { return on(a.Span, Region(d)) || on(d.Span, a.Span) }) {
			out = append(out, a)
			continue
		}
		meant := *a
		meant.Object, meant.With = g.name(a.Object), g.names(a.With)
		rule, _ := a.Verb.Rule()
		if t := g.p.Machine.Thing(meant.Object.ID); t != nil && slices.Contains(rule.Objects, t.Kind) {
			out = append(out, &meant)
			continue
		}
		for _, id := range g.candidates(&rule, a.Object.ID) {
			each := meant
			each.Object.ID = id
			out = append(out, &each)
		}
	}
	return out
}

// candidates names the things that an unknown name behind a verb may stand for.
func (g *guesser) candidates(rule *procedure.VerbRule, name string) []string {
	kinds := slices.DeleteFunc(slices.Clone(rule.Objects), func(k procedure.ThingKind) bool {
		return (k == procedure.FastenerThing) != (strings.Trim(name, "0123456789") == "")
	})
	return g.untouched(rule.Verb, kinds)
}

// untouched names the things of some kinds to which no step does the verb.
func (g *guesser) untouched(verb procedure.Verb, kinds []procedure.ThingKind) []string {
	done := map[string]bool{}
	for _, s := range g.p.WrittenSteps() {
		for _, a := range s.Actions() {
			if a.Verb == verb || verb == procedure.Remove && a.Verb == procedure.Lift {
				done[a.Object.ID] = true
			}
		}
	}
	var out []string
	for _, t := range g.p.Machine.Things() {
		if slices.Contains(kinds, t.Kind) && !done[t.Row.ID] && (t.Part == nil || !t.Part.Base) {
			out = append(out, t.Row.ID)
		}
	}
	return out
}

// listed returns the words of a list item, or of what was likely meant as one, without mark and box.
func listed(line string) (words string, item bool) {
	words = strings.TrimLeft(line, "-*+•–—· \t\u00a0")
	if item = len(words) < len(line); strings.HasPrefix(words, "[") {
		words, item = strings.TrimLeft(words, "[]xX \t\u00a0"), true
	}
	return words, item
}

// insert adds the actions that the lines of a region likely mean, where they stand.
func (g *guesser) insert(s *procedure.Step, region text.Span) {
	f := region.File
	var actions []*procedure.Action
	for n := f.LineOf(region.Start); n <= f.LineCount(); n++ {
		start, end := f.LineBounds(n)
		if start >= region.End {
			break
		}
		line := strings.TrimSpace(string(f.Source[start:end]))
		switch words, item := listed(line); {
		case item:
			actions = append(actions, g.read(words, f.Span(start, end))...)
		case strings.HasPrefix(line, "::: hold"):
			s.Blocks = append(s.Blocks, &procedure.Hold{Common: procedure.Common{Span: f.Span(start, end)}})
		}
	}
	if len(actions) == 0 {
		return
	}
	at := slices.IndexFunc(s.Blocks, func(b procedure.Block) bool { return b.Place().Start > region.Start })
	if at < 0 {
		at = len(s.Blocks)
	}
	// A list in which the region's line is missing is one block: it is cut in two there.
	list := &procedure.ActionList{Common: procedure.Common{Span: region}, Actions: actions}
	if at > 0 {
		if before, after, cut := split(s.Blocks[at-1], region.Start); cut {
			s.Blocks = slices.Replace(s.Blocks, at-1, at, before, procedure.Block(list), after)
			return
		}
	}
	s.Blocks = slices.Insert(s.Blocks, at, procedure.Block(list))
}

// split cuts a list of actions in two at a place in the source.
func split(b procedure.Block, at int) (before, after procedure.Block, cut bool) {
	n := slices.IndexFunc(b.Shows().Actions, func(a *procedure.Action) bool { return a.Span.Start > at })
	if n < 0 {
		return nil, nil, false
	}
	half := func(from, to int) procedure.Block {
		out := procedure.Clone(b)
		procedure.EachField(out, func(_ *procedure.Field, value any) {
			if list, ok := value.(*[]*procedure.Action); ok {
				*list = (*list)[from:to:to]
			}
		})
		return out
	}
	return half(0, n), half(n, len(b.Shows().Actions)), true
}

// read makes actions of an item that the reader could not read.
func (g *guesser) read(words string, span text.Span) []*procedure.Action {
	words, _, _ = strings.Cut(words, ":")
	words, _, _ = strings.Cut(words, "{")
	verb, rest := likelyVerb(words)
	rule, known := verb.Rule()
	var with []procedure.Ref
	if known && rule.Word != "" {
		objects, further, _ := strings.Cut(rest, " "+rule.Word+" ")
		rest = objects
		for name := range strings.SplitSeq(further, ",") {
			with = append(with, g.name(procedure.Ref{ID: strings.TrimSpace(name), Span: span}))
		}
	}
	var out []*procedure.Action
	for name := range strings.FieldsFuncSeq(rest, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' }) {
		ref := g.name(procedure.Ref{ID: name, Span: span})
		t := g.p.Machine.Thing(ref.ID)
		if t == nil && known {
			for _, id := range g.candidates(&rule, ref.ID) {
				out = append(out, &procedure.Action{Verb: verb, VerbSpan: span, Object: procedure.Ref{ID: id, Span: span}, With: with, Span: span})
			}
		}
		if t == nil {
			continue
		}
		verbs := []procedure.Verb{verb}
		if !known || !slices.Contains(rule.Objects, t.Kind) {
			verbs = away[t.Kind]
		}
		for _, v := range verbs {
			out = append(out, &procedure.Action{Verb: v, VerbSpan: span, Object: ref, With: with, Span: span})
		}
	}
	return out
}

// away is what a job most often does to a thing.
var away = map[procedure.ThingKind][]procedure.Verb{
	procedure.FastenerThing: {procedure.Remove}, procedure.PartThing: {procedure.Remove}, procedure.ConnectionThing: {procedure.Disconnect},
	procedure.FluidThing: {procedure.Drain}, procedure.SupportThing: nil, procedure.ConditionThing: {procedure.Establish, procedure.Verify},
}

// likelyVerb finds the verb that an item starts with, or the one that its first words are like.
func likelyVerb(words string) (procedure.Verb, string) {
	var names []string
	for _, r := range procedure.VerbRules {
		names = append(names, string(r.Verb))
	}
	for _, n := range []int{2, 1} {
		fields := strings.Fields(words)
		if len(fields) < n {
			continue
		}
		first := strings.Join(fields[:n], " ")
		rest := strings.Join(fields[n:], " ")
		names := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return len(strings.Fields(name)) != n })
		if slices.Contains(names, first) {
			return procedure.Verb(first), rest
		}
		if near := diagnostic.Nearest(first, names); near != "" {
			return procedure.Verb(near), rest
		}
	}
	fields := strings.Fields(words)
	return "", strings.Join(fields[min(1, len(fields)):], " ")
}
