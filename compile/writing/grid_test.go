package writing

import (
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

const drill = "machines/bench-drill.md"

func TestGridWritesTheSameMarkdown(t *testing.T) {
	x := newTrial(t)
	text := ask[opened](x, "open", asked{File: drill}).Text
	at := strings.Index(text, "| 1 | Cover screw")
	spot := asked{File: drill, Text: text, At: at}
	g := ask[grid](x, "grid", spot)
	assert.Equal(t, g.Kind, "fasteners")
	assert.Equal(t, g.Rows[0][0], "no")
	assert.DeepEqual(t, g.Rows[1], []string{"1", "Cover screw", "screw", "M6", "16 mm", "8.8", "hex 10 mm", "2", "8 N·m", "top-cover, head"})
	joins := g.Columns[indexOf(g, "joins")]
	if !joins.Several || len(joins.Values) != 4 || joins.Values[0] != (value{"head", "Head and column"}) {
		t.Errorf("joins may be %+v", joins)
	}

	write := func(rows [][]string) string {
		t.Helper()
		spot.Rows = rows
		edits := ask[[]changes](x, "grid-write", spot)
		if len(edits) == 0 {
			return text
		}
		c := edits[0].Changes[0]
		units := []rune(text) // the file has nothing outside of the first plane
		return string(units[:c.From]) + c.Text + string(units[c.To:])
	}
	if write(g.Rows) != text {
		t.Error("a grid that nobody changed changes the file")
	}
	more := append(g.Rows[:len(g.Rows):len(g.Rows)], []string{"3", "A|B\nscrew", "screw", "M6", "", "8.8", "", "1", "8 Nm", "head"}, make([]string, 10))
	want := strings.Replace(text, "| motor, head |\n\n- 1: bag", "| motor, head |\n| 3 | A\\|B screw | screw | M6 | | 8.8 | | 1 | 8 N·m | head |\n\n- 1: bag", 1)
	assert.Equal(t, write(more), want)

	for name, rows := range map[string][][]string{"no headings": {}, "a heading twice": {{"no", "no"}}, "an empty heading": {{"no", ""}}, "a row that is too long": {{"no"}, {"1", "2"}}} {
		spot.Rows = rows
		if no := x.refused("grid-write", spot); no.Problem != "grid" {
			t.Errorf("%s: %+v", name, no)
		}
	}
	assert.Equal(t, x.refused("grid", asked{File: drill, Text: text, At: 3}).Problem, "noregister")
	other := strings.Replace(text, `::: register tools "Tools"`, `::: register tools "Tools" {from=tools.csv}`, 1)
	assert.Equal(t, x.refused("grid", asked{File: drill, Text: other, At: strings.Index(other, "Each: quantity")}).Problem, "elsewhere")
}

func TestGridOfAnEmptyRegister(t *testing.T) {
	x := newTrial(t)
	text := "---\nkind: machine\nid: bench-drill\ntitle: Drill\n---\n\n::: register parts \"Parts\"\n- a: base\n:::\n"
	spot := asked{File: drill, Text: text, At: strings.Index(text, "register")}
	g := ask[grid](x, "grid", spot)
	assert.DeepEqual(t, g.Rows, [][]string{{"id", "name"}})
	spot.Rows = [][]string{{"id", "name"}, {"a", "Hood"}}
	c := ask[[]changes](x, "grid-write", spot)[0].Changes[0]
	assert.Equal(t, text[:c.From]+c.Text+text[c.To:], strings.Replace(text, "- a", "| id | name |\n|----|---|\n| a  | Hood |\n- a", 1))
}

func indexOf(g grid, name string) int {
	for i, c := range g.Columns {
		if c.Name == name {
			return i
		}
	}
	return -1
}

func TestThingsToChooseFrom(t *testing.T) {
	x := newTrial(t)
	text := ask[opened](x, "open", asked{File: job}).Text
	all := ask[[]thing](x, "things", asked{File: job, Text: text})
	if !slices.Contains(all, thing{"head", "Head and column", "H", "parts"}) || !slices.Contains(all, thing{"1", "Cover screw", "", "fasteners"}) {
		t.Errorf("there are %+v", all)
	}
	if len(all) < 12 {
		t.Errorf("there are %d things", len(all))
	}
}
