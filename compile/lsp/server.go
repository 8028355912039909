// Package lsp speaks the Language Server Protocol 3.17: it answers an editor what may stand at a place, what a name means,
// where it is used and what is wrong, from the text as it is typed.
// Source: Microsoft, Language Server Protocol Specification 3.17.
package lsp

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/sourcegraph/jsonrpc2"

	"matchmark/compile/assist"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Serve answers the editor at the other end of a stream until it says exit, the stream ends or ctx does.
func Serve(ctx context.Context, stream io.ReadWriteCloser, version string) error {
	s := &server{version: version, wide: true, desks: map[string]*library{}, open: map[string]*document{}}
	ctx, s.end = context.WithCancel(ctx)
	defer s.end()
	// The protocol's messages have the stream for themselves; what goes wrong with it is for the editor's log.
	reads := &codec{}
	conn := jsonrpc2.NewConn(ctx, jsonrpc2.NewBufferedStream(stream, reads),
		jsonrpc2.HandlerWithError(s.handle).SuppressErrClosed(), jsonrpc2.SetLogger(log.New(os.Stderr, "", 0)))
	s.conn = conn
	select {
	case <-conn.DisconnectNotify():
	case <-ctx.Done():
	}
	conn.Close()
	s.working.Wait()
	if reads.wrong != nil && ctx.Err() == nil {
		return fmt.Errorf("%w: an editor starts this command and talks to it", reads.wrong)
	}
	if s.unasked {
		return errors.New("the editor ended without asking for a shutdown")
	}
	return nil
}

type server struct {
	version string
	conn    *jsonrpc2.Conn
	end     context.CancelFunc
	working sync.WaitGroup

	// What the editor said it can do.
	started, stopping, unasked bool
	wide, snippets, tree       bool
	watches                    bool
	folders                    []string

	mu    sync.Mutex
	desks map[string]*library  // by folder
	open  map[string]*document // by address
}

// document is a file that the editor has open.
type document struct {
	uri     string
	library *library
	name    string // in the library
	*lines
}

// handler answers one method.
type handler func(s *server, ctx context.Context, params json.RawMessage) (any, error)

var handlers map[string]handler

func init() {
	handlers = map[string]handler{
		"initialize":                       on((*server).initialize),
		"initialized":                      on((*server).initialized),
		"shutdown":                         func(s *server, _ context.Context, _ json.RawMessage) (any, error) { s.stopping = true; return nil, nil },
		"textDocument/didOpen":             on((*server).didOpen),
		"textDocument/didChange":           on((*server).didChange),
		"textDocument/didClose":            on((*server).didClose),
		"textDocument/didSave":             on((*server).didSave),
		"workspace/didChangeWatchedFiles":  on((*server).didChangeFiles),
		"textDocument/completion":          on((*server).completion),
		"textDocument/hover":               on((*server).hover),
		"textDocument/definition":          on((*server).definition),
		"textDocument/references":          on((*server).references),
		"textDocument/prepareRename":       on((*server).prepareRename),
		"textDocument/rename":              on((*server).rename),
		"textDocument/documentSymbol":      on((*server).symbols),
		"textDocument/foldingRange":        on((*server).folds),
		"textDocument/documentLink":        on((*server).links),
		"textDocument/codeAction":          on((*server).codeActions),
		"textDocument/formatting":          on((*server).format),
		"textDocument/semanticTokens/full": on((*server).tokens),
		"workspace/executeCommand":         on((*server).execute),
	}
}

// on makes a handler of a method with parameters of a type.
func on[P any](f func(*server, context.Context, P) (any, error)) handler {
	return func(s *server, ctx context.Context, params json.RawMessage) (any, error) {
		var p P
		if len(params) > 0 {
			if err := json.Unmarshal(params, &p); err != nil {
				return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidParams, Message: err.Error()}
			}
		}
		return f(s, ctx, p)
	}
}

// The errors of the protocol itself.
const (
	codeNotStarted = -32002
	codeFailed     = -32803
)

// handle answers one message. They are answered one after the other, so that an answer is about the text that the editor
// had when it asked.
func (s *server) handle(ctx context.Context, _ *jsonrpc2.Conn, r *jsonrpc2.Request) (result any, err error) {
	defer func() {
		if cause := recover(); cause != nil { // the next question may go well
			err = &jsonrpc2.Error{Code: jsonrpc2.CodeInternalError, Message: fmt.Sprintf("%s: this is a fault of matchmark's own: %v", r.Method, cause)}
		}
	}()
	if r.Method == "exit" {
		s.unasked = !s.stopping
		s.end()
		return nil, nil
	}
	h := handlers[r.Method]
	switch {
	case h == nil && r.Notif:
		return nil, nil // "$/..." and whatever else nobody needs
	case h == nil:
		return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeMethodNotFound, Message: r.Method + " is not answered here"}
	case !s.started && r.Method != "initialize":
		return nil, &jsonrpc2.Error{Code: codeNotStarted, Message: "initialize comes first"}
	case s.stopping && !r.Notif && r.Method != "shutdown":
		return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidRequest, Message: "the server is shutting down"}
	}
	var params json.RawMessage
	if r.Params != nil {
		params = *r.Params
	}
	return h(s, ctx, params)
}

func (s *server) initialize(_ context.Context, p initializeParams) (any, error) {
	s.started = true
	encoding := "utf-16"
	if slices.Contains(p.Capabilities.General.PositionEncodings, "utf-8") {
		encoding, s.wide = "utf-8", false
	}
	s.snippets = p.Capabilities.TextDocument.Completion.CompletionItem.SnippetSupport
	s.tree = p.Capabilities.TextDocument.DocumentSymbol.HierarchicalDocumentSymbolSupport
	s.watches = p.Capabilities.Workspace.DidChangeWatchedFiles.DynamicRegistration
	for _, f := range p.WorkspaceFolders {
		s.folders = append(s.folders, f.URI)
	}
	if len(s.folders) == 0 && p.RootURI != "" {
		s.folders = []string{p.RootURI}
	}
	return map[string]any{
		"serverInfo": map[string]any{"name": "matchmark", "version": s.version},
		"capabilities": map[string]any{
			"positionEncoding":           encoding,
			"textDocumentSync":           map[string]any{"openClose": true, "change": 2, "save": map[string]any{"includeText": false}},
			"completionProvider":         map[string]any{"triggerCharacters": []string{":", "{", "=", "\"", "`", ".", "#", "|", ",", " "}},
			"hoverProvider":              true,
			"definitionProvider":         true,
			"referencesProvider":         true,
			"renameProvider":             map[string]any{"prepareProvider": true},
			"documentSymbolProvider":     true,
			"foldingRangeProvider":       true,
			"documentLinkProvider":       map[string]any{},
			"codeActionProvider":         map[string]any{"codeActionKinds": []string{"quickfix", "source"}},
			"documentFormattingProvider": true,
			"semanticTokensProvider":     map[string]any{"legend": map[string]any{"tokenTypes": tokenTypes, "tokenModifiers": []string{}}, "full": true},
			"executeCommandProvider":     map[string]any{"commands": []string{refittingCommand}},
		},
	}, nil
}

func (s *server) initialized(ctx context.Context, _ struct{}) (any, error) {
	if !s.watches {
		return nil, nil
	}
	watchers := []map[string]any{{"globPattern": "**/*"}}
	s.working.Go(func() { // the answer comes by the connection that waits for this handler
		var none any
		_ = s.conn.Call(ctx, "client/registerCapability", map[string]any{"registrations": []map[string]any{
			{"id": "files", "method": "workspace/didChangeWatchedFiles", "registerOptions": map[string]any{"watchers": watchers}},
		}}, &none) // an editor that does not watch tells what it saves
	})
	return nil, nil
}

// fileOf is the path of a file on this computer; empty for another address.
func fileOf(uri string) string {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" {
		return ""
	}
	name := u.Path
	if runtime.GOOS == "windows" {
		name = strings.TrimPrefix(name, "/")
	}
	return filepath.Clean(filepath.FromSlash(name))
}

// uriOf is the address of a file on this computer.
func uriOf(file string) string {
	name := filepath.ToSlash(file)
	if !strings.HasPrefix(name, "/") {
		name = "/" + name
	}
	return (&url.URL{Scheme: "file", Path: name}).String()
}

// libraryOf is the folder of the library that a file is in: the nearest above it with settings, else the folder that the
// editor works in, else the file's own.
func (s *server) libraryOf(file string) string {
	for dir := filepath.Dir(file); ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, source.SettingsFile)); err == nil {
			return dir
		}
		if dir == filepath.Dir(dir) {
			break
		}
	}
	for _, f := range s.folders {
		if dir := fileOf(f); dir != "" && strings.HasPrefix(file, dir+string(filepath.Separator)) {
			return dir
		}
	}
	return filepath.Dir(file)
}

func (s *server) didOpen(ctx context.Context, p struct{ TextDocument textDocument }) (any, error) {
	file := fileOf(p.TextDocument.URI)
	if file == "" {
		return nil, nil // a file that is not saved anywhere belongs to no library
	}
	folder := s.libraryOf(file)
	within, err := filepath.Rel(folder, file)
	if err != nil {
		return nil, err
	}
	name := filepath.ToSlash(within)
	if !source.IsFile(name) && name != source.SettingsFile {
		return nil, nil
	}
	s.mu.Lock()
	l := s.desks[folder]
	if l == nil {
		l = &library{server: s, folder: folder, desk: assist.NewDesk(os.DirFS(folder)), again: make(chan struct{}, 1), shown: map[string]bool{}}
		s.desks[folder] = l
		s.working.Go(func() { l.watch(ctx) })
	}
	d := &document{uri: p.TextDocument.URI, library: l, name: name, lines: linesOf([]byte(p.TextDocument.Text), s.wide)}
	s.open[d.uri] = d
	s.mu.Unlock()
	l.desk.Type(name, d.src)
	l.check()
	return nil, nil
}

func (s *server) didChange(_ context.Context, p struct {
	TextDocument   documentID
	ContentChanges []contentChange
}) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.open[p.TextDocument.URI]
	if d == nil {
		return nil, nil
	}
	for _, c := range p.ContentChanges {
		if c.Range == nil {
			d.lines = linesOf([]byte(c.Text), s.wide)
			continue
		}
		from, to := d.offset(c.Range.Start), d.offset(c.Range.End)
		to = max(from, to)
		d.lines = linesOf(slices.Concat(d.src[:from], []byte(c.Text), d.src[to:]), s.wide)
	}
	d.library.desk.Type(d.name, d.src)
	d.library.check()
	return nil, nil
}

func (s *server) didClose(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if d := s.open[p.TextDocument.URI]; d != nil {
		delete(s.open, p.TextDocument.URI)
		d.library.desk.Close(d.name)
		d.library.check()
	}
	return nil, nil
}

func (s *server) didSave(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	s.changed(p.TextDocument.URI)
	return nil, nil
}

func (s *server) didChangeFiles(_ context.Context, p struct {
	Changes []struct {
		URI string `json:"uri"`
	} `json:"changes"`
}) (any, error) {
	for _, c := range p.Changes {
		s.changed(c.URI)
	}
	return nil, nil
}

// changed notes that a file has changed on disk.
func (s *server) changed(uri string) {
	file := fileOf(uri)
	if file == "" {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for folder, l := range s.desks {
		if name, err := filepath.Rel(folder, file); err == nil && filepath.IsLocal(name) {
			l.desk.Changed(filepath.ToSlash(name))
			l.check()
		}
	}
}

// document is an open file; nil for one that is not open or belongs to no library.
func (s *server) document(uri string) *document {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open[uri]
}

// address is the address of a file of a library.
func (l *library) address(name string) string {
	l.server.mu.Lock()
	defer l.server.mu.Unlock()
	for uri, d := range l.server.open {
		if d.library == l && d.name == name {
			return uri // as the editor writes it
		}
	}
	return uriOf(filepath.Join(l.folder, filepath.FromSlash(name)))
}

// location is a place of a library.
func (l *library) location(at text.Span) location {
	return location{l.address(at.File.Name), linesOf(at.File.Source, l.server.wide).place(at)}
}

// edits are changes of a library's files.
func (l *library) edits(all []rewrite.Edit) *workspaceEdit {
	out := &workspaceEdit{Changes: map[string][]textEdit{}}
	for _, e := range all {
		at := l.location(e.Span)
		out.Changes[at.URI] = append(out.Changes[at.URI], textEdit{at.Range, e.Text})
	}
	return out
}

// openNames are the files of the library that are open, in order.
func (l *library) openNames() (out []string) {
	l.server.mu.Lock()
	defer l.server.mu.Unlock()
	for _, d := range l.server.open {
		if d.library == l {
			out = append(out, d.name)
		}
	}
	slices.Sort(out)
	return out
}

// target is the address of a file that a link leads to.
func (l *library) target(name string) string {
	return uriOf(filepath.Join(l.folder, filepath.FromSlash(path.Clean(name))))
}
