package wording

import (
	"cmp"
	"slices"

	"matchmark/procedure/say"
)

// Kind says what an advice is about. Its text is a key, not prose.
type Kind string

// The kinds of advice.
const (
	LongSentence        Kind = "long-sentence"
	SeveralInstructions Kind = "several-instructions"
	VagueWord           Kind = "vague-word"
	PassiveVoice        Kind = "passive-voice"
)

// The most words in a sentence, by the role of its passage.
//
// Source: ASD-STE100 (simplified technical English), second-hand by public style notes.
const (
	MostInInstruction = 20
	MostInDescription = 25
)

// Advice is one thing that could be said more clearly.
type Advice struct {
	Kind Kind
	// Start and End are the byte range in the text that was checked.
	Start, End int
	// Detail is one line that says what was found.
	Detail say.Text
	// Better is one line with a better pattern.
	Better say.Text
}

// Check looks through one paragraph. The advice is in the order of its places.
// There is none for a language that Covers does not cover.
func (v *Vocabulary) Check(text string, role Role, language string) []Advice {
	if !Covers(language) {
		return nil
	}
	v.look(text)
	var out []Advice
	words := 0
	for r := range Sentences(text) {
		s := v.sentence(text, r, words)
		words += len(s.words)
		out = append(out, length(s, role)...)
		if role == Instruction {
			out = append(out, several(s)...)
		}
		out = append(out, passive(s)...)
		out = append(out, vague(s)...)
	}
	slices.SortStableFunc(out, func(a, b Advice) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	return out
}

func length(s sentence, role Role) []Advice {
	most := MostInInstruction
	if role == Description {
		most = MostInDescription
	}
	if len(s.words) <= most {
		return nil
	}
	detail := say.That("the sentence has %words words; an instruction has at most %most", say.Count(len(s.words)), say.Count(most))
	if role == Description {
		detail = say.That("the sentence has %words words; a description has at most %most", say.Count(len(s.words)), say.Count(most))
	}
	return []Advice{{
		Kind: LongSentence, Start: s.Start, End: s.End,
		Detail: detail,
		Better: say.That("Make two sentences of it, with one thought each."),
	}}
}
