package preview

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

const startPage = `<!DOCTYPE html><html lang="de"><head>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'">
<title>Start</title></head><body></body></html>`

// site lays out a small site and returns its folder.
func site(t *testing.T) string {
	t.Helper()
	parent := t.TempDir()
	put(t, parent, "secret.txt", "not for the page")
	dir := filepath.Join(parent, "site")
	put(t, dir, "index.html", startPage)
	put(t, dir, ".matchmark-site", "list")
	put(t, dir, "assets/base.css", "body{}")
	put(t, dir, "assets/theme.js", "1")
	put(t, dir, "pictures/a.svg", "<svg/>")
	put(t, dir, "pictures/b.jpg", "jpeg")
	put(t, dir, "procedure/x/index.html", startPage)
	assert.NilError(t, os.Symlink(filepath.Join(parent, "secret.txt"), filepath.Join(dir, "out.txt")))
	return dir
}

func newServer(t *testing.T, dir string) *Server {
	t.Helper()
	s, err := NewServer(dir)
	assert.NilError(t, err)
	return s
}

func ask(s *Server, method, host, target string) *http.Response {
	r := httptest.NewRequest(method, "/", nil)
	r.Host, r.URL.Path = host, target
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

func body(t *testing.T, r *http.Response) string {
	t.Helper()
	content, err := io.ReadAll(r.Body)
	assert.NilError(t, err)
	return string(content)
}

func TestAnswers(t *testing.T) {
	s := newServer(t, site(t))
	const html = "text/html; charset=utf-8"
	for _, c := range []struct {
		path   string
		status int
		kind   string
	}{
		{"/", 200, html},
		{"/index.html", 200, html},
		{"/procedure/x/", 200, html},
		{"/procedure/x", 303, ""},
		{"/assets/base.css", 200, "text/css; charset=utf-8"},
		{"/assets/theme.js", 200, "text/javascript; charset=utf-8"},
		{"/pictures/a.svg", 200, "image/svg+xml"},
		{"/pictures/b.jpg", 200, "image/jpeg"},
		{"/.preview/preview.js", 200, "text/javascript; charset=utf-8"},
		{"/.preview/preview.css", 200, "text/css; charset=utf-8"},
		{"/.preview/state", 200, "application/json"},
		// No listing of folders, and nothing that is not a page of the site.
		{"/pictures/", 404, html},
		{"/pictures", 404, html},
		{"/assets", 404, html},
		{"/nowhere.html", 404, html},
		{"/nowhere.png", 404, "text/plain; charset=utf-8"},
		{"/.matchmark-site", 404, ""},
		{"/.preview/base.css", 404, ""},
		{"/../secret.txt", 404, ""},
		{"/assets/../../secret.txt", 404, ""},
		{"//secret.txt", 404, ""},
		{"/..\\secret.txt", 404, ""},
		{"/out.txt", 404, ""},
		{"/a\x00b", 404, ""},
	} {
		r := ask(s, "GET", "localhost:8017", c.path)
		content := body(t, r)
		if r.StatusCode != c.status || c.kind != "" && r.Header.Get("Content-Type") != c.kind {
			t.Errorf("%s: %d %q, want %d %q", c.path, r.StatusCode, r.Header.Get("Content-Type"), c.status, c.kind)
		}
		if strings.Contains(content, "not for the page") {
			t.Errorf("%s: read outside the site", c.path)
		}
		if r.Header.Get("X-Content-Type-Options") != "nosniff" || r.Header.Get("Cross-Origin-Resource-Policy") != "same-origin" {
			t.Errorf("%s: other sites may read the answer: %v", c.path, r.Header)
		}
	}
}

func TestHosts(t *testing.T) {
	s := newServer(t, site(t))
	for host, status := range map[string]int{
		"localhost": 200, "LOCALHOST:8017": 200, "127.0.0.1:8017": 200, "127.0.0.1": 200, "[::1]:8017": 200, "[::1]": 200, "127.8.9.1:1": 200,
		"": 403, "example.org": 403, "example.org:8017": 403, "localhost.example.org": 403, "127.0.0.1.example.org": 403,
		"192.168.1.2:8017": 403, "0.0.0.0:8017": 403, "[::]:8017": 403, "localhost@example.org": 403,
	} {
		for _, target := range []string{"/index.html", "/.preview/state"} {
			if r := ask(s, "GET", host, target); r.StatusCode != status {
				t.Errorf("host %q, %s: %d, want %d", host, target, r.StatusCode, status)
			}
		}
	}
}

func TestMethods(t *testing.T) {
	s := newServer(t, site(t))
	for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS", "PATCH"} {
		for _, target := range []string{"/", "/.preview/state", "/.preview/events"} {
			r := ask(s, method, "localhost", target)
			if r.StatusCode != 405 || r.Header.Get("Allow") != "GET, HEAD" {
				t.Errorf("%s %s: %d, Allow %q", method, target, r.StatusCode, r.Header.Get("Allow"))
			}
		}
	}
	for _, target := range []string{"/", "/.preview/events"} {
		if r := ask(s, "HEAD", "localhost", target); r.StatusCode != 200 || body(t, r) != "" {
			t.Errorf("HEAD %s: %d", target, r.StatusCode)
		}
	}
}

func TestPanelInThePage(t *testing.T) {
	s := newServer(t, site(t))
	page := body(t, ask(s, "GET", "localhost", "/"))
	for _, want := range []string{
		`content="connect-src 'self'; default-src 'none'`,
		`<script src="/.preview/preview.js" defer></script>`,
		`"fold":"Einklappen"`, // the words of the page's language
		"<title>Start</title>",
		"</head><body></body>",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q:\n%s", want, page)
		}
	}
	if asset := body(t, ask(s, "GET", "localhost", "/assets/base.css")); asset != "body{}" {
		t.Errorf("a file that is no page was changed: %q", asset)
	}
	// What an author writes must not end the element that carries it.
	assert.NilError(t, s.Show(Outcome{Failure: `</script><script>alert(1)</script>`}))
	if page := body(t, ask(s, "GET", "localhost", "/")); strings.Contains(page, "alert(1)</script>") {
		t.Errorf("a message became markup:\n%s", page)
	}
}

func TestSiteThatIsNotThereYet(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	s := newServer(t, dir)
	r := ask(s, "GET", "localhost", "/")
	page := body(t, r)
	if r.StatusCode != 404 || !strings.Contains(page, "There is no site yet") || !strings.Contains(page, "preview.js") {
		t.Errorf("%d:\n%s", r.StatusCode, page)
	}
	put(t, dir, "index.html", startPage)
	if page := body(t, ask(s, "GET", "localhost", "/nowhere.html")); !strings.Contains(page, "Diese Seite gibt es hier nicht") {
		t.Errorf("not in the site's language:\n%s", page)
	}
	if page := body(t, ask(s, "GET", "localhost", "/")); !strings.Contains(page, "<title>Start</title>") {
		t.Errorf("the new site is not served:\n%s", page)
	}
}

// unclosed is a message as a compile gives it.
func unclosed() diagnostic.Diagnostic {
	file := text.NewFile("machines/oven.md", []byte("one\n::: step x\n"))
	return diagnostic.Diagnostic{
		Code: "unclosed-block", Severity: diagnostic.Error, Span: file.Span(4, 7), Wrong: say.That("not closed"), Advice: say.That("Close it."),
		See: []diagnostic.Related{{Span: file.Span(0, 3), Says: say.That("here")}},
	}
}

// shown is the panel's data as the script reads it.
type shown struct {
	Edition     string
	Written     bool
	Failure     string
	Diagnostics []struct {
		Code, Severity, File, Message, Do string
		Line, Column                      int
		See                               []struct {
			File, Why    string
			Line, Column int
		}
	}
}

func decode(t *testing.T, data string) shown {
	t.Helper()
	var out shown
	if err := json.Unmarshal([]byte(data), &out); err != nil {
		t.Fatalf("%v in %s", err, data)
	}
	return out
}

func TestPanelData(t *testing.T) {
	s := newServer(t, site(t))
	state := func() shown { return decode(t, body(t, ask(s, "GET", "localhost", "/.preview/state"))) }
	before := state()
	if !before.Written || before.Diagnostics == nil || len(before.Diagnostics) != 0 {
		t.Errorf("before the first compile: %+v", before)
	}
	assert.NilError(t, s.Show(Outcome{Diagnostics: []diagnostic.Diagnostic{unclosed()}}))
	failed := state()
	if failed.Written || failed.Edition != before.Edition || len(failed.Diagnostics) != 1 {
		t.Fatalf("after errors: %+v", failed)
	}
	d := failed.Diagnostics[0]
	if at := fmt.Sprintf("%s:%d:%d %s %s: %s %s", d.File, d.Line, d.Column, d.Severity, d.Code, d.Message, d.Do); at != "machines/oven.md:2:1 error unclosed-block: not closed Close it." {
		t.Errorf("the message is %q", at)
	}
	if len(d.See) != 1 || d.See[0].Line != 1 || d.See[0].Why != "here" {
		t.Errorf("the second place is %+v", d.See)
	}
	assert.NilError(t, s.Show(Outcome{Written: true}))
	if after := state(); !after.Written || after.Edition == before.Edition || len(after.Diagnostics) != 0 {
		t.Errorf("after a compile that wrote the site: %+v", after)
	}
}

func TestEvents(t *testing.T) {
	s := newServer(t, site(t))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	listener, err := Listen(ctx, "127.0.0.1:0")
	assert.NilError(t, err)
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, listener) }()

	r, err := http.Get("http://" + listener.Addr().String() + "/.preview/events")
	assert.NilError(t, err)
	defer r.Body.Close()
	if kind := r.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Errorf("content type %q", kind)
	}
	lines := bufio.NewScanner(r.Body)
	next := func() shown {
		for lines.Scan() {
			if data, ok := bytes.CutPrefix(lines.Bytes(), []byte("data: ")); ok {
				return decode(t, string(data))
			}
		}
		t.Fatalf("the stream ended: %v", lines.Err())
		return shown{}
	}
	first := next()
	assert.NilError(t, s.Show(Outcome{Diagnostics: []diagnostic.Diagnostic{unclosed()}}))
	if e := next(); e.Written || len(e.Diagnostics) != 1 || e.Edition != first.Edition {
		t.Errorf("after errors: %+v", e)
	}
	assert.NilError(t, s.Show(Outcome{Written: true}))
	if e := next(); !e.Written || e.Edition == first.Edition {
		t.Errorf("after a compile that wrote the site: %+v", e)
	}
	cancel() // with the stream still open
	if err := <-ended; err != nil {
		t.Errorf("the server ended with %v", err)
	}
}

// A raw request, since clients clean their addresses.
func TestPathTraversalOverTheWire(t *testing.T) {
	s := newServer(t, site(t))
	listener, err := Listen(t.Context(), "127.0.0.1:0")
	assert.NilError(t, err)
	go s.Serve(t.Context(), listener)
	for _, target := range []string{"/../secret.txt", "/%2e%2e/secret.txt", "/..%2fsecret.txt", "/assets/..%5c..%5csecret.txt"} {
		conn, err := net.Dial("tcp", listener.Addr().String())
		assert.NilError(t, err)
		fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", target)
		answer, err := io.ReadAll(conn)
		conn.Close()
		if err != nil || !bytes.HasPrefix(answer, []byte("HTTP/1.1 404 ")) || bytes.Contains(answer, []byte("not for the page")) {
			t.Errorf("%s: %v\n%s", target, err, answer)
		}
	}
}

// TestNoPageOfAMix asks for pages while files are put in place one after the
// other: an answer is of the old site or of the new one, page and picture alike.
func TestNoPageOfAMix(t *testing.T) {
	dir := site(t)
	s := newServer(t, dir)
	body := func(target string) string {
		content, err := io.ReadAll(ask(s, http.MethodGet, "localhost", target).Body)
		if err != nil {
			t.Error(err)
		}
		return string(content)
	}
	half, asked := make(chan struct{}), make(chan string)
	go func() {
		<-half
		asked <- body("/assets/base.css")
	}()
	err := s.Hold(func() error {
		put(t, dir, "assets/theme.js", "2")
		close(half)
		select {
		case got := <-asked:
			t.Errorf("a file was sent in the middle of the change: %q", got)
		case <-time.After(50 * time.Millisecond):
		}
		put(t, dir, "assets/base.css", "new")
		return nil
	})
	assert.NilError(t, err)
	if got := <-asked; got != "new" {
		t.Errorf("after the change it is %q", got)
	}
}
