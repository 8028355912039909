package host

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/compile"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
	"matchmark/compile/library"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

const (
	aJob    = "0123456789abcdefghijklmnop"
	bJob    = "bbbbbbbbbbcdefghijklmnopqr"
	aTablet = "aaaaaaaaaaaaaaaaaaaaaaaaaa"
	bTablet = "bbbbbbbbbbbbbbbbbbbbbbbbbb"
	thePIN  = "481516"
)

// demo is the demo library and its compiled site.
type demo struct {
	dir     string
	library *procedure.Library
	err     error
}

// theDemo compiles the demo once for all tests.
var theDemo = sync.OnceValue(func() (d demo) {
	if d.dir, d.err = os.MkdirTemp("", "matchmark-host-"); d.err != nil {
		return d
	}
	var log diagnostic.Log
	if _, d.err = compile.Site(context.Background(), content.Library(), filepath.Join(d.dir, "site"), &log, compile.Options{}); d.err != nil {
		return d
	}
	if d.library, d.err = library.Load(content.Library(), &log); d.err != nil {
		return d
	}
	if d.err = compile.MakeQuestions(d.library); d.err != nil {
		return d
	}
	d.library, d.err = compile.WaysBack(d.library)
	return d
})

func TestMain(m *testing.M) {
	code := m.Run()
	if d := theDemo(); d.dir != "" {
		os.RemoveAll(d.dir)
	}
	os.Exit(code)
}

// class is a host in a test, with a clock that can be set.
type class struct {
	*Host
	t      *testing.T
	folder string
	clock  time.Time
	logged []string
	// from is the address that requests come from.
	from   string
	cookie *http.Cookie
}

func newClass(t *testing.T, options store.Options) *class {
	t.Helper()
	c := &class{t: t, folder: t.TempDir(), clock: time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC), from: "192.168.4.77:50000"}
	c.start(options)
	return c
}

func (c *class) start(options store.Options) {
	c.t.Helper()
	d := theDemo()
	if d.err != nil {
		c.t.Fatal(d.err)
	}
	now := func() time.Time { return c.clock }
	options.Now = now
	if err := store.Folder(c.folder); err != nil {
		c.t.Fatal(err)
	}
	s, err := store.Open(c.t.Context(), c.folder, options)
	if err != nil {
		c.t.Fatal(err)
	}
	id := trust.Identity{Names: []string{"bench", "bench.local", "localhost"}, Addresses: []net.IP{net.IPv4(192, 168, 4, 20), net.IPv4(127, 0, 0, 1)}}
	authority, err := trust.Open(filepath.Join(c.folder, "trust"), id, time.Now())
	if err != nil {
		c.t.Fatal(err)
	}
	c.Host, err = New(Config{
		Library: d.library, Site: filepath.Join(d.dir, "site"), Folder: c.folder, Store: s, Keep: 3,
		Authority: authority, Watcher: trust.NewWatcher(func() trust.Identity { return id }, now), Reach: func() []string { return []string{"http://192.168.4.20:8080/"} },
		Now: now, Log: func(m string) { c.logged = append(c.logged, m) },
	})
	if err != nil {
		c.t.Fatal(err)
	}
	if err := SetPIN(context.Background(), s, thePIN); err != nil {
		c.t.Fatal(err)
	}
	host := c.Host
	c.t.Cleanup(func() {
		host.Close()
		if host.Store == s {
			s.Close()
		}
	})
}

// again ends the host and starts it anew on the same folder.
func (c *class) again() {
	c.t.Helper()
	if err := c.Store.Close(); err != nil {
		c.t.Fatal(err)
	}
	c.Host.Store = nil // closed already
	c.cookie = nil
	c.start(store.Options{})
}

// ask sends one request. body may be nil, bytes, or a value for JSON.
func (c *class) ask(method, path string, body any, headers ...string) *httptest.ResponseRecorder {
	c.t.Helper()
	var content io.Reader
	kind := ""
	switch b := body.(type) {
	case nil:
	case []byte:
		content, kind = bytes.NewReader(b), "application/json"
	default:
		encoded, err := json.Marshal(b)
		if err != nil {
			c.t.Fatal(err)
		}
		content, kind = bytes.NewReader(encoded), "application/json"
	}
	r := httptest.NewRequest(method, path, content)
	r.Host, r.RemoteAddr = "bench:8080", c.from
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		} else {
			r.Header.Set(headers[i], headers[i+1])
		}
	}
	if c.cookie != nil {
		r.AddCookie(c.cookie)
	}
	w := httptest.NewRecorder()
	c.ServeHTTP(w, r)
	return w
}

// want sends a request and wants a status; the answer is read into a value unless that is nil.
func (c *class) want(status int, into any, method, path string, body any, headers ...string) *httptest.ResponseRecorder {
	c.t.Helper()
	w := c.ask(method, path, body, headers...)
	if w.Code != status {
		c.t.Fatalf("%s %s: %d, want %d: %s", method, path, w.Code, status, w.Body)
	}
	if into != nil {
		if err := json.Unmarshal(w.Body.Bytes(), into); err != nil {
			c.t.Fatalf("%s %s: %v in %s", method, path, err, w.Body)
		}
	}
	return w
}

// enter gives the PIN.
func (c *class) enter() {
	c.t.Helper()
	w := c.want(http.StatusOK, nil, "POST", "/board/pin", map[string]string{"who": "Kim Holt", "pin": thePIN})
	c.cookie = w.Result().Cookies()[0]
}

// newRecord is a record of the demo's oven fan.
func newRecord(job, tablet, learner string) *record.Record {
	var p *procedure.Procedure
	for _, x := range theDemo().library.Procedures {
		if x.ID == "oven-fan-out" {
			p = x
		}
	}
	stamp := record.Stamp{At: 1_000, Tablet: tablet, By: learner}
	return &record.Record{
		Format: record.Format, Version: record.Version, Job: job, Procedure: p.ID, Edition: p.Edition, Content: record.Content(p),
		Machine: record.Entry[string]{Value: "No. 4", Stamp: stamp},
		Tablets: map[string]record.Tablet{tablet: {Learner: learner, Way: record.Out, Step: p.Jobs()[0].Steps[0].ID, Stamp: stamp}},
		Ticks:   map[string]record.Entry[bool]{},
	}
}

// newResult is a try of the demo's oven quiz in which nothing was answered.
func newResult(learner string, try int) quiz.Response {
	var q *procedure.Quiz
	for _, x := range theDemo().library.Quizzes {
		if x.ID == "oven-quiz" {
			q = x
		}
	}
	out := quiz.Response{
		Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Quiz: q.ID, Edition: quiz.Edition(q), Procedure: "oven-fan-out", ProcedureEdition: "1",
		Learner: learner, Try: try, Started: "2026-11-25T09:00:00Z", Finished: "2026-11-25T09:10:00Z",
	}
	for _, x := range q.Questions {
		out.Answers = append(out.Answers, quiz.Marked{Question: x.ID, Kind: x.Kind})
	}
	return out
}

// newPhoto is a JPEG with its name.
func newPhoto(t *testing.T, side int) (name string, photo record.Photo, data []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, side, side)), nil); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b.Bytes())
	return hex.EncodeToString(sum[:]), record.Photo{Type: record.PhotoType, Width: side, Height: side}, b.Bytes()
}

func refused(t *testing.T, w *httptest.ResponseRecorder) refusal {
	t.Helper()
	var out refusal
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || out.Problem == "" || out.Do == "" || strings.Contains(out.Problem+out.Do, "[host.") {
		t.Errorf("no clear answer: %s", fmt.Sprint(w.Body))
	}
	return out
}
