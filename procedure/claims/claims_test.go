package claims_test

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/compile"
	"matchmark/compile/starter"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/claims"
)

const machine = `---
kind: machine
id: cooler
title: Cooler
---
::: register parts
| id | name | letter | mass | stand | base |
|---|---|---|---|---|---|
| frame | Frame | A | | | yes |
| cover | Cover of the cooler | B | 9 kg | flat on the bench, in the tray marked R | |
| pump | Pump | C | 62 kg | on the pallet | |
:::

::: register fasteners
| no | name | kind | thread | drive | count | torque | tolerance | joins | bag | class | treatment | friction |
|---|---|---|---|---|---|---|---|---|---|---|---|---|
| 1 | Cover bolt | bolt | M12 | hex 18 mm | 12 | 70 N·m | 10 % | cover, frame | Bag 1 | 8.8 | dry | 0.2 |
| 2 | Bracket bolt to the frame | bolt | M10 | hex 16 mm | 2 | 45 N·m | 10 % | frame | Bag 2 | 8.8 | dry | 0.2 |
| 3 | Drain plug | plug | M14x1.5 | hex 21 mm | 1 | 35 N·m | 10 % | frame | Bag 3 | 4.6 | dry | 0.2 |
:::

::: register fluids
| id | name | quantity | drain | container |
|---|---|---|---|---|
| lye | Lye | 9 L | plug 3 | can |
:::

::: register supports
| id | name | kind | capacity |
|---|---|---|---|
| hoist | Chain hoist | hoist | 250 kg |
| pallet | Pallet | stand | 500 kg |
:::

::: register conditions
| id | name | energy | undo |
|---|---|---|---|
| cool | Oil below 40 °C | yes | let it warm up |
| shut | Suction valve shut and chained | yes | open it |
:::

::: register tools
| id | name | kind | quantity |
|---|---|---|---|
| can | Can for lye | container | 10 L |
:::
`

// said are the claims of one line of text, in a step with some acts, that are contradicted.
func said(t *testing.T, acts, words string) string {
	t.Helper()
	return saidIn(t, "en", machine, acts, words)
}

func saidIn(t *testing.T, language, machine, acts, words string) string {
	t.Helper()
	lib := fstest.MapFS{
		"library.yaml": {Data: []byte("title: T\nlanguage: " + language + "\n")}, "m.md": {Data: []byte(machine)},
		"p.md": {Data: []byte("---\nkind: procedure\nid: p\ntitle: P\nmachine: cooler\nedition: \"1\"\n---\n## Do it {#do}\n{time=1}\n\n" + words + "\n\n" + acts + "\n")},
	}
	model, err := compile.Model(lib)
	if err != nil || len(model.Procedures) != 1 {
		t.Fatal(err)
	}
	var out []string
	names := claims.NamesOf(model.Machines[0], language)
	s := claims.NewStep(model.Procedures[0].Steps[0], model.Machines[0], names)
	for x := range claims.Sentences(s.Step, names) {
		for _, find := range []func(*claims.Sentence) []claims.Differing{s.Values, s.Counts, s.Designations, s.Bags, s.Strokes} {
			for _, d := range find(x) {
				out = append(out, d.Says)
			}
		}
		if e, ok := s.Elsewhere(x); ok {
			out = append(out, "elsewhere "+e.Part.Row.ID)
		}
		if told, ok := s.Told(x); ok {
			switch {
			case s.Against(told) != nil:
				out = append(out, "against "+told.Words)
			case s.Standing(told) != nil:
				out = append(out, "standing "+told.Words)
			case !s.Carried(told):
				out = append(out, "not done "+told.Words)
			}
		}
	}
	return strings.Join(out, "; ")
}

// TestClaims holds sentences as people write them against rows. Common practice, no source: what a sentence means.
func TestClaims(t *testing.T) {
	cover, drain := "- [ ] remove 1\n- [ ] remove cover", "- [ ] remove 3\n- [ ] drain lye into can"
	for _, c := range []struct{ acts, words, want string }{
		{"- [ ] tighten 1", "Tighten the bolts crosswise to 70 N·m.", ""},
		{"- [ ] tighten 1", "Tighten the bolts crosswise to 70 N·m (52 lbf·ft).", ""},
		{"- [ ] tighten 1", "Tighten the bolts to 20 N·m. Then tighten them to 70 N·m.", ""},
		{"- [ ] tighten 1", "Tighten the bolts crosswise to 90 N·m.", "90 N·m"},
		{"- [ ] tighten 1", "Tighten the bolts crosswise to 70 lbf·ft.", "70 lbf·ft"},
		{"- [ ] tighten 1", "Tighten the bolts to 63 N·m or more.", ""}, // the window's lower end
		{cover, "Undo the twelve bolts. Lift the cover off.", ""},
		{cover, "Undo the 12 bolts.", ""},
		{cover, "Undo the six lower bolts. Undo the six upper bolts.", ""},
		{cover, "Undo the ten bolts.", "ten bolts"},
		{cover, "Loosen each bolt by two turns.", ""},
		{cover, "Put them into Bag 1.", ""},
		{cover, "Put them into Bag 4.", "Bag 4"},
		{cover, "Undo the M12 bolts with the 18 mm socket.", ""},
		{cover, "Undo the M10 bolts.", "M10"},
		{cover, "Use the 16 mm socket.", "16 mm"},
		{cover, "Undo the two bracket bolts.", "two bracket bolts; not done bracket bolts"},
		{cover, "Take the gauge out of the drawer.", ""},
		{cover, "Tighten the bolts.", "against bolts"},
		{cover, "Leave the cover on.", "against cover"},
		{cover, "Put the cover into the tray marked L.", "elsewhere cover"},
		{cover, "Put the cover into the tray marked R.", ""},
		{"- [ ] loosen 1", "Take the cover bolts out.", "against cover bolts"},
		{"- [ ] clean cover", "The cover weighs 9 kg.", ""},
		{"- [ ] clean cover", "The cover weighs 20 lb.", ""},
		{"- [ ] clean cover", "The cover weighs 12 kg.", "12 kg"},
		{"- [ ] clean cover", "The hoist is rated for 500 kg.", "500 kg"},
		{"- [ ] clean cover", "Never lift more than 25 kg alone.", ""},
		{drain, "About 9 L run out.", ""},
		{drain, "About 20 L run out.", "20 L"},
		{drain, "Catch the first 2 L.", ""},
		{"- [ ] establish cool", "Wait until it is below 40 °C.", ""},
		{"- [ ] establish cool", "Wait until it is below 60 °C.", "60 °C"},
		{"- [ ] establish shut", "Shut the suction valve.", ""},
		{"- [ ] establish shut", "Open the suction valve.", "standing suction valve"},
		{"- [ ] clean cover", "They go back in with `1.torque`.", ""},
	} {
		if got := said(t, c.acts, c.words); got != c.want {
			t.Errorf("%q with %q: %q, want %q", c.words, c.acts, got, c.want)
		}
	}
}

const deutsch = `---
kind: machine
id: cooler
title: Kühler
---
::: register parts
| id | name | letter | mass | stand | base |
|---|---|---|---|---|---|
| frame | Rahmen | A | | | yes |
| cover | Deckel des Kühlers | B | 9 kg | flach auf der Werkbank | |
| pump | Pumpe | C | 62 kg | auf der Palette | |

- cover: mark zwei Striche über Deckel und Rahmen
:::

::: register fasteners
| no | name | kind | thread | drive | count | torque | tolerance | joins | bag | class | treatment | friction |
|---|---|---|---|---|---|---|---|---|---|---|---|---|
| 1 | Schraube des Deckels | bolt | M12 | hex 18 mm | 12 | 70 N·m | 10 % | cover, frame | Beutel 1 | 8.8 | dry | 0.2 |
| 2 | Mutter am Rahmen | nut | M10 | hex 16 mm | 2 | 45 N·m | 10 % | frame | Beutel 2 | 8.8 | dry | 0.2 |
| 3 | Ablassstopfen | plug | M14x1.5 | hex 21 mm | 1 | 35 N·m | 10 % | frame | Beutel 3 | 4.6 | dry | 0.2 |
:::

::: register supports
| id | name | kind | capacity |
|---|---|---|---|
| hoist | Kettenzug | hoist | 250 kg |
:::
`

// TestGermanClaims holds the same claims in German, in the three ways of telling somebody to do a thing.
func TestGermanClaims(t *testing.T) {
	cover := "- [ ] remove 1\n- [ ] remove cover"
	for _, c := range []struct{ acts, words, want string }{
		{"- [ ] tighten 1", "Die Schrauben überkreuz mit 70 N·m anziehen.", ""},
		{"- [ ] tighten 1", "Die Schrauben überkreuz mit 90 N·m anziehen.", "90 N·m"},
		{cover, "Die zwölf Schrauben herausdrehen. Den Deckel abnehmen.", ""},
		{cover, "Drehen Sie die zwölf Schrauben heraus. Nehmen Sie den Deckel ab.", ""},
		{cover, "Dreh die zwölf Schrauben heraus. Nimm den Deckel ab.", ""},
		{cover, "Die zehn Schrauben herausdrehen.", "Die zehn Schrauben herausdrehen."},
		{cover, "Die Pumpe ausbauen.", "not done Die Pumpe ausbauen."},
		{cover, "Die Muttern am Rahmen lösen.", "not done Die Muttern am Rahmen lösen."},
		{cover, "Die Schrauben des Deckels anziehen.", "against Die Schrauben des Deckels anziehen."},
		{cover, "Den Deckel dran lassen.", "against Den Deckel dran lassen."},
		{"- [ ] mark cover", "Drei Striche über den Deckel ziehen.", "Drei Striche über den Deckel ziehen."},
		{"- [ ] mark cover", "Zwei Striche über den Deckel ziehen.", ""},
		{cover, "Der Deckel wiegt 12 kg.", "12 kg"},
		{cover, "Der Deckel wiegt 9 kg.", ""},
		{cover, "Die Schrauben mit der 16er Nuss herausdrehen.", "16 mm"},
		{cover, "Die Schrauben mit der 18er Nuss herausdrehen.", ""},
		{cover, "Die Schrauben kommen in Beutel 2.", "Beutel 2"},
		{cover, "Die Schrauben kommen in Beutel 1.", ""},
	} {
		if got := saidIn(t, "de", deutsch, c.acts, c.words); got != c.want {
			t.Errorf("%q gives %q, want %q", c.words, got, c.want)
		}
	}
}

// FuzzSentence asks of any words in a step of the demo.
func FuzzSentence(f *testing.F) {
	var machines []*procedure.Machine
	var acts []*procedure.Step
	names := func(at int, language string) *claims.Names { return claims.NamesOf(machines[at], language) }
	for _, lib := range []fs.FS{content.Library(), starter.Library()} {
		model, err := compile.Model(lib)
		if err != nil {
			f.Fatal(err)
		}
		for _, p := range model.Procedures {
			for _, s := range p.Steps {
				for x := range claims.Sentences(s, claims.NamesOf(p.Machine, "en")) {
					f.Add(len(acts), x.Text)
				}
				machines, acts = append(machines, p.Machine), append(acts, s)
			}
		}
	}
	f.Fuzz(func(t *testing.T, at int, words string) {
		if at < 0 || at >= len(acts) {
			return
		}
		of := names(at, []string{"en", "de"}[len(words)%2])
		s := claims.NewStep(acts[at], machines[at], of)
		for x := range claims.SentencesOf(procedure.Words(acts[at].Span, words), of) {
			x.Role = claims.Telling
			for _, find := range []func(*claims.Sentence) []claims.Differing{s.Values, s.Counts, s.Designations, s.Bags, s.Strokes} {
				for _, d := range find(x) {
					if d.Span.Valid() && (d.Span.Start > d.Span.End || d.Span.End > len(d.Span.File.Source)) {
						t.Fatalf("%q: %q stands at %v", words, d.Says, d.Span)
					}
				}
			}
			s.Elsewhere(x)
			if told, ok := s.Told(x); ok {
				s.Against(told)
				s.Standing(told)
				s.Carried(told)
				s.Place(told)
			}
			x.People()
		}
		claims.StepNamed(words, acts)
	})
}

// What is pressed into a part comes along with it, and its mass counts there: the words may give the mass of both.
func TestMassWithWhatIsPressedIn(t *testing.T) {
	pressed := strings.Replace(machine, "| id | name | letter | mass | stand | base |", "| id | name | letter | mass | stand | base | held-by |", 1)
	pressed = strings.Replace(pressed, "|---|---|---|---|---|---|\n", "|---|---|---|---|---|---|---|\n", 1)
	pressed = strings.Replace(pressed, "| pump | Pump | C | 62 kg | on the pallet | |\n", "| pump | Pump | C | 62 kg | on the pallet | | |\n| rotor | Rotor | D | 1.2 kg | on the bench | | pump |\n", 1)
	for words, differs := range map[string]bool{"The pump weighs 62 kg.": false, "The pump weighs 63.2 kg.": false, "The pump weighs 65 kg.": true} {
		if got := saidIn(t, "en", pressed, "- [ ] inspect pump", words); (got != "") != differs {
			t.Errorf("%s: %q", words, got)
		}
	}
}
