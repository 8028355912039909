package reference_test

import (
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/check/examples"
	"matchmark/procedure/check/order"
)

// readme is the page on what is checked; its table of rules stands between these two lines.
const (
	readme     = "guide/rules.md"
	tableBegin = "<!-- the table of rules, written by go test ./compile/reference -update -->\n"
	tableEnd   = "<!-- the end of the table of rules -->\n"
)

// TestReadmeTable compares the table of rules in the guide with the cases: each rule
// of the order check, the broken lines, and what matchmark prints.
func TestReadmeTable(t *testing.T) {
	src, err := os.ReadFile(readme)
	assert.NilError(t, err)
	before, rest, begins := strings.Cut(string(src), tableBegin)
	_, after, ends := strings.Cut(rest, tableEnd)
	if !begins || !ends {
		t.Fatal("the guide has no place for the table of rules")
	}
	want := before + tableBegin + rulesTable(t) + tableEnd + after
	if want == string(src) {
		return
	}
	if !golden.FlagUpdate() {
		t.Fatal("the table of rules is not up to date; run go test ./compile/reference -update")
	}
	assert.NilError(t, os.WriteFile(readme, []byte(want), 0o644))
}

func rulesTable(t *testing.T) string {
	cases, err := examples.All()
	assert.NilError(t, err)
	byCode := map[string]examples.Case{}
	for _, c := range cases {
		byCode[c.Code] = c
	}
	var b strings.Builder
	b.WriteString("| rule | a broken procedure | what matchmark prints |\n|---|---|---|\n")
	for _, r := range order.Rules() {
		c := byCode[string(r.Code)]
		b.WriteString("| `" + string(r.Code) + "`<br>" + cellText(r.Title) + " | " + brokenLines(c) + " | " + cellText(printedLine(c)) + " |\n")
	}
	return b.String()
}

// brokenLines shows the lines of the bad side that say something, one under the
// other, but for those that only wrap the others.
func brokenLines(c examples.Case) string {
	var out []string
	for _, p := range c.Bad {
		for line := range strings.Lines(p.Plain()) {
			line = strings.TrimSpace(line)
			switch {
			case line == "", strings.Trim(line, ":") == "", line == "Do it with care.", strings.HasPrefix(line, "{"), strings.HasPrefix(line, "::: fasteners"):
			case strings.HasPrefix(line, "|---"):
			case strings.HasPrefix(line, "## "):
				title, _, _ := strings.Cut(strings.TrimPrefix(line, "## "), " {#")
				out = append(out, "*"+cellText(title)+"*")
			default:
				out = append(out, "`"+strings.ReplaceAll(line, "|", `\|`)+"`")
			}
		}
	}
	return strings.Join(out, "<br>")
}

// printedLine is the first line that the case brings with its own code, without the place.
func printedLine(c examples.Case) string {
	for line := range strings.Lines(c.Message) {
		if _, message, found := strings.Cut(line, " "+c.Code+": "); found {
			return strings.TrimSpace(message)
		}
	}
	return strings.TrimSpace(c.Message)
}

func cellText(s string) string {
	return strings.NewReplacer("|", `\|`, "<", "&lt;", "*", `\*`).Replace(s)
}
