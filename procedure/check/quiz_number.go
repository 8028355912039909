package check

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

var answerInStem = rule{
	Rule: diagnostic.Rule{
		Code: "answer-in-question", Severity: diagnostic.Advice, Title: "The question gives its answer",
		Wrong: "The number that is asked for, or the words of the right answer, stand in the question.",
		Why:   "It asks whether somebody can read.",
		Do:    "Take it out of the question.",
	},
	run: eachQuestion(func(_ *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		stem := x.Stem.Plain()
		given := ""
		switch x.Kind {
		case procedure.NumberAnswer:
			for _, words := range quantities.FindAllString(stem, -1) {
				if q, err := measure.Parse(strings.TrimSpace(words)); err == nil && q.SameDimension(x.Number) && q.Equal(x.Number) {
					given = words
				}
			}
		case procedure.SingleChoice:
			for _, c := range x.Choices {
				words := strings.ToLower(strings.Trim(c.Prose.Plain(), " .!?"))
				if c.Right && len(strings.Fields(words)) >= 2 && strings.Contains(strings.ToLower(stem), words) {
					given = words
				}
			}
		}
		if given != "" {
			report(diagnostic.Diagnostic{Span: x.Span, Wrong: say.That("the answer stands in the question: %words", say.Quote(strings.TrimSpace(given))), Advice: say.That("Take it out of the question.")})
		}
	}),
}

// quantities finds numbers with what may be a unit behind them.
var quantities = regexp.MustCompile(`\d+(?:[.,]\d+)?(?:\s?(?:N·m|Nm|lbf·ft|°C|°F|%|°|[a-zA-Zµ]+(?:·[a-z]+)?))`)

var keyTolerance = rule{
	Rule: diagnostic.Rule{
		Code: "key-tolerance", Severity: diagnostic.Advice, Title: "A key that counts too much as right",
		Wrong: "The tolerance of a number question is wider than that of the row or the limits of the step, or so wide that a quarter of the answer off is still right.",
		Why:   "Whoever guesses is right, and learns a value that breaks the bolt.",
		Do:    "Take the tolerance of the row, or less.",
	},
	run: eachQuestion(func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		if x.Kind != procedure.NumberAnswer || x.Tolerance.IsZero() || x.Number.IsZero() {
			return
		}
		_, most, err := x.Number.Window(x.Tolerance)
		if err != nil {
			return
		}
		if f := torqueAsked(q, x); f != nil && !f.Tolerance.IsZero() {
			if _, row, err := f.Torque.Window(f.Tolerance); err == nil && most.Compare(row) > 0 {
				report(diagnostic.Diagnostic{
					Span: x.Span, Wrong: say.That("the tolerance of the answer is %tolerance, and that of fastener %number is %row", say.Word(x.Tolerance.String()), say.Name(f.ID), say.Word(f.Tolerance.String())),
					Advice: say.That("Take the tolerance of the row, or less."), See: []diagnostic.Related{{Span: f.Span, Says: say.That("registered here")}},
				})
				return
			}
		}
		if off, err := most.Sub(x.Number); err == nil && off.Times(mostOff).Compare(x.Number) > 0 {
			report(diagnostic.Diagnostic{
				Span: x.Span, Wrong: say.That("the tolerance %tolerance lets answers count as right that are more than a quarter off %answer", say.Word(x.Tolerance.String()), say.Word(x.Number.String())),
				Advice: say.That("Narrow the tolerance."),
			})
		}
	}),
}

// mostOff times the tolerance must not be more than the answer. Common practice, no source.
const mostOff = 4

// torqueAsked returns the fastener whose torque is the answer, of those that the question's step acts on or that it is about; nil for none.
func torqueAsked(q *procedure.Quiz, x *procedure.Question) *procedure.Fastener {
	if q.Procedure == nil || q.Procedure.Machine == nil {
		return nil
	}
	for _, id := range touched(q.Procedure, x) {
		if t := q.Procedure.Machine.Thing(id); t != nil && t.Fastener != nil && t.Fastener.Torque.SameDimension(x.Number) && t.Fastener.Torque.Equal(x.Number) {
			return t.Fastener
		}
	}
	return nil
}

// touched names what a question is about, and what its step acts on, out and back.
func touched(p *procedure.Procedure, x *procedure.Question) (out []string) {
	for _, r := range x.About {
		out = append(out, r.ID)
	}
	for _, s := range p.WrittenSteps() {
		if s.ID != x.Step.ID {
			continue
		}
		for _, a := range s.Actions() {
			out = append(out, a.Object.ID)
		}
	}
	return out
}

var questionElsewhere = rule{
	Rule: diagnostic.Rule{
		Code: "question-elsewhere", Severity: diagnostic.Advice, Title: "Question and key speak of two things",
		Wrong: "A number question names a fastener, a part or a fluid by its name, and its step does nothing to it, or its answer is in a unit or a value that the row does not have.",
		Why:   "Who was wrong is led back to a step that does not tell, or learns the value of another thing.",
		Do:    "Name the step that acts on it, and the value of its row.",
	},
	run: eachQuestion(func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		p := q.Procedure
		if x.Kind != procedure.NumberAnswer || p == nil || p.Machine == nil {
			return
		}
		stem := x.Stem.Plain()
		if d, word := dimensionAsked(stem); word != "" && x.Number.Dimension() != d {
			report(diagnostic.Diagnostic{
				Span: x.Span, Wrong: say.That("the question asks for a %what, and the unit of the answer %answer is that of something else", say.Word(word), say.Quote(x.Number.String())),
				Advice: say.That("Correct the unit of the answer."),
			})
			return
		}
		if x.Number.Dimension() != measure.Torque {
			return
		}
		for _, f := range p.Machine.Fasteners {
			if !namedIn(stem, f.Name) || f.Torque.IsZero() {
				continue
			}
			see := []diagnostic.Related{{Span: f.Span, Says: say.That("registered here")}}
			switch {
			case !x.Number.Equal(f.Torque) && torqueAsked(q, x) != f:
				report(diagnostic.Diagnostic{
					Span: x.Span, Wrong: say.That("the question names fastener %number, whose torque is %torque, and its answer is %answer", say.Name(f.ID), say.Word(f.Torque.String()), say.Word(x.Number.String())),
					Advice: say.That("Correct the answer or the question."), See: see,
				})
			case x.Step.ID != "" && !slices.Contains(touched(p, x), f.ID):
				report(diagnostic.Diagnostic{
					Span: x.Step.Span, Wrong: say.That("the question is about fastener %number, and step %step does nothing to it", say.Name(f.ID), say.Name(x.Step.ID)),
					Advice: say.That("Name the step that acts on it."), See: see,
				})
			}
		}
	}),
}

// dimensionAsked is the kind of quantity that a question asks for by its words.
func dimensionAsked(stem string) (d measure.Dimension, word string) {
	for _, x := range []struct {
		is   *regexp.Regexp
		d    measure.Dimension
		word string
	}{
		{regexp.MustCompile(`(?i)\b(?:to|at) (?:which|what) torque\b|\bwhat torque\b|\bwelche[ms]? drehmoment\b`), measure.Torque, "torque"},
		{regexp.MustCompile(`(?i)\bhow (?:heavy|much does .* weigh)\b|\bwelche masse\b|\bwie schwer\b`), measure.Mass, "mass"},
		{regexp.MustCompile(`(?i)\bhow (?:wide|long|thick|deep|high|far) (?:is|are|must|may|does)\b|\bwie (?:breit|lang|dick|tief|hoch) (?:ist|sind|darf)\b`), measure.Length, "length"},
		{regexp.MustCompile(`(?i)\bhow many litres\b|\bwie viele liter\b`), measure.Volume, "volume"},
	} {
		if x.is.MatchString(stem) {
			return x.d, x.word
		}
	}
	return d, ""
}

// namedIn reports whether words have all words of a name, in the singular or the plural.
func namedIn(words, name string) bool {
	name, _, _ = strings.Cut(name, ",")
	in := wordsOf(words)
	all := wordsOf(name)
	return len(all) > 1 && !slices.ContainsFunc(all, func(w string) bool { return !slices.Contains(in, w) })
}

var letters = regexp.MustCompile(`[\pL\pN-]+`)

// wordsOf are the words of a text in small letters and in the singular.
func wordsOf(s string) []string {
	out := letters.FindAllString(strings.ToLower(s), -1)
	for i, w := range out {
		if len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss") {
			out[i] = w[:len(w)-1]
		}
	}
	return out
}
