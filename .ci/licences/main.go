// Command licences gathers the licences of all that the command is built from, into the file that it prints:
//
//	go run ./.ci/licences
//
// It reads them where the go command has put the modules. A test of the command fails while the file is out of date.
package main

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

const file = "cmd/matchmark/licences.txt"

// systems are those that are released; each may need other modules.
var systems = []string{"linux", "darwin", "windows"}

// text is what the names of licence files look like.
var text = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([-._].*)?$`)

func main() {
	out, err := gather()
	if err == nil {
		err = os.WriteFile(file, out, 0o666)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "licences:", err)
		os.Exit(1)
	}
}

func gather() ([]byte, error) {
	folders, err := modules()
	if err != nil {
		return nil, err
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("asking for Go's folder: %w", err)
	}
	var b bytes.Buffer
	b.WriteString("matchmark\n\n")
	if err := add(&b, "LICENSE"); err != nil {
		return nil, err
	}
	b.WriteString("\nThe pages of a site carry no program but matchmark's own. The command is built from these, each under its own licence.\n")
	b.WriteString("\n=== The Go language and its standard library\n\n")
	if err := add(&b, filepath.Join(strings.TrimSpace(string(root)), "LICENSE")); err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(folders)) {
		fmt.Fprintf(&b, "\n=== %s\n\n", name)
		entries, err := os.ReadDir(folders[name])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		found := 0
		for _, e := range entries {
			if e.Type().IsRegular() && text.MatchString(e.Name()) && filepath.Ext(e.Name()) != ".go" {
				found++
				if err := add(&b, filepath.Join(folders[name], e.Name())); err != nil {
					return nil, err
				}
			}
		}
		if found == 0 {
			return nil, fmt.Errorf("%s has no licence file: look for its licence, or use something else", name)
		}
	}
	b.WriteString("\n=== The editor of the page to write in\n\n")
	if err := add(&b, "compile/writing/NOTICES.txt"); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// modules are the folders of the modules that are built in on one system at least, by module and version.
func modules() (map[string]string, error) {
	out := map[string]string{}
	for _, system := range systems {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/matchmark")
		list.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0")
		list.Stderr = os.Stderr
		lines, err := list.Output()
		if err != nil {
			return nil, fmt.Errorf("listing the modules for %s: %w", system, err)
		}
		for line := range strings.Lines(string(lines)) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				out[name] = dir
			}
		}
	}
	return out, nil
}

// add appends a file, with lines that end as ours do.
func add(b *bytes.Buffer, name string) error {
	content, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	content = bytes.ReplaceAll(content, []byte("\r\n"), []byte("\n"))
	b.Write(bytes.TrimSpace(content))
	b.WriteString("\n")
	return nil
}
