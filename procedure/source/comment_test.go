package source

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"io/fs"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// A comment that is not closed is one message, wherever it stands, and what follows is read.
func TestUnclosedComment(t *testing.T) {
	const open = "<!-- todo: look again"
	for name, body := range map[string]string{
		"before the steps":       open + "\n\n" + stepHead + "Words.\n:::\n",
		"of several lines":       "<!--\ntodo:\nlook again\n" + stepHead + "Words.\n:::\n",
		"between steps":          stepHead + "Words.\n:::\n" + open + "\nand again\n" + strings.Replace(stepHead, "look", "see", 1) + "Words.\n:::\n",
		"in a step":              stepHead + open + "\n\nWords.\n::: tip\nA tip.\n:::\n:::\n",
		"in a list":              stepHead + "::: fasteners\n" + open + "\n- remove 4\n:::\n:::\n",
		"behind words":           stepHead + "Words. " + open + "\n:::\n",
		"before another comment": stepHead + open + "\n\nWords.\n\n<!-- a comment -->\n\nMore.\n:::\n",
		"at the end of the file": stepHead + "Words.\n:::\n" + open,
		"with carriage returns":  strings.ReplaceAll(stepHead+open+"\n\nWords.\n:::\n", "\n", "\r\n"),
	} {
		p, all := readProcedure(t, procedureHead+body)
		if len(all) != 1 || all[0].Code != "unclosed-comment" || all[0].Span.Text() != "<!--" {
			t.Errorf("%s brings\n%s", name, printed(all))
		}
		if p == nil || len(p.Steps) != strings.Count(body, "::: step") || len(p.Steps[0].Blocks) == 0 {
			t.Errorf("%s: steps are lost", name)
		}
	}
	for name, body := range map[string]string{
		"closed":        "<!-- a\n\n::: tip\n-->\n" + stepHead + "Words.\n:::\n",
		"in code":       stepHead + "Write `<!--` there.\n\n    <!-- as it is\n\n```\n<!--\n```\n:::\n",
		"beside others": stepHead + "Words. <!-- a --> <!-- b -->\n:::\n",
	} {
		if _, all := readProcedure(t, procedureHead+body); len(all) > 0 {
			t.Errorf("%s brings\n%s", name, printed(all))
		}
	}
}

// In any file of the demo, before any of its lines, an unclosed comment brings few
// messages, and one of them names it.
func TestUnclosedCommentAnywhere(t *testing.T) {
	err := fs.WalkDir(content.Library(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".md") {
			return err
		}
		src, err := fs.ReadFile(content.Library(), name)
		if err != nil {
			return err
		}
		lines := bytes.SplitAfter(src, []byte("\n"))
		body := slices.IndexFunc(lines[1:], func(l []byte) bool { return string(l) == "---\n" }) + 2
		for i := body; i < len(lines); i += 4 { // each kind of line is met
			if i > body && bytes.HasPrefix(lines[i], []byte("|")) {
				continue // a comment in a table ends the table
			}
			if bytes.HasPrefix(lines[i], []byte("Each:")) {
				continue // a comment takes its own line's neighbour along: each row would lack what they have in common
			}
			broken := bytes.Join(append(append(slices.Clone(lines[:i]), []byte("<!-- look at this again\n")), lines[i:]...), nil)
			_, log := readFiles(t, map[string]string{name: string(broken)})
			all := slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool { return d.Severity < diagnostic.Error })
			if !slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Code == "unclosed-comment" }) || len(all) > 3 {
				t.Errorf("%s, before line %d:\n%s", name, i+1, printed(all))
			}
		}
		return nil
	})
	assert.NilError(t, err)
}
