package output

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// What the tests do with folders.

func mustBegin(t *testing.T, dir string) *Build {
	t.Helper()
	build, err := Begin(dir)
	if err != nil {
		t.Fatal(err)
	}
	return build
}

func wantKind(t *testing.T, err error, kind Kind) {
	t.Helper()
	var fault *Fault
	if !errors.As(err, &fault) || fault.Kind != kind || fault.Problem == "" || fault.Do == "" {
		t.Errorf("error %#v, want a fault of kind %d", err, kind)
	}
}

func write(t *testing.T, sink Sink, files map[string]string) {
	t.Helper()
	for name, content := range files {
		if err := sink.Write(name, []byte(content)); err != nil {
			t.Fatal(err)
		}
	}
}

func lay(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for name, content := range files {
		at := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(at), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func read(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := os.ReadFile(filepath.Join(dir, name))
		files[name] = string(content)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func names(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	return names
}

func changed(t *testing.T, dir, name string) time.Time {
	t.Helper()
	info, err := os.Stat(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return info.ModTime()
}
