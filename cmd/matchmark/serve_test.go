package main

import (
	"context"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
)

// servedClass is a class host in this process.
type servedClass struct {
	t       *testing.T
	library string
	data    string
	out     *screen
	err     *screen
	stop    context.CancelFunc
	ended   chan int
}

// serve starts a host on free ports.
func (s *servedClass) serve(more ...string) {
	s.t.Helper()
	var ctx context.Context
	ctx, s.stop = context.WithCancel(s.t.Context())
	s.out, s.err, s.ended = new(screen), new(screen), make(chan int, 1)
	args := append([]string{"serve", s.library, "--data", s.data, "--http", "0", "--https", "0"}, more...)
	out, err, ended := s.out, s.err, s.ended
	go func() { ended <- run(ctx, args, &console{out: out, err: err}) }()
}

// end ends the host and wants the exit code.
func (s *servedClass) end(want int) {
	s.t.Helper()
	s.stop()
	s.wait(want)
}

func (s *servedClass) wait(want int) {
	s.t.Helper()
	select {
	case code := <-s.ended:
		if code != want {
			s.t.Fatalf("exit code %d, want %d\n%s\n%s", code, want, s.out, s.err)
		}
	case <-time.After(time.Minute):
		s.t.Fatalf("the host does not end\n%s\n%s", s.out, s.err)
	}
}

// command runs another command beside the host.
func (s *servedClass) command(want int, args ...string) string {
	s.t.Helper()
	var both screen
	if code := run(s.t.Context(), args, &console{out: &both, err: &both}); code != want {
		s.t.Fatalf("%v: exit code %d, want %d\n%s", args, code, want, both.String())
	}
	return both.String()
}

// TestServe goes through the life of a class: first start, backup while it works,
// a second host, damage, and the backup brought back.
func TestServe(t *testing.T) {
	parent := t.TempDir()
	s := &servedClass{t: t, library: filepath.Join(parent, "library"), data: filepath.Join(parent, "class")}
	if _, err := starter.Write(s.library); err != nil {
		t.Fatal(err)
	}
	s.serve()
	address := s.out.find(t, `(?m)^  (http://127\.0\.0\.1:\d+/)$`)[1]
	s.out.find(t, `(?m)^  (https://127\.0\.0\.1:\d+/)$`)
	drawn := s.out.find(t, `The trainer's PIN is (\d{6})\.`)[1]
	s.out.find(t, `([0-9A-F]{2}:){31}[0-9A-F]{2}`)
	s.out.find(t, `Only this computer can open that`)
	s.out.find(t, `Press Ctrl-C to end`)
	enter := func(pin string, want int) {
		t.Helper()
		reply, err := http.Post(address+"board/pin", "application/json", strings.NewReader(`{"who":"Kim Holt","pin":"`+pin+`"}`))
		assert.NilError(t, err)
		reply.Body.Close()
		if reply.StatusCode != want {
			t.Errorf("the PIN %s: %s", pin, reply.Status)
		}
	}
	enter(drawn, http.StatusOK)
	if page := get(t, address); !strings.Contains(page, "/class/class.js") {
		t.Errorf("the start page is\n%s", page)
	}
	if text := s.command(exitFine, "backup", "--data", s.data); !strings.Contains(text, "Made and checked the backup") {
		t.Error(text)
	}
	for _, args := range [][]string{{"serve", s.library, "--data", s.data, "--http", "0"}, {"restore", "--data", s.data}} {
		if text := s.command(exitWorld, args...); !strings.Contains(text, "another class host works with the data folder") {
			t.Error(text)
		}
	}
	port := regexp.MustCompile(`\d+/$`).FindString(address)
	if text := s.command(exitWorld, "serve", s.library, "--data", filepath.Join(parent, "other"), "--http", strings.TrimSuffix(port, "/"), "--https", "off"); !strings.Contains(text, "is taken by another program") {
		t.Error(text)
	}
	s.end(exitFine)

	// Damage.
	file := filepath.Join(s.data, "class.db")
	info, err := os.Stat(file)
	assert.NilError(t, err)
	assert.NilError(t, os.Truncate(file, info.Size()/2))
	text := s.command(exitWorld, "serve", s.library, "--data", s.data, "--http", "0")
	if !regexp.MustCompile(`is damaged.*\n  do: the newest valid backup is \S+\.db; get it back with: matchmark restore --data `).MatchString(text) {
		t.Error(text)
	}
	if text := s.command(exitWorld, "backup", "--data", s.data); !strings.Contains(text, "damaged") && !strings.Contains(text, "malformed") {
		t.Error(text)
	}
	if text := s.command(exitFine, "restore", "--data", s.data); !strings.Contains(text, "Got back") || !strings.Contains(text, "before-") {
		t.Error(text)
	}
	s.serve()
	address = s.out.find(t, `(?m)^  (http://127\.0\.0\.1:\d+/)$`)[1]
	if strings.Contains(s.out.String(), "PIN is") {
		t.Error("the PIN that was set is gone, or shown")
	}
	s.out.find(t, `Press Ctrl-C to end`)
	enter(drawn, http.StatusOK)
	s.end(exitFine)

	// On the network.
	s.serve("--network", "--https", "off", "--name", "workshop.lan")
	s.out.find(t, `Press Ctrl-C to end`)
	if strings.Contains(s.out.String(), "Only this computer") || strings.Contains(s.out.String(), "https://") {
		t.Error(s.out.String())
	}
	address = s.out.find(t, `(?m)^  (http://127\.0\.0\.1:\d+/)board/$`)[1]
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	assert.NilError(t, err)
	for name, want := range map[string]int{"workshop.lan": http.StatusOK, "other.lan": http.StatusMisdirectedRequest} {
		r.Host = name
		reply, err := http.DefaultClient.Do(r)
		assert.NilError(t, err)
		reply.Body.Close()
		if reply.StatusCode != want {
			t.Errorf("by the name %s: %s", name, reply.Status)
		}
	}
	s.end(exitFine)
}

// The addresses are those of this computer, for a tablet to type.
func TestCodeOfAnAddress(t *testing.T) {
	text := code("http://" + net.JoinHostPort("192.168.4.20", "8080") + "/")
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	// Source: ISO/IEC 18004: version 2 has 25 modules; with the quiet zones 33.
	if len(lines) != 17 || len([]rune(lines[0])) != 33 || strings.Trim(lines[0], "█") != "" {
		t.Errorf("%d lines of %d\n%s", len(lines), len([]rune(lines[0])), text)
	}
	if strings.Count(text, " ") == 0 {
		t.Error("nothing is dark")
	}
}
