package source

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
)

// What a step uses up is read with its amount, in the numbers of the library's language; what is none is told.
func TestUsesUp(t *testing.T) {
	for _, c := range []struct{ uses, want string }{
		{"grease 15 g", "grease 15 g"},
		{"grease 15 g, rags 2 pcs", "grease 15 g; rags 2 pcs"},
		{"grease  0.5 kg,  tape 2 m", "grease 0.5 kg; tape 2 m"},
		{"grease", `"grease" is no consumable with its amount`},
		{"15 g", `"15 g" is no consumable with its amount`},
		{"grease 15 g, grease 5 g", "grease stands here twice"},
		{"grease 15", "the number has no unit"},
		{"grease 15 bar", "is a pressure"},
	} {
		var log diagnostic.Log
		l, err := Read(fstest.MapFS{"job.md": {Data: []byte(findHead + "## S {#s}\n{time=1 uses=\"" + c.uses + "\"}\n\nWords.\n")}}, &log)
		assert.NilError(t, err)
		step := l.Resolve(&log).Procedures[0].Steps[0]
		var said []string
		for _, d := range log.Sorted() {
			if d.Code == "attribute-value" || d.Code == "bad-quantity" {
				said = append(said, d.Says().String())
			}
		}
		for i, r := range step.Consumed {
			if r.Span.Text() != r.ID {
				t.Errorf("%s: the place of %s is %q", c.uses, r.ID, r.Span.Text())
			}
			if len(said) == 0 || i > 0 {
				said = append(said, r.ID+" "+step.Amounts[i].String())
			}
		}
		if got := strings.Join(said, "; "); got != c.want && !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s", c.uses, got, c.want)
		}
	}
}
