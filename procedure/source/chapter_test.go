package source

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

const chapterJob = `# Open
{who=electrician}

::: caution danger {about=guard}
The edges cut.
:::

::: include shared
:::

## A {#a}
{time=1}

Words.

# Close
{people=2 who=fitter}

::: include more
:::

## B {#b}
{time=1}

Words.
`

// A caution of a chapter stands in every step of it, those taken in as well; what it is about is said where the chapter begins.
func TestCautionOfAChapter(t *testing.T) {
	var log diagnostic.Log
	l, err := Read(fstest.MapFS{
		"job.md":    {Data: []byte(findHead + chapterJob)},
		"shared.md": {Data: []byte("---\nkind: steps\nid: shared\ntitle: Shared\n---\n## S {#s}\n{time=1 variants=x}\n\nWords.\n\n## R {#r}\n{time=1}\n\nWords.\n")},
		"more.md":   {Data: []byte("---\nkind: steps\nid: more\ntitle: More\n---\n## M {#m}\n{time=1 who=slinger}\n\nWords.\n")},
	}, &log)
	assert.NilError(t, err)
	lib := l.Resolve(&log)
	var got []string
	var before *procedure.Step
	for _, s := range lib.Procedures[0].Steps {
		words := s.ID + " " + s.Chapter
		for _, r := range s.Who {
			words += " by " + r.ID
		}
		for _, b := range s.Blocks {
			if c := b.Shows().Warning; c != nil {
				words += " warned"
				if len(c.About) > 0 {
					words += " about " + c.About[0].ID
				}
				if c.Repeats(s, before) {
					words += " again"
				}
			}
		}
		got, before = append(got, words), s
	}
	assert.DeepEqual(t, got, []string{
		"s Open by electrician warned about guard", "r Open by electrician warned about guard again", "a Open by electrician warned again",
		"m Close by slinger", "b Close by fitter",
	})
}

// A limit whose unit nobody knows would be text without a field for the reading.
func TestUnknownUnitOfALimit(t *testing.T) {
	for limit, want := range map[string]string{
		"at most 70 °Q":         "bad-quantity",
		"at least 3 glugs":      "bad-quantity",
		"3 glugs to 5 glugs":    "bad-quantity",
		"3 to 5 glugs":          "bad-quantity",
		"3 glugs to 5 mm":       "bad-quantity",
		"at most 70 °C":         "",
		"at most 4.5 mm/s":      "",
		"at most 85 dB":         "",
		"at most two cracks":    "",
		"no cracks in 3 places": "",
	} {
		if _, codes := findBlocks(t, "Words.\n\n- [ ] inspect hub\n\n::: inspect\n- Hub: "+limit+"\n:::\n"); codes != want {
			t.Errorf("%q is told as %q, want %q", limit, codes, want)
		}
	}
}

func TestCautionOutsideAChapter(t *testing.T) {
	caution := "::: caution\nThe edges cut.\n:::\n\n"
	step := "## A {#a}\n{time=1}\n\nWords.\n\n"
	for body, want := range map[string]string{
		"# Open\n\n" + caution + step:             "",
		caution + step:                            "misplaced-block",
		"# Open\n\n" + caution:                    "misplaced-block",
		step + "# Open\n\n" + caution:             "misplaced-block",
		"# Open\n\n" + caution + "# B\n\n" + step: "misplaced-block",
	} {
		var log diagnostic.Log
		_, err := Read(fstest.MapFS{"job.md": {Data: []byte(findHead + body)}}, &log)
		assert.NilError(t, err)
		var codes []string
		for _, d := range log.Sorted() {
			codes = append(codes, string(d.Code))
		}
		if got := strings.Join(codes, " "); got != want {
			t.Errorf("%q is told as %q, want %q", body, got, want)
		}
	}
}
