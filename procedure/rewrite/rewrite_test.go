package rewrite

import (
	"testing"

	"matchmark/procedure/text"
)

func TestSeveralFiles(t *testing.T) {
	a, b := text.NewFile("a.md", []byte("one two three")), text.NewFile("b.md", []byte("four"))
	out, err := Make([]Edit{{b.Span(0, 4), "4"}, {a.Span(8, 13), "3"}, {a.Span(0, 3), "1"}, {a.Span(7, 7), "+"}})
	if err != nil || len(out) != 2 || string(out[0].Source) != "1 two+ 3" || string(out[1].Source) != "4" {
		t.Errorf("%v, %v", out, err)
	}
	if out, err := Make(nil); err != nil || len(out) != 0 {
		t.Errorf("%v, %v", out, err)
	}
	for name, edits := range map[string][]Edit{
		"overlap":  {{a.Span(0, 5), "x"}, {a.Span(4, 6), "y"}},
		"outside":  {{text.Span{File: a, Start: 5, End: 99}, "x"}},
		"backward": {{text.Span{File: a, Start: 5, End: 4}, "x"}},
		"nowhere":  {{Text: "x"}},
	} {
		if _, err := Make(edits); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
