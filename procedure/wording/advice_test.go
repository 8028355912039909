package wording

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// found writes advice as "kind: words".
func found(text string, role Role, language string) []string {
	out := []string{}
	for _, a := range new(Vocabulary).Check(text, role, language) {
		out = append(out, string(a.Kind)+": "+text[a.Start:a.End])
	}
	return out
}

// Source: limits of ASD-STE100, second-hand by public style notes.
func TestLongSentences(t *testing.T) {
	for _, c := range []struct {
		words int
		role  Role
		long  bool
	}{{20, Instruction, false}, {21, Instruction, true}, {25, Description, false}, {26, Description, true}} {
		text := "Short one. " + strings.Repeat("Word ", c.words-1) + "end."
		got := new(Vocabulary).Check(text, c.role, "en")
		if (len(got) == 1) != c.long {
			t.Errorf("%d words, role %v: %v", c.words, c.role, got)
		}
		if c.long && (got[0].Kind != LongSentence || got[0].Start != len("Short one. ") || got[0].End != len(text)) {
			t.Errorf("%d words: %+v", c.words, got[0])
		}
	}
}

func TestSeveralInstructions(t *testing.T) {
	for text, want := range map[string]string{
		"Undo the bolt and remove the cover.":                 "and remove",
		"Undo bolts 4 and 5 and then lift off the cover.":     "and then lift",
		"Loosen the nut, then flatten it.":                    "then flatten",
		"Loosen the nut; remove it.":                          "remove",
		"Loosen the nut, remove the washer and lift the hub.": "remove",
		"Now carefully undo the nut and mark both halves.":    "and mark",
		"Remove the guard and set it on the bench.":           "and set",
	} {
		if got := found(text, Instruction, "en"); !slices.Contains(got, "several-instructions: "+want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{
		"Undo bolts 4 and 5.",
		"Clean and grease the thread.",
		"Hold the shaft and turn the nut.",
		"Check the hose and clamp.",
		"Loosen the nut and lock washer.",
		"Turn the nut until you see the mark and feel the stop.",
		"Check that the belt runs and turn marks line up.",
		"Use a bar to hold the pulley and undo the nut.",
		"Lift the cover so that it can swing and touch the wall.",
		"The helper holds the hood and undo marks show.",
		"Undo the bolt. Remove the cover.",
		"Read the torque and record.",
	} {
		for _, got := range found(text, Instruction, "en") {
			if strings.HasPrefix(got, string(SeveralInstructions)) {
				t.Errorf("%q: %q", text, got)
			}
		}
	}
	if got := found("Undo the bolt and remove the cover.", Description, "en"); len(got) != 0 {
		t.Errorf("a description: %q", got)
	}
}

func TestPassive(t *testing.T) {
	for text, want := range map[string]string{
		"The cover must be removed.":            "must be removed",
		"Then the nut should then be tightened": "should then be tightened",
		"The oil must first be fully drained.":  "must first be fully drained",
		"The nut is to be tightened.":           "is to be tightened",
		"The bolt must not be undone yet.":      "must not be undone",
		"The hub is then pulled off.":           "is then pulled",
		"The seal has to be fitted dry.":        "has to be fitted",
		"The bowl needs to be emptied.":         "needs to be emptied",
	} {
		if got := found(text, Description, "en"); !slices.Contains(got, "passive-voice: "+want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{
		"The tank is drained.", "The switch is isolated and locked.", "The bolt must be tight.", "The rear bolt must be in place.",
		"It is held by the rear bolt.", "The chain is now slack.", "Nothing must be red.", "Once it is fully drained, go on.",
	} {
		if got := found(text, Instruction, "en"); len(got) != 0 {
			t.Errorf("%q: %q", text, got)
		}
	}
	a := new(Vocabulary).Check("The cover must be removed.", Instruction, "en")[0]
	if a.Better.String() != "Start with the verb: Remove …." {
		t.Errorf("%+v", a)
	}
}

func TestVagueWords(t *testing.T) {
	for text, want := range map[string][]string{
		"Tighten the nut properly.":            {"properly"},
		"Use some  time, Some oil, etc.":       {"some  time", "Some", "etc"},
		"Turn it a bit of the way.":            {"a bit of"},
		"Renew it if   necessary.":             {"if   necessary"},
		"Grease as required and/or as needed.": {"as required", "and/or", "as needed"},
		"The brake is in order.":               {"is in order"},
		"Put the steps in order.":              nil,
		"Something sometimes fails handsomely": nil,
		"Make it hand-tightly-fit.":            nil,
		"Use an unsuitable tool.":              nil,
	} {
		got := found(text, Description, "en")
		if len(got) != len(want) {
			t.Errorf("%q: %q, want %q", text, got, want)
			continue
		}
		for i := range want {
			if got[i] != "vague-word: "+want[i] {
				t.Errorf("%q: %q, want %q", text, got[i], want[i])
			}
		}
	}
}

func TestVagueTable(t *testing.T) {
	seen := map[string]bool{}
	for _, v := range vaguenesses {
		if v.Better.Empty() {
			t.Errorf("%v has nothing better", v.Words)
		}
		for _, w := range v.Words {
			got := found("Do it "+w+".", Description, "en")
			if seen[w] || len(got) != 1 || got[0] != "vague-word: "+w {
				t.Errorf("%q is found as %q", w, got)
			}
			seen[w] = true
			if own := new(Vocabulary).Check(v.Better.String(), Description, "en"); len(own) != 0 {
				t.Errorf("the better pattern for %q is advised against: %+v", w, own)
			}
		}
	}
}

func TestOtherLanguages(t *testing.T) {
	if got := new(Vocabulary).Check(strings.Repeat("wort ", 40)+"etc.", Instruction, "de"); got != nil {
		t.Errorf("%+v", got)
	}
}

func TestAdviceIsInOrder(t *testing.T) {
	got := found("Undo the nut properly and remove the hub. The hub must be cleaned.", Instruction, "en-GB")
	want := []string{"vague-word: properly", "several-instructions: and remove", "passive-voice: must be cleaned"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// A vocabulary that knows other texts counts and advises as one that knows none, and leaves earlier advice as it was.
func TestVocabularyKnowsNoTextBetter(t *testing.T) {
	texts := []string{
		"", "Undo it.", "Undo the bolt and remove the cover; it must be held. Tighten it properly, e.g. by hand.", "UNDO the Bolt and Remove the cover.",
		strings.Repeat("Word ", 40) + "end.", "Undo it.", "…", "The cover must be removed. " + strings.Repeat("Then turn it a bit. ", 30), "Ein Wort: «zwei» – drei.", "",
	}
	type judged struct {
		counts Counts
		advice []Advice
	}
	judge := func(v *Vocabulary, text string) judged {
		return judged{v.Count(text), append(v.Check(text, Instruction, "en"), v.Check(text, Description, "en-GB")...)}
	}
	var v Vocabulary
	var known []judged
	for _, text := range texts {
		known = append(known, judge(&v, text))
	}
	for i, text := range texts {
		if want := judge(new(Vocabulary), text); !reflect.DeepEqual(known[i], want) {
			t.Errorf("%q: %+v after other texts, %+v alone", text, known[i], want)
		}
	}
}
