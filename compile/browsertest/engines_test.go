//go:build browser && engines

package browsertest

import (
	"bufio"
	"bytes"
	"context"
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

	"github.com/coder/websocket"
	"github.com/coder/websocket/wsjson"
	"gotest.tools/v3/assert"
)

// engine is a browser of another maker than Chromium's.
type engine interface {
	visit(address string)
	// script runs the body of a function in the page and returns the text that it returns.
	script(body string) string
}

// TestEngines opens the step view and a question of order in WebKit and in Firefox: scripts run, and there is
// something to see on all that is to be touched.
func TestEngines(t *testing.T) {
	s := compileDemo(t)
	for name, start := range map[string]func(*testing.T) engine{"WebKit": startWebKit, "Firefox": startFirefox} {
		t.Run(name, func(t *testing.T) {
			e := start(t)
			seen := func(where string) {
				t.Helper()
				var blank []string
				assert.NilError(t, json.Unmarshal([]byte(e.script(`return JSON.stringify(`+blankButtons+`)`)), &blank))
				for _, b := range blank {
					t.Errorf("%s: nothing is to be seen on %s", where, b)
				}
			}
			wait := func(expression string) {
				t.Helper()
				if !until(t, forPage, func() bool { return e.script(`return String(Boolean(`+expression+`))`) == "true" }) {
					t.Fatalf("waited in vain for %s", expression)
				}
			}
			e.visit(s.file(s.first("procedure/mixer-gearbox-out/steps*.html")) + "#hoist-on")
			wait(`window.matchmark && matchmark.job && document.querySelector("#hoist-on.shown button")`)
			seen("the step view")
			if got := e.script(`return String([...document.images].filter(i => !i.complete || i.naturalWidth === 0).length)`); got != "0" {
				t.Errorf("%s pictures are missing", got)
			}
			e.visit(s.file("quiz/mixer-quiz/index.html"))
			wait(`document.querySelector("#quiz-begin") && !document.querySelector("#quiz-begin").hidden`)
			e.script(`document.querySelector("#quiz-go").click(); return ""`)
			e.script(`document.querySelectorAll(".question").forEach(q => { q.hidden = q.id !== document.querySelector(".question.order").id; }); return ""`)
			if n := e.script(`return String([...document.querySelectorAll(".moves button")].filter(b => b.checkVisibility()).length)`); n == "0" {
				t.Error("the question of order has no arrows")
			}
			seen("a question of order")
		})
	}
}

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
	display := lineOf(t, begin(t, nil, "Xvfb", "-displayfd", "1", "-screen", "0", "1024x1024x24", "-nolisten", "tcp"), `^\d+$`)
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

func (w *webKit) visit(address string) {
	w.t.Helper()
	w.call(http.MethodPost, "/url", map[string]any{"url": address}, nil)
}

func (w *webKit) script(body string) string {
	w.t.Helper()
	var said string
	w.call(http.MethodPost, "/execute/sync", map[string]any{"script": body, "args": []any{}}, &said)
	return said
}

// firefox is driven by the WebDriver BiDi protocol, over a web socket of its own.
// Source: W3C, WebDriver BiDi.
type firefox struct {
	t      *testing.T
	socket *websocket.Conn
	number int
	page   string
}

func startFirefox(t *testing.T) engine {
	name := "firefox-esr"
	if _, err := exec.LookPath(name); err != nil {
		name = "firefox"
	}
	profile := newProfile(t)
	address := lineOf(t, begin(t, []string{"HOME=" + profile}, name, "--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"), `ws://\S+`)
	ctx, stop := context.WithTimeout(t.Context(), patience(t, forNetwork))
	defer stop()
	socket, _, err := websocket.Dial(ctx, address+"/session", nil)
	assert.NilError(t, err)
	socket.SetReadLimit(-1)
	f := &firefox{t: t, socket: socket}
	t.Cleanup(func() { socket.CloseNow() })
	f.call("session.new", map[string]any{"capabilities": map[string]any{}}, nil)
	var tree struct{ Contexts []struct{ Context string } }
	f.call("browsingContext.getTree", map[string]any{}, &tree)
	if len(tree.Contexts) == 0 {
		t.Fatal("Firefox has no page")
	}
	f.page = tree.Contexts[0].Context
	return f
}

func (f *firefox) call(method string, with, into any) {
	f.t.Helper()
	f.number++
	ctx, stop := context.WithTimeout(f.t.Context(), patience(f.t, forNetwork))
	defer stop()
	if err := wsjson.Write(ctx, f.socket, map[string]any{"id": f.number, "method": method, "params": with}); err != nil {
		f.t.Fatal(err)
	}
	for {
		var said struct {
			ID                   int
			Type, Error, Message string
			Result               json.RawMessage
		}
		if err := wsjson.Read(ctx, f.socket, &said); err != nil {
			f.t.Fatal(err)
		}
		if said.ID != f.number {
			continue // an event
		}
		if said.Type != "success" {
			f.t.Fatalf("%s: %s %s", method, said.Error, said.Message)
		}
		if into != nil {
			if err := json.Unmarshal(said.Result, into); err != nil {
				f.t.Fatal(err)
			}
		}
		return
	}
}

func (f *firefox) visit(address string) {
	f.t.Helper()
	f.call("browsingContext.navigate", map[string]any{"context": f.page, "url": address, "wait": "complete"}, nil)
}

func (f *firefox) script(body string) string {
	f.t.Helper()
	var said struct {
		Type             string
		Result           struct{ Value string }
		ExceptionDetails struct{ Text string }
	}
	f.call("script.evaluate", map[string]any{
		"expression": fmt.Sprintf("(() => { %s })()", body), "target": map[string]any{"context": f.page}, "awaitPromise": true,
	}, &said)
	if said.Type != "success" {
		f.t.Fatalf("%s: %s", abridged(body), said.ExceptionDetails.Text)
	}
	return said.Result.Value
}
