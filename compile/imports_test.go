package compile

import (
	"os/exec"
	"strings"
	"testing"
)

// TestImportsGoOneWay reads the import graph: cmd -> compile -> procedure, themes for
// compile only, and goldmark for the reader of the dialect only.
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

func wrongArrow(from, to string) string {
	in := func(path, room string) bool { return path == room || strings.HasPrefix(path, room+"/") }
	switch {
	case in(from, "matchmark/procedure") && in(to, "matchmark") && !in(to, "matchmark/procedure"):
		return "the domain reaches for nothing later"
	case in(from, "matchmark/compile") && in(to, "matchmark/cmd"):
		return "the compiler knows no command"
	case in(from, "matchmark/themes") && in(to, "matchmark") && to != "matchmark/themes/render":
		return "themes hold no logic but what runs their templates"
	case in(to, "matchmark/themes") && !in(from, "matchmark/compile") && from != "matchmark/themes":
		return "themes are for the compiler only"
	case in(to, "github.com/yuin/goldmark") && from != "matchmark/procedure/source":
		return "only the reader of the dialect knows goldmark"
	}
	return ""
}
