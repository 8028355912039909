package claims

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Stages are the torques that the words of a step give for one fastener which the step tightens, in the order of the words.
type Stages struct {
	Fastener *procedure.Fastener
	Torques  []Pass
}

// Pass is one torque, as it stands there.
type Pass struct {
	Torque measure.Quantity
	Says   string
	Span   text.Span
}

// Stages gathers the torques of the step. A sentence that names no fastener is about the one before, or about all that the step
// tightens where these are one. What is loosened again in between begins anew, and says nothing here.
func (s *Step) Stages() []Stages {
	var out []Stages
	tightened := s.tightened()
	var about *procedure.Fastener
	if len(tightened) == 1 {
		about = tightened[0]
	}
	for x := range Sentences(s.Step, s.names) {
		if x.Role != Telling {
			continue
		}
		if named := s.namedOf(x, tightened); named != nil {
			about = named
		}
		if about != nil && backs.MatchString(x.Text) {
			return nil
		}
		if !hasFigure(x.Text) {
			continue
		}
		for _, m := range quantity.FindAllStringSubmatchIndex(x.Text, -1) {
			number, unit := x.Text[m[2]:m[3]], x.Text[m[4]:m[5]]
			q, err := measure.Reading{Comma: strings.Contains(number, ",")}.Parse(number + " " + unit)
			if err != nil || q.Dimension() != measure.Torque || about == nil || rangeBehind.MatchString(x.Text[m[5]:]) || limits.MatchString(x.Text[:m[2]]) {
				continue
			}
			i := slices.IndexFunc(out, func(y Stages) bool { return y.Fastener == about })
			if i < 0 {
				i, out = len(out), append(out, Stages{Fastener: about})
			}
			out[i].Torques = append(out[i].Torques, Pass{q, number + " " + unit, x.spanOf(m[2], m[5])})
		}
	}
	return out
}

var (
	// backs are words for a fastener that is loosened between two torques.
	backs = regexp.MustCompile(`(?i)\b(loosen|slacken|back (?:it|them|the \w+) off|back off|undo|lösen|zurückdrehen)\b`)
	// limits are words before a torque that is none to tighten to.
	limits = regexp.MustCompile(`(?i)(?:under|at most|at least|more than|less than|above|below|from|range of|höchstens|mindestens|unter|über)\s*$`)
)

// tightened are the fasteners with a torque that the step tightens.
func (s *Step) tightened() (out []*procedure.Fastener) {
	for _, a := range s.acts {
		if t := s.things[a.Object.ID]; a.Verb == procedure.Tighten && t != nil && t.Fastener != nil && !t.Fastener.Torque.IsZero() && !slices.Contains(out, t.Fastener) {
			out = append(out, t.Fastener)
		}
	}
	return out
}

// namedOf is the one of some fasteners that a sentence names; nil when it names none, or several.
func (s *Step) namedOf(x *Sentence, among []*procedure.Fastener) *procedure.Fastener {
	var found *procedure.Fastener
	for _, m := range s.names.mentions(x.words, s.has) {
		for _, t := range m.things {
			if t.Fastener == nil || !slices.Contains(among, t.Fastener) || t.Fastener == found {
				continue
			}
			if found != nil {
				return nil
			}
			found = t.Fastener
		}
	}
	return found
}

// inStages finds how many stages words ask for.
var inStages = regexp.MustCompile(`(?i)\b(\pL+|[0-9]+) (?:stages|passes|rounds|stufen|durchgängen?|runden|schritten)\b`)

// Asked is how many stages the row of a fastener asks for, by its column or by its words; 0 when it asks for none.
func Asked(f *procedure.Fastener) int {
	if len(f.Stages) > 0 {
		return len(f.Stages)
	}
	for _, said := range []string{f.Sequence, f.Note} {
		if m := inStages.FindStringSubmatch(said); m != nil {
			if n, ok := countOf(strings.ToLower(m[1])); ok {
				return n
			}
		}
	}
	return 0
}

// SaysStages reports whether the words or the acts of a step speak of stages: the row has the rest then.
func (s *Step) SaysStages() bool {
	for x := range Sentences(s.Step, s.names) {
		if x.Role == Telling && (stagesSaid.MatchString(x.Text) || strings.Contains(x.Text, marker)) {
			return true
		}
	}
	return false
}

var stagesSaid = regexp.MustCompile(`(?i)\b(stages?|pass(?:es)?|rounds?|degrees?|half|third|quarter|stufen?|durchg[aä]ng\w*|runden?|grad|hälfte|drittel)\b|[0-9] ?(?:°|%)`)
