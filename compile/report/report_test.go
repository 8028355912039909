package report

import (
	"bytes"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
)

// Figures stand in columns of their own, blanks at the ends of lines go, and text stays text in a table.
func TestTextAndTable(t *testing.T) {
	p, err := New(&procedure.Library{Language: "en", Title: "Workshop"})
	assert.NilError(t, err)
	p.Subject, p.Summary = "Oven", []string{"All is well."}
	p.Sections = []Section{{Heading: "Learners", Lead: "By name.", Columns: Columns("Name", "#Points", "Note"), Rows: [][]string{{"Ada", "12", ""}, {"Ben", "3", "late"}}}}
	var b bytes.Buffer
	assert.NilError(t, p.Text(&b))
	const want = "Oven\nAll is well.\n\nLearners\nBy name.\n  Name  Points  Note\n  Ada   12\n  Ben   3       late\n"
	if b.String() != want {
		t.Errorf("got\n%q, want\n%q", b.String(), want)
	}
	if c := p.Sections[0].Columns; !c[1].Number || c[0].Number || c[1].Name != "Points" {
		t.Errorf("%+v", c)
	}
	b.Reset()
	if err := CSV(&b, [][]string{{Cell("=1"), Cell("a,b"), Cell("-2"), Cell("x=1"), Cell("")}}); err != nil || b.String() != "'=1,\"a,b\",'-2,x=1,\r\n" {
		t.Errorf("%v %q", err, b.String())
	}
	if _, err := New(&procedure.Library{Language: "xx"}); err == nil {
		t.Error("a language without words was taken")
	}
}
