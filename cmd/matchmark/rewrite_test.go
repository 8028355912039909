package main

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// edited makes the edit "6 becomes 7" in a file as it was read.
func edited(name, source string) rewrite.File {
	return rewrite.File{Old: text.NewFile(name, []byte(source)), Source: []byte(strings.Replace(source, "time=6", "time=7", 1))}
}

func TestRewrite(t *testing.T) {
	dir := t.TempDir()
	crlf := "\uFEFF---\r\nkind: x\r\n---\r\n::: step a \"A\" {time=6}\r\n"
	plain := "::: step b \"B\" {time=6}"
	for name, content := range map[string]string{"a.md": crlf, "b.md": plain} {
		assert.NilError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600))
	}
	if err := os.Chmod(filepath.Join(dir, "b.md"), 0o666); err != nil { // more than a umask lets through
		t.Fatal(err)
	}
	assert.NilError(t, replace(dir, []rewrite.File{edited("a.md", crlf), edited("b.md", plain)}))
	want(t, dir, "a.md", strings.Replace(crlf, "6", "7", 1), 0o600)
	want(t, dir, "b.md", strings.Replace(plain, "6", "7", 1), 0o666)
	wantNames(t, dir, "a.md", "b.md")
}

// Whatever is in the way, no file is changed and none is left over.
func TestRewriteRefuses(t *testing.T) {
	const good, other = "::: step a {time=6}", "::: step b {time=6} changed meanwhile"
	for name, c := range map[string]struct {
		prepare func(dir string) error
		problem string
		names   []string
	}{
		"changed meanwhile": {func(dir string) error { return os.WriteFile(filepath.Join(dir, "b.md"), []byte(other), 0o666) },
			"b.md was changed while", []string{"a.md", "b.md"}},
		"gone meanwhile": {func(dir string) error { return nil }, "b.md cannot be written", []string{"a.md"}},
		"a link": {func(dir string) error { return os.Symlink("a.md", filepath.Join(dir, "b.md")) },
			"b.md cannot be written: it is a link", []string{"a.md", "b.md"}},
		"another at work": {func(dir string) error {
			return errors.Join(os.WriteFile(filepath.Join(dir, "b.md"), []byte(good), 0o666), os.WriteFile(filepath.Join(dir, ".b.md.new"), []byte("x"), 0o666))
		}, "b.md cannot be written", []string{".b.md.new", "a.md", "b.md"}},
	} {
		t.Run(name, func(t *testing.T) {
			if name == "a link" && runtime.GOOS == "windows" {
				t.Skip("links need a right there")
			}
			dir := t.TempDir()
			assert.NilError(t, os.WriteFile(filepath.Join(dir, "a.md"), []byte(good), 0o644))
			assert.NilError(t, c.prepare(dir))
			err := replace(dir, []rewrite.File{edited("a.md", good), edited("b.md", good)})
			var f *failure
			if !errors.As(err, &f) || f.code != exitWorld || !strings.Contains(f.Error(), c.problem) {
				t.Errorf("got %v", err)
			}
			want(t, dir, "a.md", good, 0o644)
			wantNames(t, dir, c.names...)
		})
	}
}

func want(t *testing.T, dir, name, content string, mode os.FileMode) {
	t.Helper()
	got, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil || string(got) != content {
		t.Errorf("%s is %q, %v; want %q", name, got, err, content)
	}
	info, err := os.Stat(filepath.Join(dir, name))
	if err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != mode {
		t.Errorf("%s has the permissions %v, %v; want %v", name, info.Mode().Perm(), err, mode)
	}
}

func wantNames(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	assert.NilError(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(names, " ") {
		t.Errorf("the folder holds %v, want %v", got, names)
	}
}
