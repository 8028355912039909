package claims

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
)

// rounds finds an order that goes round a circle.
var rounds = regexp.MustCompile(`(?i)\bone after the other\b|\b(?:round|around) the (?:circle|cover|flange|ring)\b|\bclockwise\b.*\bone by one\b|\bder Reihe nach\b|\breihum\b`)

// Round is the fastener of a pattern that goes crosswise, where a sentence tells to tighten round the circle; nil otherwise.
func (s *Step) Round(x *Sentence) *procedure.Fastener {
	if !rounds.MatchString(x.Text) {
		return nil
	}
	tightened := s.tightened()
	if named := s.namedOf(x, tightened); named != nil {
		tightened = []*procedure.Fastener{named}
	}
	for _, f := range tightened {
		row := strings.ToLower(string(f.Pattern) + " " + f.Sequence)
		if strings.Contains(row, "crosswise") || strings.Contains(row, "kreuz") {
			return f
		}
	}
	return nil
}

// TightFirst is the act that tightens first, where a sentence tells to begin with something else that the step tightens; nil otherwise.
func (s *Step) TightFirst(x *Sentence, t Told) *procedure.Action {
	if t.Deed != Tightening || len(t.Things) != 1 || !slices.Contains(x.words, "first") || slices.ContainsFunc(x.words, stops) {
		return nil
	}
	var first *procedure.Action
	named := false
	for _, a := range s.acts {
		if a.Verb != procedure.Tighten {
			continue
		}
		if first == nil {
			first = a
		}
		named = named || a.Object.ID == t.Things[0].Row.ID
	}
	if !named || first.Object.ID == t.Things[0].Row.ID {
		return nil
	}
	return first
}

// UsesOld is what lies ready new, where a sentence tells to put in the old one; nil otherwise.
func (s *Step) UsesOld(x *Sentence) *procedure.Thing {
	all := x.words
	if len(all) < 4 || !putters[all[0]] && all[0] != "use" && all[0] != "fit" && all[0] != "push" && all[0] != "run" {
		return nil
	}
	at := slices.Index(all, "old") // what is put in, and not what goes with it for the moment: "run the plug in, with its old ring"
	if at < 1 || at > 2 || at+1 >= len(all) || !slices.Contains(all, "again") && !slices.Contains(all, "back") && !onEach(all[at:]) {
		return nil
	}
	for _, r := range s.Tools {
		t := s.machine.Thing(r.ID)
		if t == nil || t.Tool == nil || t.Tool.Kind != procedure.Consumable {
			continue
		}
		if slices.ContainsFunc(s.names.words(t.Row.Name), func(w string) bool { return singular(w) == singular(all[at+1]) }) {
			return t
		}
	}
	return nil
}

// onEach reports whether words say on what something goes where it belongs, such as on each side of the eye; on the bench is another place.
func onEach(words []string) bool {
	at := slices.Index(words, "on")
	return at >= 0 && at+1 < len(words) && (words[at+1] == "each" || words[at+1] == "both")
}
