package starter

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
)

func TestStarterCompilesWithoutAMessage(t *testing.T) {
	var log diagnostic.Log
	sum, err := compile.Site(t.Context(), Library(), filepath.Join(t.TempDir(), "site"), &log, compile.Options{})
	if err != nil {
		t.Error(err)
	}
	if all := log.Sorted(); len(all) > 0 {
		var b strings.Builder
		diagnostic.Printer{Excerpt: true}.Print(&b, all)
		t.Error(b.String())
	}
	if sum.Procedures != 1 || sum.Pictures != 2 {
		t.Errorf("%+v", sum)
	}
}

// The comments teach: each kind of file has some, and none of their words get into the site.
func TestCommentsTeachAndStayOut(t *testing.T) {
	comment := regexp.MustCompile(`(?s)<!--(.*?)-->`)
	var said []string
	err := fs.WalkDir(Library(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(name) != ".md" || name == "README.md" {
			return err
		}
		source, err := fs.ReadFile(Library(), name)
		if err != nil {
			return err
		}
		found := comment.FindAllStringSubmatch(string(source), -1)
		if len(found) == 0 && !strings.Contains(string(source), "\n# ") {
			t.Errorf("%s has no comment", name)
		}
		for _, c := range found {
			said = append(said, strings.TrimSpace(c[1])[:20])
		}
		return nil
	})
	if err != nil || len(said) < 10 {
		t.Fatalf("%d comments, %v", len(said), err)
	}
	dir := t.TempDir()
	var log diagnostic.Log
	if _, err := compile.Site(t.Context(), Library(), filepath.Join(dir, "site"), &log, compile.Options{}); err != nil {
		t.Fatal(err)
	}
	if err := fs.WalkDir(os.DirFS(dir), "site", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(filepath.Join(dir, name))
		for _, words := range said {
			if strings.Contains(string(content), words) {
				t.Errorf("%s shows the comment %q", name, words)
			}
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	names, err := Write(dir)
	assert.NilError(t, err)
	if !slices.Contains(names, "machines/bench-drill.md") || !slices.Contains(names, "README.md") {
		t.Errorf("wrote %v", names)
	}
	for _, name := range names {
		want, _ := fs.ReadFile(Library(), name)
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != string(want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	_, err = Write(dir)
	wantFault(t, err, output.NotOurs)
}

func TestFoldersThatAreRefused(t *testing.T) {
	used := t.TempDir()
	assert.NilError(t, os.WriteFile(filepath.Join(used, "mine.txt"), []byte("mine"), 0o666))
	_, err := Write(used)
	wantFault(t, err, output.NotOurs)
	if entries, _ := os.ReadDir(used); len(entries) != 1 {
		t.Errorf("the folder now holds %v", entries)
	}
	_, err = Write(filepath.Join(used, "mine.txt"))
	wantFault(t, err, output.NotOurs)
	_, err = Write(filepath.Join(used, "mine.txt", "below"))
	wantFault(t, err, output.CannotWrite)
	if got, err := os.ReadFile(filepath.Join(used, "mine.txt")); err != nil || string(got) != "mine" {
		t.Errorf("the file now holds %q, %v", got, err)
	}
}

func TestHiddenFilesDoNotCount(t *testing.T) {
	dir := t.TempDir()
	assert.NilError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o777))
	if _, err := Write(dir); err != nil {
		t.Error(err)
	}
}

func wantFault(t *testing.T, err error, kind output.Kind) {
	t.Helper()
	var fault *output.Fault
	if !errors.As(err, &fault) || fault.Kind != kind || fault.Problem.Empty() || fault.Do.Empty() {
		t.Errorf("error %#v, want a fault of kind %d", err, kind)
	}
}
