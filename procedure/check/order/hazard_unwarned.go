package order

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/contact"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var hazardUnwarned = Check{
	Rule: diagnostic.Rule{
		Code: "hazard-unwarned", Severity: diagnostic.Warning, Title: "Nothing warns before the first touch",
		Wrong: "A row says what a thing does to people, and no caution stands before the first act that touches it.",
		Why:   "A register is read by whoever writes the job; a caution is read by whoever reaches in.",
		Do:    "Put a caution about it in front of the act: what it does, what happens, how to avoid it.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		met := map[*procedure.Row]bool{}
		eachWarned(f, func(e *state.Event, w *cautioned) {
			for _, c := range contact.Of(f.Job.Machine, e.Step, e.Action) {
				if met[c.Row] {
					continue
				}
				met[c.Row] = true
				kinds := hazard.Read(c.Words)
				if w.about(c.Row.ID) || w.hereAbout(object(e).Text()) || w.hereOf(kinds) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("step %step is the first that touches %thing, and no caution before it warns of it: %hazard", number(e), the(c.Row.ID), say.Quote(c.Words)),
					Advice: say.That("Put a caution with about=%thing in front of the act.", say.Name(c.Row.ID)), See: []diagnostic.Related{registered(c.Row)},
				})
			}
		})
	},
}

var usualHazard = Check{
	Rule: diagnostic.Rule{
		Code: "usual-hazard", Severity: diagnostic.Advice, Title: "Common hazard that nothing speaks of",
		Wrong: "A belt, a chain, a circlip, a tab washer, pent-up energy or a fluid is handled that commonly hurts people, and neither a caution nor its row says so.",
		Why:   "Who does it every day thinks of it, and who learns it does not.",
		Do:    "Write a caution in front of the act, or the hazard into the row; `none` says that there is none.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		met := map[*procedure.Row]bool{}
		eachWarned(f, func(e *state.Event, w *cautioned) {
			row, kind, does := usual(e)
			if row == nil || met[row] {
				return
			}
			met[row] = true
			// A caution warns of what it speaks of. That of a fluid must stand in its row all the same: protection is looked for by it.
			unstated := e.Fluid != nil && kind != hazard.Slippery
			if !unstated && (w.about(row.ID) || w.names(row.Name) || e.Condition != nil && w.here()) {
				return
			}
			if unstated {
				report(diagnostic.Diagnostic{
					Span: row.Span, Wrong: say.That("%does, and its row states no hazard", does),
					Advice: say.That("Write %kind into the column hazard of its row, or none.", say.Word(kind)), See: see(e, say.That("it is let out here")),
				})
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%thing commonly hurts: %does; no caution before step %step warns of it", the(row.ID), does, number(e)),
				Advice: say.That("Put a caution in front of the act, or write %kind into the column hazard of its row.", say.Word(kind)), See: []diagnostic.Related{registered(row)},
			})
		})
	},
}

// usual is the hazard that an act commonly has, where the row states none.
func usual(e *state.Event) (row *procedure.Row, kind hazard.Kind, does say.Text) {
	switch x, y, z, c := e.Fastener, e.Connection, e.Fluid, e.Condition; {
	case x != nil && x.Hazard == "" && x.Kind == procedure.Circlip && e.Action.Verb == procedure.Remove:
		return &x.Row, hazard.Flying, say.That("a circlip flies off")
	case x != nil && x.Hazard == "" && x.Kind == procedure.TabWasher && e.Action.Verb == procedure.Loosen:
		return &x.Row, hazard.Flying, say.That("chips fly from the chisel")
	case y != nil && y.Hazard == "" && (y.Kind == procedure.Belt || y.Kind == procedure.Chain) && e.Action.Verb == procedure.Disconnect:
		return &y.Row, hazard.Pinching, say.That("fingers get caught where it runs on to its wheel")
	case z != nil && z.Hazard == "" && e.Action.Verb == procedure.Drain:
		if kinds := hazard.Substance(z.Name); len(kinds) > 0 {
			return &z.Row, kinds[0], say.That("what is called %name is %kind", say.Quote(z.Name), say.Word(kinds[0]))
		}
	case c != nil && c.Energy && e.Action.Verb == procedure.Establish:
		for _, kind := range []hazard.Kind{hazard.Spring, hazard.Pressure} {
			if hazard.Said(c.Name, kind) {
				return &c.Row, kind, say.That("this lets pent-up energy out or holds it back")
			}
		}
	}
	return nil, "", say.Text{}
}

// cautioned is what cautions have warned of so far.
type cautioned struct {
	all []*procedure.Caution
	// of are those of the step in hand.
	of []*procedure.Caution
}

// eachWarned calls do for each event, with the cautions that stand before it.
func eachWarned(f *Facts, do func(e *state.Event, w *cautioned)) {
	w := &cautioned{}
	for i, s := range f.Job.Steps {
		events := f.Trace.Step(i)
		w.of = nil
		next := 0
		for _, b := range s.Blocks {
			shown := b.Shows()
			if c := shown.Warning; c != nil {
				w.all, w.of = append(w.all, c), append(w.of, c)
			}
			for range shown.Actions {
				do(&events[next], w)
				next++
			}
		}
	}
}

func isAbout(c *procedure.Caution, id string) bool {
	return slices.ContainsFunc(c.About, func(r procedure.Ref) bool { return r.ID == id })
}

// about reports whether a caution so far is about the thing.
func (w *cautioned) about(id string) bool {
	return slices.ContainsFunc(w.all, func(c *procedure.Caution) bool { return isAbout(c, id) })
}

// hereAbout reports whether a caution of the step is about what the act is done to, in whichever words.
func (w *cautioned) hereAbout(id string) bool {
	return slices.ContainsFunc(w.of, func(c *procedure.Caution) bool { return isAbout(c, id) })
}

// hereOf reports whether a caution of the step speaks of one of the kinds of hazard.
func (w *cautioned) hereOf(kinds []hazard.Kind) bool {
	return slices.ContainsFunc(w.of, func(c *procedure.Caution) bool {
		words := c.Prose.Plain()
		return slices.ContainsFunc(kinds, func(k hazard.Kind) bool { return hazard.Said(words, k) })
	})
}

// here reports whether the step has warned of anything.
func (w *cautioned) here() bool { return len(w.of) > 0 }

var lastWord = regexp.MustCompile(`\pL+`)

// names reports whether a caution so far speaks of a thing by the noun of its name: what stands before a comma or an `of`.
func (w *cautioned) names(name string) bool {
	noun := nounOf(name)
	return noun != "" && slices.ContainsFunc(w.all, func(c *procedure.Caution) bool { return speaksOf(c.Prose.Plain(), noun) })
}

// nounOf is the last word of what a name begins with: "washer" of "Hub tab washer, 40 mm", "ring" of "Ring of the cap".
func nounOf(name string) string {
	for _, end := range []string{",", " of ", " for ", " in ", " von ", " für ", " am ", " des ", " der "} {
		name, _, _ = strings.Cut(name, end)
	}
	all := lastWord.FindAllString(name, -1)
	if len(all) == 0 {
		return ""
	}
	return singular(strings.ToLower(all[len(all)-1]))
}

func singular(word string) string {
	if len(word) > 3 && strings.HasSuffix(word, "s") && !strings.HasSuffix(word, "ss") {
		return word[:len(word)-1]
	}
	return word
}

// speaksOf reports whether words have a noun, in the singular or the plural.
func speaksOf(words, noun string) bool {
	for _, w := range lastWord.FindAllString(strings.ToLower(words), -1) {
		if singular(w) == noun {
			return true
		}
	}
	return false
}
