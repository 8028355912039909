//go:build browser && engines

package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"os/exec"
	"testing"

	"github.com/coder/websocket"
	"github.com/coder/websocket/wsjson"
	"gotest.tools/v3/assert"
)

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

func (f *firefox) open(address string) {
	f.t.Helper()
	f.call("browsingContext.navigate", map[string]any{"context": f.page, "url": address, "wait": "complete"}, nil)
}

func (f *firefox) resize(width, height int) {
	f.t.Helper()
	f.call("browsingContext.setViewport", map[string]any{"context": f.page, "viewport": map[string]int{"width": width, "height": height}}, nil)
}

func (f *firefox) tap(at spot) {
	f.t.Helper()
	f.call("input.performActions", map[string]any{"context": f.page, "actions": touches("touch", at)}, nil)
}

func (f *firefox) typed(text string) {
	f.t.Helper()
	f.call("input.performActions", map[string]any{"context": f.page, "actions": strokes(text)}, nil)
}

func (f *firefox) evaluate(expression string) string {
	f.t.Helper()
	var said struct {
		Type             string
		Result           struct{ Value string }
		ExceptionDetails struct{ Text string }
	}
	f.call("script.evaluate", map[string]any{
		"expression": fmt.Sprintf(asText, expression), "target": map[string]any{"context": f.page}, "awaitPromise": true,
	}, &said)
	if said.Type != "success" {
		f.t.Fatalf("%s: %s", abridged(expression), said.ExceptionDetails.Text)
	}
	return said.Result.Value
}

func (f *firefox) screenshot() []byte {
	f.t.Helper()
	var shot struct{ Data []byte }
	f.call("browsingContext.captureScreenshot", map[string]any{"context": f.page}, &shot)
	return shot.Data
}
