package main

import (
	"maps"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// The licences are those of just the modules that are built in, on the systems that are released.
func TestLicencesAreComplete(t *testing.T) {
	built := map[string]bool{}
	for _, system := range []string{"linux", "darwin", "windows"} {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", ".")
		list.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0")
		out, err := list.Output()
		assert.NilError(t, err)
		for line := range strings.Lines(string(out)) {
			if line = strings.TrimSpace(line); line != "" {
				built[line] = true
			}
		}
	}
	var printed []string
	for _, m := range regexp.MustCompile(`(?m)^=== (\S+ v\S+)$`).FindAllStringSubmatch(licences, -1) {
		printed = append(printed, m[1])
	}
	assert.DeepEqual(t, printed, slices.Sorted(maps.Keys(built)))
	for part := range strings.SplitSeq(licences, "\n=== ") {
		if len(part) < 500 {
			t.Errorf("this is no licence: %q", part)
		}
	}
}
