// Package output takes the files that emitters make and turns them into a
// site folder, whole or not at all.
package output

import (
	"bytes"
	"fmt"
	"io/fs"
	"strings"
	"sync"
)

// Sink takes the site's files, by site path. It may be used from several
// goroutines at once.
//
// A site path is relative and slash-separated, such as "procedure/x/index.html".
// Writing a path that is not one, or the same path twice, is a fault of the
// emitter and returns an error.
type Sink interface {
	Write(path string, content []byte) error
}

// CheckPath reports why a path cannot be a site path, or nil.
func CheckPath(name string) error {
	switch {
	case name == "." || !fs.ValidPath(name):
		return fmt.Errorf("site path %q is not a relative, slash-separated path", name)
	case strings.ContainsAny(name, "\\:\x00\n"):
		return fmt.Errorf("site path %q holds a character that not every file system takes", name)
	case name[0] == '.' || strings.Contains(name, "/."):
		return fmt.Errorf("site path %q is hidden", name)
	}
	return nil
}

// Memory is a Sink that keeps the files; its zero value is ready to use.
type Memory struct {
	mu    sync.Mutex
	files map[string][]byte
}

// Write keeps a copy of the content.
func (m *Memory) Write(name string, content []byte) error {
	if err := CheckPath(name); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, twice := m.files[name]; twice {
		return fmt.Errorf("site path %q is written twice", name)
	}
	if m.files == nil {
		m.files = map[string][]byte{}
	}
	m.files[name] = bytes.Clone(content)
	return nil
}

// Files returns what was written, by site path.
func (m *Memory) Files() map[string][]byte {
	m.mu.Lock()
	defer m.mu.Unlock()
	files := make(map[string][]byte, len(m.files))
	for name, content := range m.files {
		files[name] = content
	}
	return files
}
