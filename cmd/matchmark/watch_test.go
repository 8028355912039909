package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/starter"
)

// screen is a writer that the test reads while the command writes.
type screen struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(p)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// find waits until the screen shows what the pattern says.
func (s *screen) find(t *testing.T, pattern string) []string {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if found := regexp.MustCompile(pattern).FindStringSubmatch(s.String()); found != nil {
			return found
		}
	}
	t.Fatalf("%q is not in\n%s", pattern, s.String())
	return nil
}

// TestWatch edits a library as an author does and looks at what a page is told.
func TestWatch(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	parent := t.TempDir()
	library, site := filepath.Join(parent, "library"), filepath.Join(parent, "library", "site")
	if _, err := starter.Write(library); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var out, messages screen
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"watch", library, "-o", site, "--serve", "0"}, &console{out: &out, err: &messages})
	}()
	address := out.find(t, `The site is at (http://127\.0\.0\.1:\d+/)`)[1]

	page := get(t, address)
	if !strings.Contains(page, "Take the drive belt off") || !strings.Contains(page, "/.preview/preview.js") {
		t.Errorf("the start page is\n%s", page)
	}
	events := listenAt(t, address)
	first := events()
	if !first.Written {
		t.Errorf("the first event is %+v", first)
	}

	machine := filepath.Join(library, "machines", "bench-drill.md")
	good, err := os.ReadFile(machine)
	assert.NilError(t, err)
	save(t, machine, bytes.Replace(good, []byte("| belt | Drive belt"), []byte("| belt! | Drive belt"), 1))
	broken := events()
	if broken.Written || broken.Edition != first.Edition || len(broken.Diagnostics) == 0 {
		t.Fatalf("after a mistake: %+v", broken)
	}
	if d := broken.Diagnostics[0]; d.File != "machines/bench-drill.md" || d.Line == 0 || d.Column == 0 || d.Severity != "error" {
		t.Errorf("the message is %+v", d)
	}
	messages.find(t, `machines/bench-drill.md:\d+:\d+: error bad-name`)
	out.find(t, `\d\d:\d\d:\d\d  \d+ errors?[^.]*\. The site stays as it was\.`)
	if page := get(t, address+"machine/bench-drill.html"); !strings.Contains(page, "Drive belt") {
		t.Error("the last good site is not served")
	}

	save(t, machine, bytes.Replace(good, []byte("| belt | Drive belt"), []byte("| belt | Flat belt"), 1))
	mended := events()
	if !mended.Written || mended.Edition == first.Edition || len(mended.Diagnostics) != 0 {
		t.Errorf("after the correction: %+v", mended)
	}
	if page := get(t, address+"machine/bench-drill.html"); !strings.Contains(page, "Flat belt") {
		t.Error("the new site is not served")
	}

	// What stands in the way of writing is shown too, and does not end the watch.
	other, err := output.Begin(site)
	assert.NilError(t, err)
	save(t, machine, good)
	if refused := events(); refused.Written || !strings.Contains(refused.Failure, "another compile") {
		t.Errorf("while another compile writes the folder: %+v", refused)
	}
	messages.find(t, `matchmark: another compile is writing folder`)
	other.Abort()
	// Files are put in place one by one, so a file of somebody else's is not in the way.
	save(t, filepath.Join(site, "mine.txt"), []byte("mine"))
	save(t, machine, append(good, '\n'))
	if taken := events(); !taken.Written {
		t.Errorf("after the other compile: %+v", taken)
	}
	if page := get(t, address+"machine/bench-drill.html"); !strings.Contains(page, "Drive belt") {
		t.Error("what was refused is not made good by the next save")
	}

	stop()
	if code := <-ended; code != exitFine {
		t.Errorf("exit code %d\n%s", code, messages.String())
	}
}

type event struct {
	Edition     string
	Written     bool
	Failure     string
	Diagnostics []struct {
		File, Severity string
		Line, Column   int
	}
}

// listenAt returns a function that waits for the next event.
func listenAt(t *testing.T, address string) func() event {
	t.Helper()
	r, err := http.Get(address + ".preview/events")
	assert.NilError(t, err)
	t.Cleanup(func() { r.Body.Close() })
	lines := bufio.NewScanner(r.Body)
	lines.Buffer(nil, 1<<20)
	return func() (out event) {
		t.Helper()
		for lines.Scan() {
			if data, ok := bytes.CutPrefix(lines.Bytes(), []byte("data: ")); ok {
				assert.NilError(t, json.Unmarshal(data, &out))
				return out
			}
		}
		t.Fatalf("the events ended: %v", lines.Err())
		return out
	}
}

func get(t *testing.T, url string) string {
	t.Helper()
	r, err := http.Get(url)
	assert.NilError(t, err)
	defer r.Body.Close()
	content, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s, %v", url, r.Status, err)
	}
	return string(content)
}

func save(t *testing.T, name string, content []byte) {
	t.Helper()
	assert.NilError(t, os.WriteFile(name, content, 0o666))
}
