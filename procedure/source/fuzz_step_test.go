package source

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
)

// FuzzStep puts any text below the heading of a step. Without an error the step behind it is read, and every act stands
// where it is said to stand; messages point into the file, and are the same again.
func FuzzStep(f *testing.F) {
	for _, s := range []string{
		"{time=6/8/12 people=2 tools=\"ratchet, socket\" needs=none}\n\nLook.\n\n- [ ] remove 1\n- [ ] remove 4 of 6: it sticks {reach=\"45 cm\" grip=fair}\n",
		"{time=1\npeople=2}\n- [x] remove 1, 2\n\n> **Mark it.** It turns.\n",
		"{time=1 figure=a}\n\n- [ ] keep 3: it carries\n- [ ] hang hood on hoist\n  {twist=\"30 deg\"}\n- remove 2\n",
		"{time=\"1\n\n* [ ] fit 1\n+ [] fit 2\n1. [ ] tighten 3\n",
		"{}\n::: caution\nHot.\n- [ ] remove 1\n:::\n",
		"{time=1}\n::: fasteners a\n- [ ] loosen 1-3\n:::\n::: variant belt\n- [ ] disconnect belt\n:::\n",
		"#Two {#two}\n{time=1}\n# Part two\n{needs=dead}\n### Small {#three}\n## Text {text}\n",
		"{time=1}\n\n- [ ]\n  remove 1\n- [ ]  \r\n  {reach=3}\n- [ ]\n",
		"{time=1} words\n• [ ] remove 1\n[ ] remove 2\n– remove 3\n",
		"{time=1}\r\n\r\n- [ ] drain oil into tray\r\n  ::: tip\r\n  x\r\n  :::\r\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, src string) {
		whole := procedureHead + "## One {#one}\n" + src + "\n\n## Next {#next}\n{time=1}\n\nGo on.\n"
		read := func() (*Library, []diagnostic.Diagnostic, bool) {
			var log diagnostic.Log
			lib, err := Read(fstest.MapFS{"a.md": {Data: []byte(whole)}}, &log)
			assert.NilError(t, err)
			return lib, log.Sorted(), log.HasErrors()
		}
		lib, all, errors := read()
		for _, d := range all {
			inside(t, d.Span)
		}
		if _, again, _ := read(); printed(again) != printed(all) {
			t.Fatalf("the messages differ:\n%s\n%s", printed(all), printed(again))
		}
		if errors || strings.ContainsAny(src, "<`~") { // a comment or code may go on to the end of the file
			return
		}
		steps := lib.own[0].steps
		if len(steps) < 2 || steps[len(steps)-1].ID != "next" {
			t.Fatalf("%q hides the step behind it", src)
		}
		for _, s := range steps {
			for _, a := range s.Actions() {
				inside(t, a.Span)
				at := a.Object.Span.Text() // of several callout numbers in a row, the row
				if isReference(at) && at != a.Object.ID || !strings.Contains(a.Span.Text(), at) {
					t.Fatalf("%q is said to stand at %q", a.Object.ID, at)
				}
			}
		}
	})
}
