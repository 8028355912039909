package host

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/compile"
	"matchmark/compile/host/pgtest"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
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
	if d.library, d.err = compile.Load(content.Library(), &log); d.err != nil {
		return d
	}
	if d.err = compile.MakeQuestions(d.library); d.err != nil {
		return d
	}
	d.library, d.err = compile.DeriveRefittings(d.library)
	return d
})

func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.End()
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
	talk   sync.Mutex // logged may come from elsewhere
	// from is the address that requests come from, over HTTPS unless plain says otherwise.
	from   string
	plain  bool
	cookie *http.Cookie
	// token is what the tablet shows that requests come from; tokens are those of all that were enrolled.
	token  string
	tokens map[string]string
}

// ofFile skips a test of what a database in the data folder alone has.
func (c *class) ofFile() *class {
	c.t.Helper()
	if !c.Store.CopiesItself() {
		c.t.Skip("copies of a database on a server are made by whoever runs it")
	}
	return c
}

// said is what was logged.
func (c *class) said() []string {
	c.talk.Lock()
	defer c.talk.Unlock()
	return slices.Clone(c.logged)
}

// as makes requests come from a tablet, which joins the class under a learner's name when it is not in it yet.
func (c *class) as(tablet, learner string) *class {
	c.t.Helper()
	if c.tokens[tablet] == "" {
		_, secret, err := c.Store.Enrol(c.t.Context(), store.Claim{Tablet: tablet, Name: learner})
		if err != nil {
			c.t.Fatal(err)
		}
		c.tokens[tablet] = tablet + "." + secret
	}
	c.token = c.tokens[tablet]
	return c
}

// put puts a tablet of the class on a job, as the trainer does.
func (c *class) put(tablet, job string) {
	c.t.Helper()
	numbers, err := c.Store.TabletNumbers(c.t.Context())
	if err == nil {
		err = c.Store.Bind(c.t.Context(), "", numbers[tablet], job)
	}
	if err != nil {
		c.t.Fatal(err)
	}
}

// newClass is a class with one tablet in it, Ada's.

func newClass(t *testing.T, options store.Options) *class {
	t.Helper()
	c := &class{t: t, folder: t.TempDir(), clock: time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC), from: "192.168.4.77:50000", tokens: map[string]string{}}
	c.start(options)
	return c.as(aTablet, "Ada")
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
	if os.Getenv("MATCHMARK_STORE") == "postgres" && options.Database == "" {
		options.Database, options.Workshop = pgtest.Shared(c.t).URL("postgres"), c.t.Name()+" "+filepath.Base(c.folder)
	}
	s, err := store.Open(c.t.Context(), c.folder, options)
	if err != nil {
		c.t.Fatal(err)
	}
	id := trust.Identity{Names: []string{"bench", "bench.local", "localhost"}, Addresses: []net.IP{net.IPv4(192, 168, 4, 20), net.IPv4(127, 0, 0, 1)}}
	authority, err := trust.Open(filepath.Join(c.folder, "trust"), id, time.Now(), false)
	if err != nil {
		c.t.Fatal(err)
	}
	c.Host, err = New(Config{
		Library: d.library, Site: filepath.Join(d.dir, "site"), Folder: c.folder, Store: s, Keep: 3,
		Authority: authority, Watcher: trust.NewWatcher(func() trust.Identity { return id }, now), Reach: func() []string { return []string{"http://192.168.4.20:8080/", "https://192.168.4.20:8443/"} },
		Now: now, Log: func(m string) {
			c.talk.Lock()
			defer c.talk.Unlock()
			c.logged = append(c.logged, m)
		},
	})
	if err != nil {
		c.t.Fatal(err)
	}
	if err := SetPIN(context.Background(), s, thePIN); err != nil {
		c.t.Fatal(err)
	}
	if s.Several() { // of all tests, which may have given it already
		err := s.PutAccount(c.t.Context(), "", store.Account{Name: "Kim Holt", Role: store.TrainerRole, Password: pin.Hash(thePIN)})
		if err != nil && !errors.Is(err, store.ErrTaken) {
			c.t.Fatal(err)
		}
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
	if !c.plain {
		r.TLS = new(tls.ConnectionState)
	}
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
	if c.token != "" && r.Header.Get("Authorization") == "" {
		r.Header.Set("Authorization", "Bearer "+c.token)
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
	all := w.Result().Cookies()
	c.cookie = all[len(all)-1]
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
		Tablets: map[string]record.Tablet{tablet: {Learner: learner, Phase: record.Removal, Step: p.Jobs()[0].Steps[0].ID, Stamp: stamp}},
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
