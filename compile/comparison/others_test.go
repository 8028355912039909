package comparison

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
)

const quizFile = `---
kind: quiz
id: z
title: What you must know
procedure: p
pass: 80
---
::: question why {type=single step=look critical}
Why?
- [x] Because
- [ ] Never
:::
`

// withQuiz is a library with a figure and a quiz, with some words replaced: pairs of what stands there and what takes its place.
func withQuiz(t *testing.T, picture string, pairs ...string) *procedure.Library {
	t.Helper()
	files := fstest.MapFS{"library.yaml": {Data: []byte("title: Bakery\nlanguage: en\n")}, "figures/hood.svg": {Data: []byte(picture)}}
	for name, words := range map[string]string{
		"p.md": procedureFile, "z.md": quizFile,
		"m.md": machineFile + "::: figure hood \"The hood\" {src=figures/hood.svg describe=\"A hood\"}\n- hood at 1,2 balloon 3,4\n:::\n",
	} {
		files[name] = &fstest.MapFile{Data: []byte(strings.NewReplacer(pairs...).Replace(words))}
	}
	lib := read(t, files)
	LookAtPictures(lib, files)
	return lib
}

// What no step names is published all the same, and a procedure on a machine that changed is not called the same.
func TestWhatIsNoProcedure(t *testing.T) {
	for name, test := range map[string]struct {
		pairs     []string
		picture   string
		want, not []string
	}{
		"a row that no step names": {[]string{"| frame | Frame |", "| frame | Frame of cast iron |"}, "<svg/>",
			[]string{"Mixer\nMachine\n", "Parts\n    changed: Frame of cast iron\n      Name: Frame → Frame of cast iron", "Changed only through the machine's registers: Hood off"}, []string{"The same in both"}},
		"a row that a step names": {[]string{"| hood | Hood |", "| hood | The hood |"}, "<svg/>",
			[]string{"Hood off\nEdition 1", "Parts\n    changed: The hood\n      Name: Hood → The hood"}, []string{"\nMachine\n", "The same in both"}},
		"a picture under its old name": {nil, "<svg></svg>", []string{"Figures\n    changed: The hood\n      Picture: The drawing changed."}, []string{"The same in both"}},
		"what a picture shows":         {[]string{`describe="A hood"`, `describe="The hood"`}, "<svg/>", []string{"What the picture shows: A hood → The hood"}, nil},
		"the key of a critical question": {[]string{"[x] Because", "[ ] Because", "[ ] Never", "[x] Never"}, "<svg/>",
			[]string{"What you must know\nQuiz\n", "changed: why\n      Choices:\n        - [x] Because\n        - [ ] Never\n        + [ ] Because\n        + [x] Never", "The same in both: Hood off"}, nil},
		"a question":   {[]string{"question why", "question how"}, "<svg/>", []string{"new: how", "gone: why"}, nil},
		"a quiz":       {[]string{"id: z", "id: zz"}, "<svg/>", []string{"Only in the new library: What you must know", "Only in the old library: What you must know"}, nil},
		"the settings": {nil, "<svg/>", []string{"The same in both: Hood off\n"}, []string{"Settings"}},
	} {
		before := withQuiz(t, "<svg/>")
		for _, only := range []string{"", "p"} {
			v, err := Between(before, withQuiz(t, test.picture, test.pairs...), only, "en")
			assert.NilError(t, err)
			got := text(t, v)
			for _, want := range test.want {
				if !strings.Contains(got, want) {
					t.Errorf("%s: %q is not in\n%s", name, want, got)
				}
			}
			for _, not := range test.not {
				if strings.Contains(got, not) {
					t.Errorf("%s: %q is in\n%s", name, not, got)
				}
			}
		}
	}
	now := withQuiz(t, "<svg/>")
	now.Address = "https://shop.example/"
	v, err := Between(withQuiz(t, "<svg/>"), now, "", "en")
	assert.NilError(t, err)
	if got := text(t, v); !strings.Contains(got, "Bakery\nSettings of the library\n") || !strings.Contains(got, "Address: – → https://shop.example/") {
		t.Error(got)
	}
}

// Terms are compared by the forms that they share, and told with the procedures whose pages show them.
func TestTerms(t *testing.T) {
	with := func(terms string) *procedure.Library {
		t.Helper()
		files := fstest.MapFS{"library.yaml": {Data: []byte("title: Bakery\nlanguage: en\n")}, "m.md": {Data: []byte(machineFile)}, "p.md": {Data: []byte(procedureFile)}}
		if terms != "" {
			files["g.md"] = &fstest.MapFile{Data: []byte("---\nkind: glossary\ntitle: Words\n---\n" + terms)}
		}
		return read(t, files)
	}
	const terms = "- **hood**, **hoods**: What covers the bowl.\n- **screw**: It has a thread.\n"
	for name, test := range map[string]struct {
		before, after string
		want          string
	}{
		"another meaning": {terms, strings.Replace(terms, "the bowl", "the *hook*", 1),
			"Words\nGlossary\n\n  Terms\n    changed: hood\n      Used in: Hood off\n      Meaning:\n        - What covers the bowl.\n        + What covers the hook.\n\nChanged only through terms of the glossary: Hood off\n"},
		"marked up": {terms, strings.Replace(terms, "the bowl", "the *bowl*", 1),
			"Words\nGlossary\n\n  Terms\n    changed: hood\n      Used in: Hood off\n      Meaning: The words are the same; emphasis, links or the division into blocks changed.\n\nChanged only through terms of the glossary: Hood off\n"},
		"another form, under another name": {terms, strings.Replace(terms, "**hood**, **hoods**", "**Hoods**, **cowl**", 1),
			"Words\nGlossary\n\n  Terms\n    changed: Hoods\n      Name: hood → Hoods\n      Other forms:\n        - hoods\n        + cowl\n\nThe same in both: Hood off\n"},
		"added": {"- **screw**: It has a thread.\n", terms,
			"Words\nGlossary\n\n  Terms\n    new: hood\n      Used in: Hood off\n      Other forms:\n        + hoods\n      Meaning:\n        + What covers the bowl.\n\nChanged only through terms of the glossary: Hood off\n"},
		"the whole glossary gone": {"- **hood**: What covers the bowl.\n", "",
			"Words\nGlossary\n\n  Terms\n    gone: hood\n      Was used in: Hood off\n      Meaning:\n        - What covers the bowl.\n\nChanged only through terms of the glossary: Hood off\n"},
		"no procedure uses it": {terms, terms + "- **steam**: Water as gas.\n",
			"Words\nGlossary\n\n  Terms\n    new: steam\n      Meaning:\n        + Water as gas.\n\nThe same in both: Hood off\n"},
		"another order": {terms, "- **screw**: It has a thread.\n- **hood**, **hoods**: What covers the bowl.\n", "The same in both: Hood off\n"},
		"words in front": {terms, "What they say here.\n\n" + terms,
			"Words\nGlossary\n\n  The rest\n    changed: Words\n      Introduction:\n        + What they say here.\n\nThe same in both: Hood off\n"},
	} {
		v, err := Between(with(test.before), with(test.after), "", "en")
		assert.NilError(t, err)
		if got := text(t, v); got != test.want {
			t.Errorf("%s:\n%s\nwant:\n%s", name, got, test.want)
		}
		parsed(t, v)
	}
	v, err := Between(with(terms), with(strings.Replace(terms, "It has", "What has", 1)+"- **steam**: Water as gas.\n"), "p", "en")
	assert.NilError(t, err)
	if got := text(t, v); !strings.Contains(got, "changed: screw") || strings.Contains(got, "steam") {
		t.Errorf("of one procedure:\n%s", got)
	}
}
