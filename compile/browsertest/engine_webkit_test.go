//go:build browser && engines

package browsertest

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"gotest.tools/v3/assert"
)

// free returns an address of this machine that nobody listens at.
func free(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	assert.NilError(t, err)
	defer l.Close()
	return l.Addr().String()
}

// begin starts a program, which ends with the test, and returns what it writes.
func begin(t *testing.T, environment []string, name string, arguments ...string) io.Reader {
	t.Helper()
	command := exec.Command(name, arguments...)
	command.Env = append(os.Environ(), environment...)
	out, in, err := os.Pipe()
	assert.NilError(t, err)
	command.Stdout, command.Stderr = in, in
	if err := command.Start(); err != nil {
		t.Fatalf("%v: make test-all installs what is missing", err)
	}
	in.Close()
	t.Cleanup(func() {
		command.Process.Kill()
		command.Wait() // it was killed, and says so
		out.Close()
	})
	return out
}

// lineOf waits for what a pattern says in what a program writes, and reads on until the program ends.
func lineOf(t *testing.T, out io.Reader, pattern string) string {
	t.Helper()
	var all []string
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if found := regexp.MustCompile(pattern).FindString(lines.Text()); found != "" {
			go io.Copy(io.Discard, out)
			return found
		}
		all = append(all, lines.Text())
	}
	t.Fatalf("no %s in %q", pattern, all)
	return ""
}

// webKit is driven by the WebDriver protocol.
// Source: W3C, WebDriver.
type webKit struct {
	t       *testing.T
	session string // its address
}

func startWebKit(t *testing.T) engine {
	display := lineOf(t, begin(t, nil, "Xvfb", "-displayfd", "1", "-screen", "0", "1400x1400x24", "-nolisten", "tcp"), `^\d+$`)
	browsers, err := filepath.Glob("/usr/lib/*/webkit2gtk-4.*/MiniBrowser")
	if err != nil || len(browsers) == 0 {
		t.Fatalf("there is no MiniBrowser of WebKit: make test-all installs it (%v)", err)
	}
	at := free(t)
	_, port, _ := net.SplitHostPort(at)
	go io.Copy(io.Discard, begin(t, []string{"DISPLAY=:" + display, "HOME=" + newProfile(t)}, "WebKitWebDriver", "--port="+port))
	if !until(t, forPage, func() bool {
		c, err := net.Dial("tcp", at)
		if err == nil {
			c.Close()
		}
		return err == nil
	}) {
		t.Fatal("WebKit's driver does not answer")
	}
	w := &webKit{t: t, session: "http://" + at + "/session"}
	var begun struct{ SessionID string }
	w.call(http.MethodPost, "", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{
		"browserName": "MiniBrowser", "webkitgtk:browserOptions": map[string]any{"binary": browsers[0], "args": []string{"--automation"}},
	}}}, &begun)
	w.session += "/" + begun.SessionID
	t.Cleanup(func() { w.call(http.MethodDelete, "", nil, nil) })
	w.call(http.MethodPost, "/timeouts", map[string]any{"script": patience(t, forNetwork).Milliseconds()}, nil)
	return w
}

func (w *webKit) call(method, command string, with, into any) {
	w.t.Helper()
	body, err := json.Marshal(with)
	if err != nil {
		w.t.Fatal(err)
	}
	if with == nil {
		body = nil
	}
	ask, err := http.NewRequest(method, w.session+command, bytes.NewReader(body))
	if err != nil {
		w.t.Fatal(err)
	}
	reply, err := (&http.Client{Timeout: patience(w.t, forNetwork)}).Do(ask)
	if err != nil {
		w.t.Fatal(err)
	}
	defer reply.Body.Close()
	var said struct{ Value json.RawMessage }
	if err := json.NewDecoder(reply.Body).Decode(&said); err != nil || reply.StatusCode != http.StatusOK {
		w.t.Fatalf("%s %s: %s %s %v", method, command, reply.Status, said.Value, err)
	}
	if into != nil {
		if err := json.Unmarshal(said.Value, into); err != nil {
			w.t.Fatal(err)
		}
	}
}

func (w *webKit) open(address string) {
	w.t.Helper()
	w.call(http.MethodPost, "/url", map[string]any{"url": address}, nil)
}

// resize makes the window larger than the page by what surrounds it.
func (w *webKit) resize(width, height int) {
	w.t.Helper()
	for range 2 {
		var is, window struct{ Width, Height int }
		if err := json.Unmarshal([]byte(w.evaluate(`{width: innerWidth, height: innerHeight}`)), &is); err != nil {
			w.t.Fatal(err)
		}
		if is.Width == width && is.Height == height {
			return
		}
		w.call(http.MethodGet, "/window/rect", nil, &window)
		w.call(http.MethodPost, "/window/rect", map[string]any{"x": 0, "y": 0, "width": window.Width + width - is.Width, "height": window.Height + height - is.Height}, nil)
	}
}

func (w *webKit) tap(at spot) {
	w.t.Helper()
	w.call(http.MethodPost, "/actions", map[string]any{"actions": touches("mouse", at)}, nil)
}

func (w *webKit) typed(text string) {
	w.t.Helper()
	w.call(http.MethodPost, "/actions", map[string]any{"actions": strokes(text)}, nil)
}

func (w *webKit) evaluate(expression string) string {
	w.t.Helper()
	var said string
	w.call(http.MethodPost, "/execute/async", map[string]any{
		"script": fmt.Sprintf(`const done = arguments[0]; Promise.resolve((() => `+asText+`)()).then(done, e => done("failed: " + e))`, expression), "args": []any{},
	}, &said)
	return said
}

func (w *webKit) screenshot() []byte {
	w.t.Helper()
	var shot []byte
	w.call(http.MethodGet, "/screenshot", nil, &shot)
	return shot
}
