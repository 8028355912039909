package source

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
)

// glossaryOf reads a glossary with some lines below its front matter; the messages are one a line.
func glossaryOf(t *testing.T, lines string) (*Library, string) {
	t.Helper()
	var log diagnostic.Log
	lib, err := Read(fstest.MapFS{"words.md": {Data: []byte("---\nkind: glossary\ntitle: Words\n---\n" + lines)}}, &log)
	assert.NilError(t, err)
	lib.Resolve(&log)
	var out strings.Builder
	for _, d := range log.Sorted() {
		out.WriteString(string(d.Code) + ": " + d.Wrong.String() + " [" + d.Span.Text() + "]\n")
	}
	return lib, out.String()
}

func TestTermsAreRead(t *testing.T) {
	lib, messages := glossaryOf(t, `Words that we use.

- **hub**, **hubs**: The *middle* of a wheel.
- **key way:** the slot for the key

  It is cut to size.
* **PTO** – a shaft that drives something else
1. **play**:
   how far it moves
`)
	assert.Equal(t, messages, "")
	g := lib.Glossary
	assert.Equal(t, g.About.Plain(), "Words that we use.")
	var got []string
	for _, term := range g.Terms {
		var forms []string
		for _, f := range term.Forms {
			assert.Equal(t, f.Span.Text(), f.Words)
			forms = append(forms, f.Words)
		}
		got = append(got, strings.Join(forms, "/")+" = "+term.Meaning.Plain())
	}
	assert.DeepEqual(t, got, []string{
		"hub/hubs = The middle of a wheel.", "key way = the slot for the key It is cut to size.",
		"PTO = a shaft that drives something else", "play = how far it moves",
	})
	assert.Assert(t, g.Terms[2].IsShort() && !g.Terms[0].IsShort())
}

func TestTermsInWrongForm(t *testing.T) {
	for lines, want := range map[string]string{
		"Nothing listed.\n":               "term-form: this glossary has no terms",
		"- hub: the middle\n":             "term-form: this line does not begin with the word that it explains",
		"- **?**: a sign\n":               "term-form: this line does not begin with the word that it explains",
		"-\n":                             "term-form: this line does not begin with the word that it explains",
		"- **hub**\n":                     `term-form: "hub" has no meaning [hub]`,
		"- **hub**:\n":                    `term-form: "hub" has no meaning [hub]`,
		"- **hub**: a\n- **Hub**: b\n":    `repeated-term: the term "Hub" stands twice [Hub]`,
		"- **key way**, **key-way**: a\n": `repeated-term: the term "key-way" stands twice [key-way]`,
		"::: tip\nx\n:::\n\n- **a**: b\n": "misplaced-block: ",
	} {
		if _, got := glossaryOf(t, lines); !strings.HasPrefix(got, want) || strings.Count(got, "\n") != 1 {
			t.Errorf("%q: %s, want %s", lines, got, want)
		}
	}
}

func TestOneGlossary(t *testing.T) {
	var log diagnostic.Log
	file := &fstest.MapFile{Data: []byte("---\nkind: glossary\ntitle: Words\n---\n- **hub**: the middle\n")}
	lib, err := Read(fstest.MapFS{"a.md": file, "b.md": file}, &log)
	assert.NilError(t, err)
	lib.Resolve(&log)
	found := log.Sorted()
	assert.Equal(t, len(found), 1)
	assert.Equal(t, found[0].Code, diagnostic.Code("repeated-glossary"))
	assert.Equal(t, found[0].Span.File.Name+" "+found[0].Span.Text(), "b.md glossary")
	assert.Equal(t, found[0].See[0].Span.File.Name, "a.md")
}
