//go:build unix

package main

import (
	"bytes"
	"context"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
	"gotest.tools/v3/assert"
)

// pipe makes a named pipe that nobody writes to.
func pipe(t *testing.T, path string) {
	t.Helper()
	assert.NilError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	if err := unix.Mkfifo(path, 0o666); err != nil {
		t.Skipf("no named pipes here: %v", err)
	}
}

// soon runs a command line and wants it to end by itself.
func soon(t *testing.T, args ...string) (code int, out string) {
	t.Helper()
	var b bytes.Buffer
	done := make(chan int, 1)
	go func() { done <- run(context.Background(), args, &console{out: &b, err: &b}) }()
	select {
	case code = <-done:
		return code, b.String()
	case <-time.After(time.Minute):
		t.Fatalf("%v waits", args)
		return 0, ""
	}
}

// What has the name of a file and is none is one message, and is never opened.
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	if code, out := soon(t, "new", filepath.Join(dir, "lib")); code != exitFine {
		t.Fatal(out)
	}
	link := func(to string) func(string) {
		return func(path string) {
			if err := os.Symlink(to, path); err != nil {
				t.Skip(err)
			}
		}
	}
	for name, c := range map[string]struct {
		make func(path string)
		file string
		says string
	}{
		"named pipe": {func(path string) { pipe(t, path) }, "procedures/x.md", "error unreadable-file: this is a named pipe, not a file"},
		"link to a pipe": {func(path string) {
			pipe(t, filepath.Join(filepath.Dir(path), "pipe"))
			link("pipe")(path)
		}, "procedures/x.md", "error unreadable-file: this is a named pipe, not a file"},
		"socket": {func(path string) {
			l, err := net.Listen("unix", path)
			if err != nil {
				t.Skip(err)
			}
			t.Cleanup(func() { l.Close() })
		}, "x.md", "error unreadable-file: this is a socket, not a file"},
		"link to a folder": {link("procedures"), "x.md", "error unreadable-file: this is a folder, not a file"},
		"settings":         {func(path string) { os.Remove(path); pipe(t, path) }, "library.yaml", "error unreadable-file: this is a named pipe, not a file"},
		"picture":          {func(path string) { os.Remove(path); pipe(t, path) }, "figures/drill-press.svg", "error picture-unusable: picture"},
		"device by a link": {link("/dev/zero"), "procedures/x.md", "error unreadable-file: this file cannot be read: "},
	} {
		t.Run(name, func(t *testing.T) {
			lib := filepath.Join(t.TempDir(), "l")
			assert.NilError(t, os.CopyFS(lib, os.DirFS(filepath.Join(dir, "lib"))))
			if c.file == "figures/drill-press.svg" {
				c.file = firstPicture(t, lib)
			}
			c.make(filepath.Join(lib, filepath.FromSlash(c.file)))
			for _, args := range [][]string{{"check", lib}, {"compile", lib, "--no-cache", "-o", filepath.Join(t.TempDir(), "site")}} {
				code, out := soon(t, args...)
				if code != exitLibrary || strings.Count(out, ": error ") != 1 || !strings.Contains(out, c.says) || !strings.Contains(out, c.file) {
					t.Errorf("%s: exit code %d\n%s", args[0], code, out)
				}
			}
		})
	}
}

// firstPicture is a picture of the library.
func firstPicture(t *testing.T, lib string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(lib, "figures", "*.svg"))
	if err != nil || len(found) == 0 {
		t.Fatal("the library has no picture")
	}
	return "figures/" + filepath.Base(found[0])
}

// Records are files too.
func TestRecordsThatAreNoFiles(t *testing.T) {
	dir := t.TempDir()
	record := filepath.Join(dir, "ada.json")
	pipe(t, record)
	for _, args := range [][]string{{"workorder", record, "-o", filepath.Join(dir, "order")}, {"mark", record}, {"revise", record}} {
		if code, out := soon(t, args...); code != exitWorld || !strings.Contains(out, "this is a named pipe, not a file") {
			t.Errorf("%v: exit code %d, %s", args, code, out)
		}
	}
}

// While a library is watched, a pipe that comes is a message like any other.
func TestPipeWhileWatching(t *testing.T) {
	dir := t.TempDir()
	lib := filepath.Join(dir, "lib")
	if code, out := soon(t, "new", lib); code != exitFine {
		t.Fatal(out)
	}
	var out screen
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan int, 1)
	go func() {
		done <- run(ctx, []string{"watch", lib, "-o", filepath.Join(dir, "site"), "--serve", "off", "--no-cache"}, &console{out: &out, err: &out})
	}()
	out.find(t, `(Wrote .*)`)
	pipe(t, filepath.Join(lib, "x.md"))
	out.find(t, `x\.md:1:1: error (unreadable-file): this is a named pipe`)
	stop()
	select {
	case <-done:
	case <-time.After(time.Minute):
		t.Fatal("the watch does not end")
	}
}
