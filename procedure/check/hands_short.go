package check

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var handsShort = rule{
	Rule: diagnostic.Rule{
		Code: "hands-short", Severity: diagnostic.Warning, Title: "More hands needed than the step has people",
		Wrong: "A step for one person says that something is done together or by a second person, or that a heavy part is held while its last fastener comes out.",
		Why:   "Hands that hold are not free for the last screw, and the plan sends the second person elsewhere.",
		Do:    "Plan the step for two, or put a support on.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		if s.People > 1 {
			return
		}
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Text == nil {
				continue
			}
			for _, q := range shown.Text.Paragraphs() {
				for _, x := range hazard.Sentences(q.Text) {
					held := heldWhile(m, s, x)
					switch {
					case together(x):
						report(diagnostic.Diagnostic{
							Span: q.SpanOf(0, len(q.Text)), Wrong: say.That("the words say %words, and step %step is for one person", say.Quote(x), say.Name(s.ID)),
							Advice: say.That("State people=2, or say how one person does it."),
						})
						return
					case held != nil:
						report(diagnostic.Diagnostic{
							Span: q.SpanOf(0, len(q.Text)), Wrong: say.That("one person holds %part (%mass) and takes out its fasteners in step %step: hands that hold are not free", say.Name(held.ID), say.Word(held.Mass.String()), say.Name(s.ID)),
							Advice: say.That("State people=2, or put a support on before."), See: []diagnostic.Related{{Span: held.Span, Says: say.That("registered here")}},
						})
						return
					}
				}
			}
		}
	}),
}

var (
	// jointly finds work of two people: "Draw the bundle out together."
	jointly = regexp.MustCompile(`(?i)^(?:now |then |slowly )?(?:lift|hold|draw|carry|roll|slide|lower|set|pull|turn|take|lay|walk|tilt|hebt|haltet|zieht|tragt|rollt|schiebt|legt|stellt)\b.*\b(?:together|gemeinsam|zusammen|zu zweit)\b`)
	// several are things that are put together, and no people.
	several = regexp.MustCompile(`(?i)\b(?:both|two|halves|ends|all|them|pieces|parts|three|four|beide|zwei|hälften|enden|alle)\b`)
	second  = regexp.MustCompile(`(?i)\b(?:your (?:helper|partner|mate|colleague)|a (?:helper|second person|second pair of hands)|second person|second pair of hands|both of you|the two of you|dein(?:e|em)? helfer(?:in)?|eine zweite person|zu zweit|ihr beide)\b`)
	fetches = regexp.MustCompile(`(?i)\b(?:no|nobody|nothing|without|tell|ask|call|warn|not|never|ohne|kein|frag|ruf)\b`)
	holding = regexp.MustCompile(`(?i)^(?:hold|keep hold of|carry|support|halte|stütze) (?:the |up |den |die |das )?`)
)

// together reports whether a sentence is about work of two people.
func together(sentence string) bool {
	return jointly.MatchString(sentence) && !several.MatchString(sentence) || second.MatchString(sentence) && !fetches.MatchString(sentence)
}

// heldWhile returns the part that a sentence tells to hold, where the step takes out its fasteners and nothing carries it;
// nil for none that is heavy.
func heldWhile(m *procedure.Machine, s *procedure.Step, sentence string) *procedure.Part {
	if !holding.MatchString(sentence) {
		return nil
	}
	for _, p := range m.Parts {
		if p.Mass.IsZero() || p.Mass.Float("kg") < state.RestKg || !strings.Contains(strings.ToLower(sentence), lastWordOf(p.Name)) {
			continue
		}
		taken := slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
			t := m.Thing(a.Object.ID)
			return a.Verb == procedure.Remove && t != nil && t.Fastener != nil && slices.ContainsFunc(t.Fastener.Joins, func(r procedure.Ref) bool { return r.ID == p.ID })
		})
		carried := slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return a.Verb == procedure.Hang && a.Object.ID == p.ID })
		if taken && !carried {
			return p
		}
	}
	return nil
}

// lastWordOf is the noun of a plain name, in small letters: "panel" of "Canopy panel".
func lastWordOf(name string) string {
	name, _, _ = strings.Cut(strings.ToLower(name), ",")
	all := strings.Fields(name)
	if len(all) == 0 {
		return ""
	}
	return all[len(all)-1]
}
