package wording

import (
	"slices"
	"strings"

	"matchmark/procedure/say"
)

// vagueness is a wording that leaves the learner to guess.
type vagueness struct {
	Words []string
	// Better says what to write instead.
	Better say.Text
}

// vaguenesses is the table of vague wordings. It is short on purpose:
// each of them can be replaced by something that can be seen or measured.
//
// Source: common practice of technical writing; the list is ours.
var vaguenesses = []vagueness{
	{[]string{"properly", "correctly", "appropriately", "suitably", "adequately", "in the right way"}, say.That("Say what right looks like: a torque, a gap, two marks that line up.")},
	{[]string{"appropriate", "suitable", "adequate"}, say.That("Name the tool, the size or the material.")},
	{[]string{"as required", "as necessary", "as needed", "as appropriate"}, say.That("Say how much, or until when.")},
	{[]string{"if required", "if necessary", "if needed", "where necessary", "when necessary", "where required", "when required"}, say.That("Say when: if the gap is over 0.5 mm.")},
	{[]string{"if possible", "where possible", "if you can"}, say.That("Say what to do when it is not possible.")},
	{[]string{"sufficient", "sufficiently", "a sufficient amount of"}, say.That("Say how much, or until when.")},
	{[]string{"some", "several", "various", "a few", "a couple of", "a number of"}, say.That("Say how many or how much, or which.")},
	{[]string{"a bit", "a little", "slightly", "somewhat", "a bit of"}, say.That("Say how far or how much: a quarter turn, 2 mm.")},
	{[]string{"excessive", "excessively", "too much"}, say.That("Give the limit.")},
	{[]string{"a while", "some time", "for a moment", "for a short time"}, say.That("Give the time: 5 min.")},
	{[]string{"from time to time", "regularly", "periodically", "occasionally", "every so often", "at regular intervals"}, say.That("Say how often: every 4 turns.")},
	{[]string{"securely", "firmly", "tightly", "good and tight"}, say.That("Give the torque, or say what must no longer move.")},
	{[]string{"in good condition", "in good order", "is in order", "are in order"}, say.That("Say what is acceptable: no cracks, 12 mm to 13 mm.")},
	{[]string{"with care", "be careful", "carefully"}, say.That("Say what can go wrong, and what to watch.")},
	{[]string{"as usual", "in the usual way", "as normal"}, say.That("Write the steps down, or link to them.")},
	{[]string{"etc", "and so on", "and so forth", "and the like"}, say.That("List all of them.")},
	{[]string{"and/or"}, say.That("Say which: one, the other, or both.")},
}

// phrase is a vague wording, word by word.
type phrase struct {
	words  []string
	better say.Text
}

// phrases leads from a first word to the wordings that start with it, the longest first.
var phrases = func() map[string][]phrase {
	m := map[string][]phrase{}
	for _, v := range vaguenesses {
		for _, w := range v.Words {
			p := phrase{strings.Fields(w), v.Better}
			m[p.words[0]] = append(m[p.words[0]], p)
		}
	}
	for _, all := range m {
		slices.SortStableFunc(all, func(a, b phrase) int { return len(b.words) - len(a.words) })
	}
	return m
}()

// vague finds the wordings of the table.
func vague(s sentence) []Advice {
	var out []Advice
	for i := 0; i < len(s.words); i++ {
		if !s.may(i, vagueStart) {
			continue
		}
		for _, p := range phrases[s.lower[i]] {
			if !s.has(p, i) {
				continue
			}
			last := i + len(p.words) - 1
			out = append(out, Advice{
				Kind: VagueWord, Start: s.words[i].Start, End: s.words[last].End,
				Detail: say.That("%words leaves open what is meant", say.Quote(strings.Join(p.words, " "))), Better: p.better,
			})
			i = last
			break
		}
	}
	return out
}

// has reports whether a wording stands at word i, with nothing but space within it.
func (s sentence) has(p phrase, i int) bool {
	if i+len(p.words) > len(s.words) || !slices.Equal(p.words, s.lower[i:i+len(p.words)]) {
		return false
	}
	for k := i + 1; k < i+len(p.words); k++ {
		if strings.TrimSpace(s.gap(k)) != "" {
			return false
		}
	}
	return true
}
