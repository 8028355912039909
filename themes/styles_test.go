package themes

import (
	"io/fs"
	"regexp"
	"slices"
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

// A size of type is one of the scale, a distance one of the grid, and a colour has a name: base.css has them all. What reads
// from further off, or has to be denser, names the sizes of the scale anew, and so everything in it follows.
func TestStylesKeepToScaleAndGrid(t *testing.T) {
	assert.DeepEqual(t, offScale(`
.a { font-size: 1.1rem; margin: 0 0.3em var(--s3); color: #123; background: rgb(0 0 0 / 50%); --own: #fff; transition: color 1s }
.b { font-size: var(--type-lead); padding: calc(-1 * var(--s4)) auto 2px; gap: 5px; color: var(--ink, #1b1a17); fill: red }
.c { --type-text: 3rem }
.balloon text { font-size: 12px }
.b::before { margin: -0.3rem; mask: url("data:#000") }
@media (prefers-reduced-motion: no-preference) { .d { transition: color 1s; } }
@media print { html { font-size: 9pt; } .d { padding: 2mm; } }`), []string{
		".a: font-size: 1.1rem", ".a: margin: 0 0.3em var(--s3)", ".a: color: #123", ".a: background: rgb(0 0 0 / 50%)", ".a: transition: color 1s",
		".b: gap: 5px", ".b: fill: red", ".c: --type-text: 3rem"})
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
		for _, found := range offScale(string(source)) {
			t.Errorf("%s: %s stands beside the scale, the grid and the named colours of base.css", name, found)
		}
		return nil
	})
	assert.NilError(t, err)
	if looked < 15 {
		t.Errorf("%d style sheets were looked at", looked)
	}
}

var (
	cssComment  = regexp.MustCompile(`(?s)/\*.*?\*/`)
	cssText     = regexp.MustCompile(`"[^"]*"|var\((--[\w-]+)[^()]*\)`) // what stands in quotes, and what a name falls back to
	cssName     = regexp.MustCompile(`var\(--[\w-]+\)`)
	cssCalmly   = regexp.MustCompile(`(?s)@media \(prefers-reduced-motion: no-preference\) \{(?:[^{}]|\{[^{}]*\})*\}`)
	cssMargins  = regexp.MustCompile(`(?s)@bottom-\w+ \{[^{}]*\}`) // the edge of a page of paper takes no names
	cssRule     = regexp.MustCompile(`([^{}]*)\{([^{}]*)\}`)
	cssDistance = regexp.MustCompile(`^(?:(?:margin|padding)(?:-.*)?|(?:row-|column-)?gap)$`)
	// A distance of paper is in millimetres, a hairline in pixels; shares of the place follow the window.
	onGrid   = regexp.MustCompile(`^(?:0|auto|inherit|var\(--[\w-]+\)|calc\(-1 \* var\(--[\w-]+\)\)|[123]px|[\d.]+(?:mm|%|vw))$`)
	onScale  = regexp.MustCompile(`^(?:var\(--type-\w+\)|inherit|0)$`)
	coloured = regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b|\b(?:rgb|hsl|oklch)a?\(|\b(?:red|blue|green|white|black|gr[ae]y|orange|yellow)\b`)
	// Drawings have units of their own.
	inDrawing = regexp.MustCompile(`\.(?:balloon|order-drawing|chart)\b`)
	anew      = regexp.MustCompile(`^(?::root|\.deck|\.matrix-rows|\.board-letters|\.js \.shown\.dense > :is\(\.lead, \.work\))$`)
	ofPage    = regexp.MustCompile(`^(?:html|:root(?:\[[^\]]*\]|:has\(\.wall\))?)$`)
)

// offScale lists the declarations of a style sheet whose size, distance or colour has no name, and movement that nobody may refuse.
func offScale(css string) (found []string) {
	for _, leave := range []*regexp.Regexp{cssComment, cssCalmly, cssMargins} {
		css = leave.ReplaceAllString(css, "")
	}
	for _, rule := range cssRule.FindAllStringSubmatch(cssText.ReplaceAllString(css, "var($1)"), -1) {
		selector := strings.TrimSpace(rule[1])
		for _, declaration := range strings.Split(rule[2], ";") {
			property, value, _ := strings.Cut(strings.TrimSpace(declaration), ":")
			if value = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(value), "!important")); !named(selector, property, value) {
				found = append(found, selector+": "+property+": "+value)
			}
		}
	}
	return found
}

func named(selector, property, value string) bool {
	switch {
	case strings.HasPrefix(property, "--type-"):
		return anew.MatchString(selector)
	case strings.HasPrefix(property, "--"):
		return true
	case property == "font-size":
		return onScale.MatchString(value) || inDrawing.MatchString(selector) || ofPage.MatchString(selector)
	case property == "font":
		size, _, _ := strings.Cut(strings.Fields(value)[0], "/")
		return onScale.MatchString(size) || ofPage.MatchString(selector)
	case cssDistance.MatchString(property):
		return strings.Contains(selector, "::") || !slices.ContainsFunc(values(value), func(v string) bool { return !onGrid.MatchString(v) })
	case strings.HasPrefix(property, "transition"), strings.HasPrefix(property, "animation"):
		return false
	}
	return !coloured.MatchString(cssName.ReplaceAllString(value, ""))
}
