package output

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// What the tests do with folders.

func mustBegin(t *testing.T, dir string) *Build {
	t.Helper()
	build, err := Begin(dir)
	assert.NilError(t, err)
	return build
}

func wantKind(t *testing.T, err error, kind Kind) {
	t.Helper()
	var fault *Fault
	if !errors.As(err, &fault) || fault.Kind != kind || fault.Problem.Empty() || fault.Do.Empty() {
		t.Errorf("error %#v, want a fault of kind %d", err, kind)
	}
}

func write(t *testing.T, sink Sink, files map[string]string) {
	t.Helper()
	for name, content := range files {
		assert.NilError(t, sink.Write(name, []byte(content)))
	}
}

func lay(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	assert.NilError(t, os.MkdirAll(dir, 0o777))
	for name, content := range files {
		at := filepath.Join(dir, name)
		assert.NilError(t, os.MkdirAll(filepath.Dir(at), 0o777))
		assert.NilError(t, os.WriteFile(at, []byte(content), 0o666))
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
	assert.NilError(t, err)
	return files
}

func names(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	assert.NilError(t, err)
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	return names
}

func changed(t *testing.T, dir, name string) time.Time {
	t.Helper()
	info, err := os.Stat(filepath.Join(dir, name))
	assert.NilError(t, err)
	return info.ModTime()
}
