package themes

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// physical are declarations that say left or right, where a page in a language that is written from right to left needs the
// other side: CSS has start and end for all of them. Source: W3C, CSS Logical Properties and Values Level 1.
var physical = regexp.MustCompile(`(?:^|[\s{;])(` +
	`(?:scroll-)?(?:margin|padding)-(?:left|right)` +
	`|border-(?:left|right)(?:-(?:width|style|color))?` +
	`|border-(?:top|bottom)-(?:left|right)-radius` +
	`|left|right` +
	`)\s*:|(?:text-align|float|clear)\s*:\s*(?:left|right)\b`)

// fourSides are the short forms that name all four sides; which of the two in the middle and at the end differ, differ by side.
var fourSides = regexp.MustCompile(`(?:^|[\s{;])(margin|padding|inset)\s*:\s*([^;}]+)`)

// onASide are the declarations of a style sheet that hold for one side whatever the language.
func onASide(css string) (found []string) {
	for _, m := range physical.FindAllString(css, -1) {
		found = append(found, strings.TrimSpace(strings.TrimLeft(m, " \t\n{;")))
	}
	for _, m := range fourSides.FindAllStringSubmatch(css, -1) {
		if sides := values(m[2]); len(sides) == 4 && sides[1] != sides[3] {
			found = append(found, m[1]+": "+m[2])
		}
	}
	return found
}

// values are those of a declaration, what stands in brackets as one.
func values(s string) []string {
	depth := 0
	return strings.FieldsFunc(strings.TrimSuffix(strings.TrimSpace(s), "!important"), func(r rune) bool {
		switch r {
		case '(':
			depth++
		case ')':
			depth--
		}
		return r == ' ' && depth == 0
	})
}

// Pages are mirrored for a language that is written from right to left by the browser alone: no style sheet, and no script, lays
// out for one side. A place in a picture is one of the picture's, and is written as an attribute of the drawing.
func TestStylesHaveNoLeftAndRight(t *testing.T) {
	assert.DeepEqual(t, onASide(`a{left:0}b{ margin: 0 1px 2px calc(1px + 2px); text-align: right }c{border-left-color:red;padding:1px 2px 3px 2px;margin:0 auto;justify-content:left}`),
		[]string{"left:", "text-align: right", "border-left-color:", "margin: 0 1px 2px calc(1px + 2px)"})
	looked := 0
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, ".css") {
			return err
		}
		source, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		looked++
		for i, line := range strings.Split(string(source), "\n") {
			for _, found := range onASide(line) {
				t.Errorf("%s:%d: %s holds for one side in every language; write the property with inline-start or inline-end", name, i+1, found)
			}
		}
		return nil
	})
	assert.NilError(t, err)
	if looked < 15 {
		t.Errorf("%d style sheets were looked at", looked)
	}
	scripts, err := fs.Glob(files, "assets/*.js")
	assert.NilError(t, err)
	for _, name := range scripts {
		source, err := fs.ReadFile(files, name)
		assert.NilError(t, err)
		for _, found := range styleByScript.FindAllString(string(source), -1) {
			t.Errorf("%s: %s holds for one side in every language; use insetInlineStart or insetInlineEnd", name, found)
		}
	}
}

var styleByScript = regexp.MustCompile(`\.style\.(?:left|right|(?:margin|padding|border)(?:Left|Right)\w*)\b`)
