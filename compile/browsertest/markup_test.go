//go:build browser

package browsertest

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

const (
	nuPath           = "../../.ci/node_modules/vnu-jar/build/dist/vnu.jar"
	htmlValidatePath = "../../.ci/node_modules/html-validate/bin/html-validate.mjs"
)

// markup gives all pages, style sheets and drawings to the Nu checker, and all
// pages to html-validate.
func markup(t *testing.T, s *site) {
	var files, pages []string
	err := fs.WalkDir(os.DirFS(s.dir), ".", func(name string, _ fs.DirEntry, err error) error {
		switch full := filepath.Join(s.dir, name); filepath.Ext(name) {
		case ".html":
			files, pages = append(files, full), append(pages, full)
		case ".svg":
			files = append(files, full)
		}
		return err
	})
	assert.NilError(t, err)
	spoilt := filepath.Join(t.TempDir(), "spoilt.html")
	assert.NilError(t, os.WriteFile(spoilt, []byte(`<!DOCTYPE html><html lang="en"><title>x</title><p><div id=a>x</p><p id=a>`), 0o666))
	for name, validate := range map[string]func(*testing.T, []string) []string{"Nu": nu, "html-validate": htmlValidate} {
		t.Run(name, func(t *testing.T) {
			if len(validate(t, []string{spoilt})) == 0 {
				t.Error("nothing was found in a spoilt page")
			}
			checked := pages
			if name == "Nu" {
				checked = files
			}
			for _, message := range validate(t, checked) {
				t.Error(strings.ReplaceAll(message, s.dir+"/", ""))
			}
		})
	}
}

// nu returns the errors that the Nu checker finds.
func nu(t *testing.T, files []string) []string {
	command := exec.Command("java", append([]string{"-jar", nuPath, "--format", "json", "--stdout", "--exit-zero-always", "--also-check-svg"}, files...)...)
	command.Stderr = os.Stderr
	out, err := command.Output()
	if err != nil {
		t.Fatalf("the Nu checker: %v", err)
	}
	var found struct {
		Messages []struct {
			Type, URL, Message, Extract string
			LastLine                    int
		}
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("the Nu checker wrote %.200q: %v", out, err)
	}
	var messages []string
	for _, m := range found.Messages {
		// Of its warnings one asks for what html-validate forbids, and those on the
		// script policy take the site's own folder for a stranger.
		if m.Type != "info" {
			messages = append(messages, fmt.Sprintf("%s:%d: %s\n    %s", m.URL, m.LastLine, m.Message, m.Extract))
		}
	}
	return messages
}

// htmlValidate returns what html-validate finds.
func htmlValidate(t *testing.T, pages []string) []string {
	// Into a file: it ends before a pipe has taken all that it writes.
	report := filepath.Join(t.TempDir(), "report.json")
	command := exec.Command("node", append([]string{htmlValidatePath, "--config", "../../.ci/htmlvalidate.json", "--formatter", "json=" + report}, pages...)...)
	command.Stderr = os.Stderr
	failed := command.Run()
	out, err := os.ReadFile(report)
	if err != nil {
		t.Fatalf("html-validate: %v, %v", failed, err)
	}
	var found []struct {
		FilePath string
		Messages []struct {
			RuleID, Message string
			Line            int
		}
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatalf("html-validate wrote %.200q: %v, %v", out, failed, err)
	}
	var messages []string
	for _, page := range found {
		for _, m := range page.Messages {
			messages = append(messages, fmt.Sprintf("%s:%d: %s: %s", page.FilePath, m.Line, m.RuleID, m.Message))
		}
	}
	if failed != nil && len(messages) == 0 {
		t.Errorf("html-validate failed without a message: %v", failed)
	}
	return messages
}
