package compile

import (
	"os/exec"
	"strings"
	"testing"
)

// TestImportsGoOneWay reads the import graph: cmd -> compile -> procedure, themes for
// compile only, and goldmark for the reader of the dialect and for the guide, which is plain Markdown, only.
func TestImportsGoOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "matchmark/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) < 10 {
		t.Fatalf("go list found %d packages only", len(lines))
	}
	for _, line := range lines {
		words := strings.Fields(line)
		from := words[0]
		for _, to := range words[1:] {
			if why := wrongArrow(from, to); why != "" {
				t.Errorf("%s imports %s: %s", from, to, why)
			}
		}
	}
}

// TestHouse looks whether the picture of the packages is that of today, and whether in any folder, at any
// level, arrows lead from one child through others back to it.
func TestHouse(t *testing.T) {
	command := exec.Command("go", "run", "./.ci/house", "-check")
	command.Dir = ".."
	if out, err := command.CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

func wrongArrow(from, to string) string {
	in := func(path, room string) bool { return path == room || strings.HasPrefix(path, room+"/") }
	switch {
	case in(from, "matchmark/procedure") && in(to, "matchmark") && !in(to, "matchmark/procedure"):
		return "the domain reaches for nothing later"
	case in(from, "matchmark/compile") && in(to, "matchmark/cmd"):
		return "the compiler knows no command"
	case in(from, "matchmark/themes") && in(to, "matchmark") && to != "matchmark/procedure/decimal":
		return "themes know nothing of procedures"
	case in(to, "matchmark/themes") && !in(from, "matchmark/compile") && from != "matchmark/themes":
		return "themes are for the compiler only"
	case from != "matchmark/compile/host" && in(from, "matchmark/compile/host") && to == "matchmark/compile/host":
		return "a room of the class host does not reach back to it"
	case in(from, "matchmark/compile/host") && from != "matchmark/compile/host/building" && in(to, "matchmark/compile") && !in(to, "matchmark/compile/host") &&
		to != "matchmark/compile/served" && to != "matchmark/compile/filelock" && to != "matchmark/compile/output": // folders, and what is wrong with them
		return "the class host reaches what builds a site through its room building alone"
	case in(to, "github.com/yuin/goldmark") && from != "matchmark/procedure/source" && from != "matchmark/compile/reference/guide":
		return "only the reader of the dialect and the guide know goldmark"
	}
	return ""
}
