package wording

import (
	"strings"

	"matchmark/procedure/say"
)

// several finds a second instruction in a sentence that starts with one: an
// imperative after "and then", a comma with "then" or a semicolon, or after
// "and" or a comma where an object follows it. It would rather miss one than
// take a noun for a verb.
func several(s sentence) []Advice {
	first := s.firstVerb()
	if first < 0 || holding[s.lower[first]] {
		return nil
	}
	for i := first + 2; i < len(s.words); i++ {
		verb, before := s.lower[i], s.lower[i-1]
		if s.may(i-1, subordinate) || before == "to" && s.may(i, commands) {
			return nil // what follows may belong to a clause about something else
		}
		if !s.may(i, commands) {
			continue
		}
		start, sure := s.joint(i, first)
		if start < 0 || !sure && !s.objectAfter(i) {
			continue
		}
		return []Advice{{
			Kind: SeveralInstructions, Start: start, End: s.words[i].End,
			Detail: say.That("%verb is a second instruction in one sentence", say.Quote(verb)),
			Better: say.That("Start a new sentence: %verb ….", say.Name(strings.ToUpper(verb[:1])+verb[1:])),
		}}
	}
	return nil
}

// joint looks at what stands between the verb at i and the words before it. It
// returns where the joint starts, or -1, and whether the joint alone is proof.
func (s sentence) joint(i, first int) (start int, sure bool) {
	switch before := s.lower[i-1]; {
	case before == "then" && i-2 > first && s.lower[i-2] == "and":
		return s.words[i-2].Start, true
	case before == "then" && strings.Contains(s.gap(i-1), ","):
		return s.words[i-1].Start, true
	case before == "and" && i-1 > first+1:
		return s.words[i-1].Start, false
	case strings.Contains(s.gap(i), ";"):
		return s.words[i].Start, true
	case strings.Contains(s.gap(i), ","):
		return s.words[i].Start, false
	}
	return -1, false
}

// firstVerb returns the index of the imperative that starts the sentence, or -1.
func (s sentence) firstVerb() int {
	for i, word := range s.lower {
		switch {
		case s.may(i, commands):
			return i
		case word == "now" || word == "then" || word == "first" || word == "next" || word == "finally" || strings.HasSuffix(word, "ly"):
			continue
		}
		break
	}
	return -1
}

// objectAfter reports whether the word after the verb at i can only start its object.
func (s sentence) objectAfter(i int) bool {
	if i+1 >= len(s.words) {
		return false
	}
	next := s.lower[i+1]
	return objects[next] || next[0] >= '0' && next[0] <= '9'
}

func set(words string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(words) {
		m[w] = true
	}
	return m
}

var (
	objects      = set("the a an it them this that these those both each all every your its their one two three four five six")
	subordinates = set("that which who whose until till if when while because so can could may might must will would should or whether where how what unless before after once as")
)
