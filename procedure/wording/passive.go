package wording

import (
	"strings"

	"matchmark/procedure/say"
)

// passive finds instructions in the passive voice: a form of "be" that an
// obligation or an adverb of sequence turns into an event ("must be removed", "is then
// removed", "is to be removed"). States ("the tank is drained") are left
// alone: they read like the passive and are none.
func passive(s sentence) []Advice {
	var out []Advice
	for i := range s.words {
		at := s.event(i)
		if at < 0 || at >= len(s.words) {
			continue
		}
		verb, ok := participle(s.lower[at])
		if !ok {
			continue
		}
		out = append(out, Advice{
			Kind: PassiveVoice, Start: s.words[i].Start, End: s.words[at].End,
			Detail: say.That("%words does not say who does it", say.Quote(strings.Join(s.lower[i:at+1], " "))),
			Better: say.That("Start with the verb: %verb ….", say.Name(strings.ToUpper(verb[:1])+verb[1:])),
		})
	}
	return out
}

var (
	obligations = set("must should shall")
	sequences   = set("then now next first afterwards carefully slowly gently again")
	beings      = set("is are was were")
	owing       = set("has have needs need")
)

// event recognises, from word i on, the words before a participle that make it
// an event. It returns where the participle must stand, or -1.
func (s sentence) event(i int) int {
	word := func(k int) string {
		if k >= len(s.lower) {
			return ""
		}
		return s.lower[k]
	}
	pastAdverb := func(k int) int {
		if sequences[word(k)] || strings.HasSuffix(word(k), "ly") {
			return k + 1
		}
		return k
	}
	switch {
	case !s.may(i, obliges|is|owes):
		return -1 // most words are none of these
	case s.may(i, obliges) && word(i+1) == "be":
		return pastAdverb(i + 2)
	case s.may(i, obliges) && (word(i+1) == "not" || sequences[word(i+1)]) && word(i+2) == "be":
		return pastAdverb(i + 3)
	case s.may(i, is|owes) && word(i+1) == "to" && word(i+2) == "be":
		return pastAdverb(i + 3)
	case s.may(i, is) && sequences[word(i+1)]:
		return i + 2
	}
	return -1
}
