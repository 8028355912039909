package wording

import (
	"math"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/published"
	"matchmark/procedure/text"
)

// Source: two published scores (platypus 37.5, "This sentence" 68.9), the rest
// computed with Python 3 from the published formulas; the file says which is which.
func TestPublishedScores(t *testing.T) {
	var file struct {
		Examples []struct {
			Text                        string
			Words, Sentences, Syllables int
			Ease                        float64 `json:"flesch_reading_ease"`
			Grade                       float64 `json:"fk_grade"`
		}
	}
	published.JSON(t, "08_readability.json", &file)
	if len(file.Examples) != 4 {
		t.Fatalf("%d examples", len(file.Examples))
	}
	for _, e := range file.Examples {
		c := Counts{Sentences: e.Sentences, Words: e.Words, Syllables: e.Syllables}
		if math.Abs(c.ReadingEase()-e.Ease) > 0.0006 || math.Abs(c.Grade()-e.Grade) > 0.0006 {
			t.Errorf("%+v: ease %.4f, grade %.4f, want %v and %v", c, c.ReadingEase(), c.Grade(), e.Ease, e.Grade)
		}
		if e.Text != "" && new(Vocabulary).Count(e.Text) != c {
			t.Errorf("%q is counted as %+v, want %+v", e.Text, new(Vocabulary).Count(e.Text), c)
		}
	}
	// Source: a second published text counts 26 syllables and prints 24.4.
	if got := (Counts{Sentences: 1, Words: 13, Syllables: 26}).ReadingEase(); math.Abs(got-24.4) > 0.05 {
		t.Errorf("26 syllables: %.3f", got)
	}
	if !math.IsNaN(Counts{}.ReadingEase()) || !math.IsNaN(Counts{}.Grade()) {
		t.Error("nothing has a score")
	}
}

// Source: the CMU Pronouncing Dictionary; see the file's head. No word may be
// off by more than one syllable, and at most one in forty may be off at all.
func TestSyllablesAgainstDictionary(t *testing.T) {
	rows := published.Rows(t, "08_syllables.csv")
	var off []string
	for _, row := range rows {
		want := int(row.Number(t, "syllables"))
		switch got := Syllables(row["word"]); {
		case got == want:
		case got > want+1 || got < want-1:
			t.Errorf("%s: %d syllables, want %d", row["word"], got, want)
		default:
			off = append(off, row["word"])
		}
	}
	if len(rows) < 500 || len(off)*40 > len(rows) {
		t.Errorf("%d of %d words are off: %v", len(off), len(rows), off)
	}
}

// Source: Flesch's counting rules, by a public copy: figures, symbols and
// abbreviations count as one syllable, a hyphenated word as one word.
func TestSyllablesOfSigns(t *testing.T) {
	for word, want := range map[string]int{
		"45": 1, "N·m": 1, "M12×1.25": 1, "e.g.": 1, "NIOSH": 1, "%": 1, "": 1, "--": 1, "A": 1, "two-person": 3, "don't": 1,
		"isn't": 2, "Gearbox,": 2, "naïve": 1, "'": 1, "kg": 1, "the": 1, "strengths": 1, "rhythm": 2, "tapered": 2, "baseplate": 2, "torque": 1,
	} {
		if got := Syllables(word); got != want {
			t.Errorf("%q: %d, want %d", word, got, want)
		}
	}
}

func prose(paragraphs ...string) procedure.Prose {
	p := procedure.Prose{}
	for _, s := range paragraphs {
		p.Nodes = append(p.Nodes, procedure.Words(text.Span{}, s).Nodes...)
	}
	return p
}

func TestCountProcedure(t *testing.T) {
	p := &procedure.Procedure{About: prose("Two people work."), Steps: []*procedure.Step{{Title: "Not counted", Blocks: []procedure.Block{
		&procedure.Instruction{Prose: prose("Undo the bolt.", "Mark it.")},
		&procedure.Caution{Prose: prose("It can drop.")},
		&procedure.Tip{Prose: prose("Use both hands.")},
		&procedure.KeyPoint{Point: "Not counted", Reason: prose("It sits tight.")},
		&procedure.Hold{Title: "Not counted", Confirmations: []procedure.Prose{prose("Not counted")}},
	}}}}
	if got, want := new(Vocabulary).CountProcedure(p), (Counts{Sentences: 6, Words: 17, Syllables: 19}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	var advised []string
	p.RefitFile = &procedure.RefitFile{Steps: []*procedure.Step{{Blocks: []procedure.Block{&procedure.Tip{Prose: prose("Do it properly.")}}}}}
	got := new(Vocabulary).Review(p, "en", func(in procedure.Paragraph, a Advice) { advised = append(advised, in.Text[a.Start:a.End]) })
	if want := new(Vocabulary).CountProcedure(p); got != want {
		t.Errorf("a review counts %+v, want %+v", got, want)
	}
	if len(advised) != 1 || advised[0] != "properly" {
		t.Errorf("advice on %q", advised)
	}
	roles := []Role{}
	for passage := range Passages(p.Steps[0]) {
		roles = append(roles, passage.Role)
	}
	if len(roles) != 4 || roles[0] != Instruction || roles[1] != Description {
		t.Errorf("roles %v", roles)
	}
}

func TestCovers(t *testing.T) {
	for language, want := range map[string]bool{"en": true, "en-GB": true, "EN": true, "de": false, "": false, "enm": false} {
		if Covers(language) != want {
			t.Errorf("%q: %v", language, !want)
		}
	}
}
