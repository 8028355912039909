package check

import (
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
)

// handMost is the most that one person lifts under the best of circumstances, in kg.
//
// Source: the load constant of the NIOSH revised lifting equation.
const handMost = 23

var liftTold = rule{
	Rule: diagnostic.Rule{
		Code: "lift-told", Severity: diagnostic.Warning, Title: "Words lift by hand what is too heavy",
		Wrong: "The words of a step tell to lift, carry or push up a part of more than 23 kg for each of its people, and no act has put it on a support.",
		Why:   "Figures for lifts are worked out from acts: a lift in words alone is judged by nobody, and nothing holds the load when the hands let go.",
		Do:    "Raise it by a jack, a screw or a hoist, and write that as an act; or say what carries it.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			carried := map[string]bool{}
			for _, s := range p.WrittenSteps() {
				for _, a := range s.Actions() {
					switch a.Verb {
					case procedure.Hang, procedure.Lift, procedure.SetDown, procedure.Remove, procedure.Fit:
						carried[a.Object.ID] = true // by its acts it is judged elsewhere
					}
				}
				liftsTold(p.Machine, s, carried, report)
				for _, a := range s.Actions() {
					if a.Verb == procedure.Release || a.Verb == procedure.Remove || a.Verb == procedure.Fit {
						delete(carried, a.Object.ID)
					}
				}
			}
		}
	},
}

// liftsTold judges what the running text of a step tells to lift.
func liftsTold(m *procedure.Machine, s *procedure.Step, carried map[string]bool, report func(diagnostic.Diagnostic)) {
	for _, b := range s.Blocks {
		text := b.Shows().Text
		if text == nil {
			continue
		}
		for _, q := range text.Paragraphs() {
			for _, x := range hazard.Sentences(q.Text) {
				part := liftedByWords(m, x)
				if part == nil || carried[part.ID] || part.Mass.Float("kg") <= handMost*float64(max(s.People, 1)) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: q.SpanOf(0, len(q.Text)), Wrong: say.That("the words say %words, %part weighs %mass, and no act has put it on a support by step %step", say.Quote(x), say.Name(part.ID), say.Word(part.Mass.String()), say.Name(s.ID)),
					Advice: say.That("Raise it by a jack, a screw or a hoist, as an act; or say what carries it."), See: []diagnostic.Related{{Span: part.Span, Says: say.That("registered here")}},
				})
			}
		}
	}
}

var (
	// raising finds a lift told as an instruction: "Lift the motor", "Push the motor up by hand".
	raising = regexp.MustCompile(`(?i)^(?:now |then |together )?(?:(?:lift|raise|carry|heave|hebe|hebt|trage|tragt) |(?:push|pull|press|hold|take|drücke|drückt|schiebe|schiebt|ziehe|zieht) .*\b(?:up|upward|hoch|nach oben)\b)`)
	// byOther names what does the lifting, and by how much it is lifted on it.
	byOther = regexp.MustCompile(`(?i)\b(?:with|by) (?:the |a )?(?:jack|screw|hoist|crane|lever|lift|table|\d)|mit (?:dem|der|einem|einer)\b`)
)

// liftedByWords returns the part that a sentence tells to lift by hand; nil for none.
func liftedByWords(m *procedure.Machine, sentence string) *procedure.Part {
	if !raising.MatchString(sentence) || byOther.MatchString(sentence) {
		return nil
	}
	words := " " + strings.ToLower(strings.Map(func(r rune) rune {
		if strings.ContainsRune(".,;:!?", r) {
			return ' '
		}
		return r
	}, sentence)) + " "
	for _, p := range m.Parts {
		if p.Mass.IsZero() {
			continue
		}
		name, _, _ := strings.Cut(strings.ToLower(p.Name), ",")
		if strings.Contains(words, " "+name+" ") || strings.Contains(words, " the "+strings.ReplaceAll(p.ID, "-", " ")+" ") {
			return p
		}
	}
	return nil
}
