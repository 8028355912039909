package source

import (
	"strings"
	"testing"
)

// Each of these takes a reader of Markdown or YAML time that grows with the square
// of the text, or would bury the author in messages. All end in one message.
func TestProportion(t *testing.T) {
	step := func(body string) string { return procedureHead + stepHead + body + "\n:::\n" }
	for name, c := range map[string]struct{ source, want string }{
		"links in links":             {step(strings.Repeat("[a](", 2000)), "more than 400 signs"},
		"emphasis that never closes": {step("a**b" + strings.Repeat("c* ", 2000)), "more than 400 signs"},
		"over several lines":         {step(strings.Repeat(strings.Repeat("[a](", 50)+"\n", 20)), "more than 400 signs"},
		"rows before there is a table": {
			step(strings.Repeat("| "+strings.Repeat("[a](", 50)+"\n", 20)), "more than 400 signs",
		},
		"a table of one long row":  {step("| a |\n|---|\n| " + strings.Repeat("[a](", 2000) + " |\n"), "more than 400 signs"},
		"comments that stay open":  {step(strings.Repeat("<!-- ", 2000)), "more than 400 signs"},
		"quotation in quotation":   {step(strings.Repeat(">", 1000) + " x"), "lists and quotations"},
		"list in list":             {step(strings.Repeat("- ", 1000) + "x"), "lists and quotations"},
		"list in quotation":        {step(strings.Repeat("> 1. ", 500) + "x"), "lists and quotations"},
		"attributes without end":   {procedureHead + "::: step s \"S\" {" + strings.Repeat("a=b ", 9000) + "}\nx\n:::\n", "longer than 16 KB"},
		"brackets in front matter": {"---\nkind: procedure\ntitle: " + strings.Repeat("[", 100) + "\n---\n", "nests more than 16 deep"},
		"lists in front matter":    {"---\nkind: procedure\naims:\n" + strings.Repeat("- ", 1000) + "x\n---\n", "opens more than 32 lists"},
		"a few too many lists":     {"---\nkind: procedure\naims:\n" + strings.Repeat("- ", 20) + "x\n---\n", "nests more than 16 deep"},
	} {
		t.Run(name, func(t *testing.T) {
			_, log := readFiles(t, map[string]string{"a.md": c.source})
			all := log.Sorted()
			if len(all) != 1 || !strings.Contains(all[0].Says().String(), c.want) || all[0].Advice.Empty() {
				t.Errorf("got %s, want one message with %q", printed(all), c.want)
			}
		})
	}
}

func TestWhatIsInProportion(t *testing.T) {
	for name, body := range map[string]string{
		"long prose":           strings.Repeat("Wipe the face clean. ", 700),
		"many items":           strings.Repeat("- **Turn** it *once*, see [the lift](https://example.org).\n", 300),
		"a rule":               "a\n\n- - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - - -\n\n" + strings.Repeat("*", 500),
		"a line to write on":   "Name: " + strings.Repeat("_", 300),
		"paragraphs":           strings.Repeat(strings.Repeat("**a** ", 60)+"\n\n", 20),
		"a table of many rows": "| a | b |\n|---|---|\n" + strings.Repeat("| **a** | `b` |\n", 300),
	} {
		t.Run(name, func(t *testing.T) {
			_, log := readFiles(t, map[string]string{"a.md": procedureHead + stepHead + body + "\n:::\n"})
			for _, d := range log.Sorted() {
				if d.Code == "file-too-large" {
					t.Errorf("refused: %s", d.Says())
				}
			}
		})
	}
}
