package lsp

import (
	"context"
	"encoding/json"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"
	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/content"
	messages "matchmark/procedure/diagnostic"
)

// editor is a client on the other end of a stream.
type editor struct {
	t      *testing.T
	conn   *jsonrpc2.Conn
	folder string
	shown  chan shown
	done   chan error
}

type shown struct {
	URI         string       `json:"uri"`
	Diagnostics []diagnostic `json:"diagnostics"`
}

// start opens an editor on a copy of the demo.
func start(t *testing.T, capabilities string) *editor {
	t.Helper()
	folder := t.TempDir()
	assert.NilError(t, os.CopyFS(folder, content.Library()))
	return startIn(t, folder, capabilities)
}

func startIn(t *testing.T, folder, capabilities string) *editor {
	t.Helper()
	here, there := net.Pipe()
	e := &editor{t: t, folder: folder, shown: make(chan shown, 1000), done: make(chan error, 1)}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	go func() { e.done <- Serve(ctx, there, "test") }()
	e.conn = jsonrpc2.NewConn(ctx, jsonrpc2.NewBufferedStream(here, jsonrpc2.VSCodeObjectCodec{}), jsonrpc2.HandlerWithError(
		func(_ context.Context, _ *jsonrpc2.Conn, r *jsonrpc2.Request) (any, error) {
			if r.Method == "textDocument/publishDiagnostics" {
				var s shown
				if err := json.Unmarshal(*r.Params, &s); err != nil {
					return nil, err
				}
				e.shown <- s
			}
			return nil, nil
		}))
	var about map[string]any
	e.call("initialize", json.RawMessage(`{"rootUri":"`+uriOf(folder)+`","capabilities":`+capabilities+`}`), &about)
	e.tell("initialized", json.RawMessage(`{}`))
	return e
}

func (e *editor) call(method string, params, result any) {
	e.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	assert.NilError(e.t, e.conn.Call(ctx, method, params, result), method)
}

func (e *editor) tell(method string, params any) {
	e.t.Helper()
	assert.NilError(e.t, e.conn.Notify(context.Background(), method, params))
}

func (e *editor) uri(name string) string { return uriOf(filepath.Join(e.folder, name)) }

func (e *editor) open(name string) string {
	e.t.Helper()
	src, err := os.ReadFile(filepath.Join(e.folder, name))
	assert.NilError(e.t, err)
	e.openAs(name, string(src))
	return string(src)
}

func (e *editor) openAs(name, src string) {
	e.tell("textDocument/didOpen", map[string]any{"textDocument": textDocument{documentID{URI: e.uri(name), Version: 1}, src}})
}

func (e *editor) replace(name, src string) {
	e.tell("textDocument/didChange", map[string]any{"textDocument": documentID{e.uri(name), 2}, "contentChanges": []contentChange{{Text: src}}})
}

// wait waits for messages on a file that fulfil a condition.
func (e *editor) wait(name string, fits func([]diagnostic) bool) []diagnostic {
	e.t.Helper()
	limit := time.After(5 * time.Minute)
	for {
		select {
		case s := <-e.shown:
			if s.URI == e.uri(name) && fits(s.Diagnostics) {
				return s.Diagnostics
			}
		case <-limit:
			e.t.Fatal("no such messages came for " + name)
		}
	}
}

func has(code string) func([]diagnostic) bool {
	return func(all []diagnostic) bool {
		for _, d := range all {
			if d.Code == code {
				return true
			}
		}
		return false
	}
}

// at is the position of words in a text, plus some bytes.
func at(src, words string, more int) position {
	i := strings.Index(src, words)
	if i < 0 {
		panic("not there: " + words)
	}
	return linesOf([]byte(src), true).position(i + more)
}

func (e *editor) in(name string, p position) atPosition {
	return atPosition{documentID{URI: e.uri(name)}, p}
}

const mixer = "procedures/mixer-gearbox-out.md"

func TestMessagesComeAndGo(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	e.wait(mixer, func(all []diagnostic) bool { return !has("unknown-name")(all) })
	broken := strings.Replace(src, "- [ ] remove ", "- [ ] remove nothing-known, ", 1)
	e.replace(mixer, broken)
	found := e.wait(mixer, func(all []diagnostic) bool {
		for _, d := range all {
			if strings.Contains(d.Message, "nothing-known") {
				return true
			}
		}
		return false
	})
	assert.Assert(t, len(found) > 0)
	e.replace(mixer, src)
	e.wait(mixer, func(all []diagnostic) bool {
		for _, d := range all {
			if strings.Contains(d.Message, "nothing-known") {
				return false
			}
		}
		return true
	})
	e.call("shutdown", nil, nil)
	e.tell("exit", nil)
	assert.NilError(t, <-e.done)
}

func TestCompletion(t *testing.T) {
	e := start(t, `{"textDocument":{"completion":{"completionItem":{"snippetSupport":true}}}}`)
	src := e.open(mixer)
	for _, c := range []struct{ write, want, without string }{
		{"\n- [ ] sup", "support", "remove"},
		{"\n- [ ] drain ", "gear-oil", "hoist"},
		{"\n::: cau", "caution", "tip"},
		{"\n::: caution {about=", "gearbox", ""},
		{"\n::: caution {ab", "about", ""},
		{"\n## A step {#a-step}\n{time=3 needs=", "isolated", "hoist"},
		{"\n## A step {#a-step}\n{time=3 tools=\"", "ratchet", "hoist"},
		{"\n## A step {#a-step}\n{time=3 af", "after", "time"},
		{"\nSee `", "gearbox", ""},
		{"\nAs in [the step](#", "lift", ""},
	} {
		text := src + c.write
		e.replace(mixer, text)
		var out struct{ Items []completionItem }
		e.call("textDocument/completion", e.in(mixer, at(text, c.write, len(c.write))), &out)
		var labels []string
		for _, i := range out.Items {
			labels = append(labels, i.Label)
		}
		all := " " + strings.Join(labels, " ") + " "
		if !strings.Contains(all, " "+c.want+" ") {
			t.Errorf("%q: no %s among %s", c.write, c.want, all)
		}
		if c.without != "" && strings.Contains(all, " "+c.without+" ") {
			t.Errorf("%q: %s among %s", c.write, c.without, all)
		}
	}
}

func TestHoverSaysWhatANameMeans(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	for _, c := range []struct{ at, want string }{
		{"support gearbox with hoist", "held by"},      // the part
		{"keep 19: it holds", "lbf·ft"},                // a fastener, in both units
		{"drain gear-oil into", "fluids"},              // the fluid
		{"## Put the hoist on {#hoist-on", "10"},       // the step's time
		{"## Take the rear bolt out {#rear-bolt", "→"}, // what the step changes
		{"after=left-foot-off figure=on", "Take the left foot off"},
		{"people=2 tools", "how many people"},
		{"::: inspect {of=gear-oil}", "inspect"},
	} {
		words := c.at
		more := len(words) - 3
		switch {
		case strings.HasPrefix(words, "support"):
			more = len("support ge")
		case strings.HasPrefix(words, "keep"):
			more = len("keep 1")
		case strings.HasPrefix(words, "drain"):
			more = len("drain ge")
		case strings.HasPrefix(words, "after"):
			more = len("after=le")
		case strings.HasPrefix(words, "people"):
			more = 2
		case strings.HasPrefix(words, ":::"):
			more = 6
		}
		var h *hover
		e.call("textDocument/hover", e.in(mixer, at(src, words, more)), &h)
		if h == nil || !strings.Contains(h.Contents.Value, c.want) {
			t.Errorf("%q: %v, want %q", c.at, h, c.want)
		}
	}
}

func TestDefinitionAndUses(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	var def location
	e.call("textDocument/definition", e.in(mixer, at(src, "support gearbox with", len("support ge"))), &def)
	assert.Equal(t, def.URI, e.uri("machines/spiral-mixer.md"))
	machine, err := os.ReadFile(filepath.Join(e.folder, "machines/spiral-mixer.md"))
	assert.NilError(t, err)
	l := linesOf(machine, true)
	assert.Equal(t, string(machine[l.offset(def.Range.Start):l.offset(def.Range.End)]), "gearbox")
	var uses []location
	e.call("textDocument/references", map[string]any{"textDocument": documentID{URI: e.uri(mixer)}, "position": at(src, "after=left-foot-off", len("after=le")), "context": map[string]any{"includeDeclaration": true}}, &uses)
	assert.Assert(t, len(uses) >= 4, "%v", uses)
}

// TestRenameChangesNoPage: a library in which a name was changed everywhere says the same.
func TestRenameChangesEveryPlace(t *testing.T) {
	for _, c := range []struct{ at, more, to string }{
		{"support gearbox with", "support ge", "gear-case"},
		{"after=left-foot-off", "after=le", "foot-gone"},
		{"drain gear-oil into", "drain ge", "old-oil"},
		{"keep 19: it holds", "keep 1", "919"},
	} {
		e := start(t, `{}`)
		src := e.open(mixer)
		var edit workspaceEdit
		err := e.conn.Call(context.Background(), "textDocument/rename", map[string]any{"textDocument": documentID{URI: e.uri(mixer)}, "position": at(src, c.at, len(c.more)), "newName": c.to}, &edit)
		assert.NilError(t, err, c.to)
		assert.Assert(t, len(edit.Changes) > 0)
		before := checked(t, e.folder)
		for uri, edits := range edit.Changes {
			name := fileOf(uri)
			src, err := os.ReadFile(name)
			assert.NilError(t, err)
			assert.NilError(t, os.WriteFile(name, apply(src, edits), 0o600))
		}
		assert.DeepEqual(t, checked(t, e.folder), before)
	}
}

// apply makes edits in a text, from the last to the first.
func apply(src []byte, edits []textEdit) []byte {
	l := linesOf(src, true)
	out := string(src)
	for {
		best, last := -1, -1
		for i, e := range edits {
			if at := l.offset(e.Range.Start); at > last {
				best, last = i, at
			}
		}
		if best < 0 {
			return []byte(out)
		}
		e := edits[best]
		out = out[:l.offset(e.Range.Start)] + e.NewText + out[l.offset(e.Range.End):]
		edits = append(append([]textEdit{}, edits[:best]...), edits[best+1:]...)
	}
}

// checked are the codes of a library's messages, with how often each is told.
func checked(t *testing.T, folder string) map[string]int {
	t.Helper()
	var log messages.Log
	_, err := compile.Load(os.DirFS(folder), &log)
	assert.NilError(t, err)
	out := map[string]int{}
	for _, d := range log.Sorted() {
		out[string(d.Code)]++
		t.Log(d.At(), d.Says(), d.Advice)
	}
	return out
}

func TestRenameSaysWhatStandsInTheWay(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	for to, want := range map[string]string{"Gear Box": "lower-case", "hub": "already", "17": "lower-case"} {
		var edit workspaceEdit
		err := e.conn.Call(context.Background(), "textDocument/rename", map[string]any{"textDocument": documentID{URI: e.uri(mixer)}, "position": at(src, "support gearbox with", len("support ge")), "newName": to}, &edit)
		assert.ErrorContains(t, err, want)
	}
}

func TestOutlineFoldsLinksAndTokens(t *testing.T) {
	e := start(t, `{"textDocument":{"documentSymbol":{"hierarchicalDocumentSymbolSupport":true}}}`)
	src := e.open(mixer)
	var tree []documentSymbol
	e.call("textDocument/documentSymbol", e.in(mixer, position{}), &tree)
	var names []string
	var walk func([]documentSymbol, area)
	walk = func(all []documentSymbol, in area) {
		for _, s := range all {
			names = append(names, s.Name)
			assert.Assert(t, !before(s.Range.Start, in.Start) && !before(in.End, s.Range.End), "%s %v lies outside of %v", s.Name, s.Range, in)
			assert.Assert(t, !before(s.SelectionRange.Start, s.Range.Start) && !before(s.Range.End, s.SelectionRange.End), s.Name)
			walk(s.Children, s.Range)
		}
	}
	walk(tree, area{End: position{1 << 30, 0}})
	assert.Assert(t, len(names) >= strings.Count(src, "\n## "), "%v", names)
	var folds []foldingRange
	e.call("textDocument/foldingRange", e.in(mixer, position{}), &folds)
	assert.Assert(t, len(folds) >= strings.Count(src, "\n## "))
	var links []documentLink
	e.call("textDocument/documentLink", e.in(mixer, position{}), &links)
	for _, l := range links {
		_, err := os.Stat(fileOf(l.Target))
		assert.NilError(t, err)
	}
	var tokens struct{ Data []int }
	e.call("textDocument/semanticTokens/full", e.in(mixer, position{}), &tokens)
	assert.Assert(t, len(tokens.Data) > 500 && len(tokens.Data)%5 == 0)
	line := 0
	for i := 0; i < len(tokens.Data); i += 5 {
		assert.Assert(t, tokens.Data[i] >= 0 && (tokens.Data[i] > 0 || i == 0 || tokens.Data[i+1] > 0) && tokens.Data[i+2] > 0)
		line += tokens.Data[i]
	}
	assert.Assert(t, line <= strings.Count(src, "\n"))
}

func before(a, b position) bool {
	return a.Line < b.Line || a.Line == b.Line && a.Character < b.Character
}

func TestCodeActionsMend(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	broken := strings.Replace(src, "support gearbox with", "support gearbx with", 1)
	e.replace(mixer, broken)
	found := e.wait(mixer, func(all []diagnostic) bool {
		for _, d := range all {
			if strings.Contains(d.Message, "gearbx") {
				return true
			}
		}
		return false
	})
	var actions []codeAction
	for _, d := range found {
		if strings.Contains(d.Message, "gearbx") {
			e.call("textDocument/codeAction", map[string]any{"textDocument": documentID{URI: e.uri(mixer)}, "range": d.Range, "context": map[string]any{"diagnostics": []diagnostic{d}}}, &actions)
		}
	}
	for _, a := range actions {
		if a.Edit != nil && a.IsPreferred {
			assert.Equal(t, string(apply([]byte(broken), a.Edit.Changes[e.uri(mixer)])), src)
			return
		}
	}
	t.Fatalf("nothing mends it: %v", actions)
}

func TestFormattingIsTidy(t *testing.T) {
	e := start(t, `{}`)
	src := e.open(mixer)
	var edits []textEdit
	e.call("textDocument/formatting", e.in(mixer, position{}), &edits)
	assert.Equal(t, len(edits), 0, "the demo is tidy")
	e.replace(mixer, strings.Replace(src, "\n\n## ", "\n\n\n\n## ", 3))
	e.call("textDocument/formatting", e.in(mixer, position{}), &edits)
	assert.Equal(t, string(apply([]byte(strings.Replace(src, "\n\n## ", "\n\n\n\n## ", 3)), edits)), src)
}
