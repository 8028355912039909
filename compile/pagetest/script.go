package pagetest

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os/exec"
	"strings"
	"testing"

	"matchmark/themes"
)

// barePage is as much of a page as a script without one needs.
const barePage = `globalThis.matchmark = { words: function () {} };
globalThis.document = { getElementById: function () { return null; }, addEventListener: function () {}, dispatchEvent: function () {} };
globalThis.CustomEvent = globalThis.CustomEvent || function () {};
`

// Script runs scripts of the theme in node, and after them a program; what the
// program returns, or promises, is decoded into the result. The test is passed
// over where node is not installed.
func Script(t *testing.T, assets []string, program string, result any) {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed")
	}
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	var source strings.Builder
	source.WriteString(barePage)
	for _, asset := range assets {
		text, err := fs.ReadFile(theme.Assets(), asset)
		if err != nil {
			t.Fatal(err)
		}
		source.Write(text)
	}
	source.WriteString("\n(async function () {" + program + "})().then(function (out) { console.log(JSON.stringify(out)); }, function (fault) { console.error(fault); process.exit(1); });")
	command := exec.Command(node, "-")
	command.Stdin = strings.NewReader(source.String())
	var complaint bytes.Buffer
	command.Stderr = &complaint
	output, err := command.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, complaint.String())
	}
	if err := json.Unmarshal(output, result); err != nil {
		t.Fatalf("%v in %s", err, output)
	}
}
