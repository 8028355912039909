package compile

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// TestBuildID compares the build ID of this program with what the go command says.
//
// Source: "go tool buildid".
func TestBuildID(t *testing.T) {
	out, err := exec.Command("go", "tool", "buildid", os.Args[0]).Output()
	if err != nil {
		t.Skipf("the go command does not say: %v", err)
	}
	content, err := os.ReadFile(os.Args[0])
	assert.NilError(t, err)
	want := strings.TrimSpace(string(out))
	if got := buildID(content[:startOf]); got != want || want == "" {
		t.Errorf("the build ID is %q, want %q", got, want)
	}
	if got := buildID(nil); got != "" {
		t.Errorf("nothing has the build ID %q", got)
	}
}
