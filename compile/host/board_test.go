package host

import (
	"bytes"
	"context"
	"crypto/tls"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/board"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/page"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/record"
)

type boardState struct {
	board.State
	Now     int64
	Trainer string
	Rev     string
}

func TestBoardIsForTheTrainer(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada"))
	for _, at := range []string{
		"GET /board/state", "GET /board/events", "GET /board/photo/" + aJob + "/" + strings.Repeat("a", 64), "GET /board/record/" + aJob, "GET /board/workorder/" + aJob,
		"GET /board/results/oven-quiz", "GET /board/keys", "GET /board/learners", "GET /board/learner/export?id=x", "POST /board/sign", "POST /board/learner/delete", "POST /board/backup",
		"GET /board/invite", "GET /board/invite/" + aJob, "POST /board/invite", "POST /board/people", "POST /board/tablet", "POST /board/job", "GET /board/trail", "GET /board/history/" + aJob,
	} {
		method, path, _ := strings.Cut(at, " ")
		w := c.ask(method, path, map[string]string{})
		if w.Code != http.StatusUnauthorized || strings.Contains(w.Body.String(), "Ada") {
			t.Errorf("%s: %d %s", at, w.Code, w.Body)
		}
		refused(t, w)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/board/", nil); strings.Contains(w.Body.String(), "Ada") || !strings.Contains(w.Body.String(), "http://192.168.4.20:8080/") {
		t.Error("the page holds names, or lacks the address")
	}
	c.cookie = &http.Cookie{Name: "matchmark-board", Value: "x"}
	c.want(http.StatusUnauthorized, nil, "GET", "/board/state", nil)
}

func TestPIN(t *testing.T) {
	c := newClass(t, store.Options{})
	try := func(p string) *httptest.ResponseRecorder {
		return c.ask("POST", "/board/pin", map[string]string{"who": "Kim Holt", "pin": p})
	}
	for range 2 {
		if w := try("000001"); w.Code != http.StatusForbidden || len(w.Result().Cookies()) != 0 {
			t.Errorf("a wrong PIN: %d", w.Code)
		}
	}
	w := try("000002")
	if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "5" {
		t.Errorf("the third wrong PIN: %d, wait %s", w.Code, w.Header().Get("Retry-After"))
	}
	if w := try(thePIN); w.Code != http.StatusTooManyRequests || len(w.Result().Cookies()) != 0 {
		t.Errorf("the right PIN while waiting: %d", w.Code)
	}
	if !strings.Contains(refused(t, try(thePIN)).Do, "5 s") {
		t.Error("nobody says how long to wait")
	}
	c.clock = c.clock.Add(6 * time.Second)
	w = try(thePIN)
	if w.Code != http.StatusOK {
		t.Fatalf("the right PIN after waiting: %d", w.Code)
	}
	cookie := w.Result().Cookies()[1]
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode {
		t.Errorf("cookie %v", cookie)
	}
	c.cookie = cookie
	c.want(http.StatusOK, nil, "GET", "/board/state", nil)
	c.clock = c.clock.Add(pin.SessionTime)
	c.want(http.StatusUnauthorized, nil, "GET", "/board/state", nil)
	c.enter()
	c.want(http.StatusNoContent, nil, "POST", "/board/leave", map[string]string{})
	c.want(http.StatusUnauthorized, nil, "GET", "/board/state", nil)
	c.enter()
	c.again()
	c.want(http.StatusUnauthorized, nil, "GET", "/board/state", nil)
	wrong := "A wrong PIN from 192.168.4.77"
	if c.Store.Several() {
		wrong = "Wrong password from 192.168.4.77"
	}
	if all := strings.Join(c.logged, "\n"); strings.Contains(all, "Kim") || strings.Count(all, wrong) != 3 || strings.Count(all, "opened with the PIN from 192.168.4.77") != 3 {
		t.Errorf("logged: %s", all)
	}
}

// The PIN and the session cross no network that others read along on.
func TestPlainBoardIsForThisComputer(t *testing.T) {
	c := newClass(t, store.Options{})
	c.enter()
	signedIn := c.cookie
	c.plain = true
	for from, there := range map[string]bool{"192.168.4.77:50000": false, "127.0.0.1:50000": true, "[::1]:50000": true, "192.168.4.20:50000": true, "[::ffff:127.0.0.1]:50000": true} {
		c.from, c.cookie = from, nil
		w := c.ask("POST", "/board/pin", map[string]string{"who": "Kim Holt", "pin": thePIN})
		if w.Code == http.StatusOK != there {
			t.Errorf("from %s: %d", from, w.Code)
		}
		if page := c.ask("GET", "/board/", nil, "Accept", "text/html"); page.Code == http.StatusOK != there || strings.Contains(page.Body.String(), "ui_pin") != there {
			t.Errorf("the page from %s: %d", from, page.Code)
		}
		if !there && !strings.Contains(refused(t, w).Do, "https") {
			t.Errorf("nobody says where: %s", w.Body)
		}
		// A session that was opened over HTTPS counts for nothing on the network.
		c.cookie = &http.Cookie{Name: "matchmark-board", Value: signedIn.Value}
		if w := c.ask("GET", "/board/state", nil); w.Code == http.StatusOK != there {
			t.Errorf("a session from %s: %d", from, w.Code)
		}
	}
}

// A device that gave the PIN once is not held up by whoever guesses.
func TestKnownDevice(t *testing.T) {
	c := newClass(t, store.Options{})
	right := map[string]string{"who": "Kim Holt", "pin": thePIN}
	cookies := c.want(http.StatusOK, nil, "POST", "/board/pin", right).Result().Cookies()
	if len(cookies) != 2 || !cookies[0].HttpOnly || !cookies[0].Secure || !cookies[1].Secure {
		t.Fatalf("%v", cookies)
	}
	device := cookies[0]
	for c.ask("POST", "/board/pin", map[string]string{"pin": "000001"}).Code != http.StatusTooManyRequests {
	}
	c.want(http.StatusTooManyRequests, nil, "POST", "/board/pin", right)
	forged := *device
	forged.Value = strings.Split(device.Value, ".")[0] + "." + strings.Repeat("0", 64)
	c.cookie = &forged
	c.want(http.StatusTooManyRequests, nil, "POST", "/board/pin", right)
	c.cookie = device
	if again := c.want(http.StatusOK, nil, "POST", "/board/pin", right).Result().Cookies(); len(again) != 1 {
		t.Error("a device that is known is made known again")
	}
}

// firstHold is the demo's first hold point with a signature, and the row that the page has for it.
func firstHold(t *testing.T, c *class) board.HoldPoint {
	t.Helper()
	for _, h := range c.plans.Of("oven-fan-out", "").Holds {
		if h.Signature != "" {
			return h
		}
	}
	t.Fatal("the demo has no hold point to sign")
	return board.HoldPoint{}
}

func TestSigning(t *testing.T) {
	c := newClass(t, store.Options{})
	hold := firstHold(t, c)
	key := string(hold.Way) + "/" + hold.Signature
	c.as(bTablet, "<script>alert(1)</script>")
	r := newRecord(aJob, bTablet, "<script>alert(1)</script>")
	waiting := r.Tablets[bTablet]
	waiting.Step, waiting.Waits = hold.Step, hold.Signature
	r.Tablets[bTablet] = waiting
	r.Confirmed = map[string]record.Confirmation{"out/" + hold.Rows[0].ID: {Given: true, Stamp: record.Stamp{At: 4, Tablet: bTablet}}}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.enter()
	var state boardState
	w := c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if strings.Contains(w.Body.String(), "<script") {
		t.Error("a script in a name is markup in the answer")
	}
	job := state.Jobs[0]
	if state.Trainer != "Kim Holt" || job.Tablets[0].Waits != key || job.Tablets[0].WaitsTitle != hold.Title || job.Tablets[0].Number == 0 || job.Tablets[0].Learner != "<script>alert(1)</script>" || job.Older {
		t.Errorf("state %s", w.Body)
	}
	if h := job.Holds[0]; h.Key != key || h.WaitingSince != 1_000 || !h.Confirmations[0].Given || len(h.Confirmations) != len(hold.Rows) {
		t.Errorf("hold point %+v", h)
	}
	c.want(http.StatusNotModified, nil, "GET", "/board/state", nil, "If-None-Match", w.Header().Get("ETag"))

	for name, body := range map[string]map[string]string{
		"another row": {"job": aJob, "key": "out/nothing--sign"}, "no row": {"job": aJob, "key": "x"}, "another job": {"job": bJob, "key": key}, "no job": {"job": "../x", "key": key},
	} {
		w := c.ask("POST", "/board/sign", body)
		if w.Code != http.StatusUnprocessableEntity && w.Code != http.StatusNotFound {
			t.Errorf("%s: %d", name, w.Code)
		}
		refused(t, w)
	}
	// Nothing is signed while a line is open.
	refused(t, c.want(http.StatusConflict, nil, "POST", "/board/sign", map[string]string{"job": aJob, "key": key}))
	for _, row := range hold.Rows {
		r.Confirmed["out/"+row.ID] = record.Confirmation{Given: true, Stamp: record.Stamp{At: 5, Tablet: bTablet}}
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	var given record.Signature
	c.want(http.StatusOK, &given, "POST", "/board/sign", map[string]string{"job": aJob, "key": key})
	var got kept
	c.want(http.StatusOK, &got, "POST", "/class/record", r)
	if got.Record.Signed[key] != given || given.Name != "Kim Holt" || given.Lines != hold.Lines() || given.Step != hold.Step || given.Machine != "No. 4" || !record.Verify(got.Record, key, given) {
		t.Errorf("signed: %+v", got.Record.Signed)
	}
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if h := state.Jobs[0].Holds[0]; h.Signed == nil || h.WaitingSince != 0 {
		t.Errorf("after signing: %+v", h)
	}
}

// The board's rows are those of the step pages, there and back. Their names are compared in a browser, where the page makes them.
func TestRowsAreThoseOfThePages(t *testing.T) {
	c := newClass(t, store.Options{})
	checked := 0
	for _, p := range c.Library.Procedures {
		if p.Removal != nil {
			continue
		}
		for _, j := range p.Jobs() {
			id := ""
			if j.Variant != nil {
				id = j.Variant.ID
			}
			for _, h := range c.plans.Of(p.ID, id).Holds {
				of := p
				if h.Way == record.Refitting {
					of = p.Refitting
				}
				content, err := c.site.File(page.StepsPath(&procedure.Job{Procedure: of, Variant: j.Variant}))
				assert.NilError(t, err)
				rows := append([]board.Row(nil), h.Rows...)
				if h.Signature != "" {
					rows = append(rows, board.Row{ID: h.Signature})
				}
				step := pagetest.Parse(t, content)
				shown := step.All("#" + h.Step + " .hold menu li")
				if len(shown) != len(rows) {
					t.Errorf("%s %s: the page has %d rows at the hold point of %s, the board %d", p.ID, id, len(shown), h.Step, len(rows))
				}
				checked += len(shown)
			}
		}
	}
	if checked < 20 {
		t.Errorf("only %d rows were looked at", checked)
	}
}

func TestFindingsAndResultsOnTheBoard(t *testing.T) {
	c := newClass(t, store.Options{})
	r := newRecord(aJob, aTablet, "Ada")
	name, photo, _ := newPhoto(t, 40)
	plan := c.plans.Of("oven-fan-out", "")
	before := plan.Ways[record.Refitting].Steps[1]
	r.Photos = map[string]record.Photo{name: photo}
	r.Findings = map[string]record.Finding{
		strings.Repeat("f", 26): {Phase: record.Removal, Step: plan.Ways[record.Removal].Steps[0].ID, Name: "Fan wheel", Kind: record.Worn, Severity: record.BeforeRefit, Words: "<b>bent</b>", Before: before.ID, Photos: []string{name}, Found: 7, Stamp: record.Stamp{At: 7, Tablet: aTablet, By: "Ada"}},
		strings.Repeat("g", 26): {Phase: record.Removal, Step: "gone", Name: "Other", Kind: record.Worn, Severity: record.Watch, Withdrawn: true, Found: 8, Stamp: record.Stamp{At: 8, Tablet: aTablet}},
	}
	r.Passed = map[string]record.Entry[bool]{}
	for _, s := range plan.Ways[record.Removal].Steps {
		r.Passed["out/"+s.ID] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 9, Tablet: aTablet}}
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	// A tablet that claims to have passed with nothing answered is marked by the host.
	forged := newResult("Ada", 1)
	forged.Score.Passed, forged.Score.Percent = true, 100
	c.want(http.StatusOK, nil, "POST", "/class/result", forged)
	c.enter()
	var state boardState
	w := c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	job := state.Jobs[0]
	if len(job.Findings) != 2 || !job.Findings[1].Withdrawn || job.Findings[0].Withdrawn || job.Findings[0].BeforeTitle != before.Title || job.Findings[0].Thing != "Fan wheel" || job.Findings[0].Photos[0] != name || !job.Done.Out || job.Done.Back {
		t.Errorf("job %s", w.Body)
	}
	if len(state.Results) != 1 || state.Results[0].Passed || state.Results[0].Score != 0 {
		t.Errorf("results %+v", state.Results)
	}
	w = c.want(http.StatusOK, nil, "GET", "/board/results/oven-quiz", nil)
	if !strings.Contains(w.Body.String(), "Ada") || !strings.Contains(w.Header().Get("Content-Security-Policy"), "'sha256-") || strings.Contains(w.Header().Get("Content-Security-Policy"), "unsafe") {
		t.Errorf("results page: %s", w.Header())
	}
	if !strings.Contains(w.Body.String(), `<a class="crumb" href="/board/">`) {
		t.Error("no way from the results back to the board")
	}
	const named = `<th scope="row">Ada</th>`
	if with := w.Body.String(); !strings.Contains(with, named) || !strings.Contains(with, `href="?wall"`) {
		t.Error("the results name nobody, or do not lead to the page for a wall")
	}
	if wall := c.want(http.StatusOK, nil, "GET", "/board/results/oven-quiz?wall", nil).Body.String(); strings.Contains(wall, named) || !strings.Contains(wall, `<body class="result-page wall">`) {
		t.Error("the results for a wall have a name, or small letters")
	}
	c.want(http.StatusNotFound, nil, "GET", "/board/results/nothing", nil)
	for _, page := range []string{"workorder", "checklist"} {
		w = c.want(http.StatusOK, nil, "GET", "/board/"+page+"/"+aJob, nil)
		if body := w.Body.String(); !strings.Contains(body, "Fan wheel") && page == "workorder" || strings.Contains(body, "<b>bent") || !strings.Contains(body, `href="/assets/base.css"`) {
			t.Errorf("%s: %s", page, body)
		}
	}
	c.want(http.StatusOK, nil, "GET", "/assets/workorder.css", nil)
	c.want(http.StatusNotFound, nil, "GET", "/board/workorder/"+bJob, nil)
	c.clock = c.clock.Add(48 * time.Hour)
	c.enter()
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Jobs) != 0 || len(state.Results) != 0 {
		t.Errorf("two days later: %d jobs, %d results", len(state.Jobs), len(state.Results))
	}
}

func TestLearnersAreExportedAndDeleted(t *testing.T) {
	c := newClass(t, store.Options{}).as(bTablet, "Zoe Berg")
	r := newRecord(aJob, bTablet, "Zoe Berg")
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusOK, nil, "POST", "/class/result", newResult("Zoe Berg", 1))
	c.enter()
	if c.Store.CopiesItself() {
		c.want(http.StatusOK, nil, "POST", "/board/backup", map[string]string{})
	}
	var learners []store.Learner
	find := func(name string) string {
		t.Helper()
		c.want(http.StatusOK, &learners, "GET", "/board/learners", nil)
		for _, l := range learners {
			if l.Name == name {
				return l.ID
			}
		}
		return ""
	}
	id := find("Zoe Berg")
	if id == "" || find("Ada") == "" || find("Kim Holt") == "" {
		t.Errorf("learners %v", learners)
	}
	var export store.Export
	w := c.want(http.StatusOK, &export, "GET", "/board/learner/export?id="+id, nil)
	if len(export.Entries) != 1 || len(export.Results) != 1 || !strings.HasPrefix(w.Header().Get("Content-Disposition"), "attachment") {
		t.Errorf("export %s", w.Body)
	}
	refused(t, c.want(http.StatusNotFound, nil, "POST", "/board/learner/delete", map[string]string{"id": " "}))
	var told struct {
		Results, Jobs int
		Left          []string
		Words         string
	}
	c.clock = c.clock.Add(time.Second)
	if w := c.want(http.StatusOK, nil, "GET", "/board/state", nil); !strings.Contains(w.Body.String(), `"learner":"Zoe Berg","way"`) {
		t.Errorf("the board does not say who works: %s", w.Body)
	}
	c.want(http.StatusOK, &told, "POST", "/board/learner/delete", map[string]any{"id": id, "copies": true})
	if w := c.want(http.StatusOK, nil, "GET", "/board/state", nil); strings.Contains(w.Body.String(), "Zoe") {
		t.Errorf("the board still names who was deleted: %s", w.Body)
	}
	if told.Results != 1 || told.Jobs != 1 || len(told.Left) != 0 {
		t.Errorf("deleted %+v", told)
	}
	backups, err := store.Backups(c.folder)
	if err != nil || c.Store.CopiesItself() && len(backups) != 1 {
		t.Fatalf("backups %v, %v", backups, err)
	}
	// The tablet sends what it still has.
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusOK, nil, "POST", "/class/result", newResult("Zoe Berg", 1))
	if find("Zoe Berg") != "" {
		t.Errorf("learners after deleting: %v", learners)
	}
	c.want(http.StatusOK, nil, "GET", "/board/state", nil)
	assert.NilError(t, c.Store.Close())
	c.Host.Store = nil
	err = filepath.WalkDir(c.folder, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(name)
		if bytes.Contains(bytes.ToLower(content), []byte("zoe berg")) {
			t.Errorf("%s still holds the name", filepath.Base(name))
		}
		return err
	})
	assert.NilError(t, err)
}

func TestDownloadedRecordHasItsPhotos(t *testing.T) {
	c := newClass(t, store.Options{})
	name, photo, data := newPhoto(t, 40)
	r := newRecord(aJob, aTablet, "Ada")
	r.Photos = map[string]record.Photo{name: photo}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusNoContent, nil, "PUT", "/class/photo/"+aJob+"/"+name, data, "Content-Type", "image/jpeg")
	c.enter()
	w := c.want(http.StatusOK, nil, "GET", "/board/record/"+aJob, nil)
	read, err := record.Read(w.Body.Bytes())
	if err != nil || !bytes.Equal(read.Photos[name].Bytes(), data) {
		t.Errorf("the record that was saved: %v", err)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/board/photo/"+aJob+"/"+name, nil); !bytes.Equal(w.Body.Bytes(), data) {
		t.Error("another photo")
	}
}

func TestEvents(t *testing.T) {
	c := newClass(t, store.Options{})
	c.from, c.plain = "127.0.0.1:50000", true
	c.enter()
	server := httptest.NewServer(c)
	defer server.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, "GET", server.URL+"/board/events", nil)
	assert.NilError(t, err)
	r.AddCookie(c.cookie)
	answer, err := http.DefaultClient.Do(r)
	if err != nil || answer.Header.Get("Content-Type") != "text/event-stream" {
		t.Fatalf("%v, %v", answer, err)
	}
	defer answer.Body.Close()
	next := func() string {
		buffer := make([]byte, 4096)
		n, err := answer.Body.Read(buffer)
		assert.NilError(t, err)
		return string(buffer[:n])
	}
	first := next()
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada"))
	if second := next(); first == second || !strings.HasPrefix(second, "data: ") || strings.Contains(second, "Ada") {
		t.Errorf("events %q, %q", first, second)
	}
}

// Boards that are left open take a bounded number of streams, and give them back.
func TestEventsAreBounded(t *testing.T) {
	c := newClass(t, store.Options{})
	c.enter()
	r := func(from string) *http.Request {
		r := httptest.NewRequest("GET", "/board/events", nil)
		r.Host, r.RemoteAddr, r.TLS = "bench:8080", from, new(tls.ConnectionState)
		r.AddCookie(c.cookie)
		return r
	}
	var open []context.CancelFunc
	var ended sync.WaitGroup
	listen := func(from string) {
		ctx, cancel := context.WithCancel(t.Context())
		open = append(open, cancel)
		heard := make(chan struct{})
		ended.Go(func() { c.ServeHTTP(&streamed{header: http.Header{}, heard: heard}, r(from).WithContext(ctx)) })
		<-heard
	}
	refusedFrom := func(from string) {
		t.Helper()
		w := httptest.NewRecorder()
		c.ServeHTTP(w, r(from))
		if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") == "" {
			t.Errorf("one stream too many from %s: %d", from, w.Code)
		}
		refused(t, w)
	}
	for i := range streamsOfAll {
		listen(fmt.Sprintf("192.168.4.%d:5000", 10+i/streamsOfOne))
		if i+1 == streamsOfOne {
			refusedFrom("192.168.4.10:5001")
		}
	}
	refusedFrom("192.168.4.99:5000")
	c.want(http.StatusOK, nil, "GET", "/board/state", nil) // who is told nothing may ask
	for _, cancel := range open {
		cancel()
	}
	ended.Wait()
	open = nil
	listen("192.168.4.99:5000")
	open[0]()
	ended.Wait()
}

// streamed is the answer of a stream, which says when something has come.
type streamed struct {
	header http.Header
	once   sync.Once
	heard  chan struct{}
}

func (s *streamed) Header() http.Header { return s.header }
func (s *streamed) WriteHeader(int)     {}
func (s *streamed) Write(p []byte) (int, error) {
	s.once.Do(func() { close(s.heard) })
	return len(p), nil
}
func (s *streamed) Flush()                           {}
func (s *streamed) SetWriteDeadline(time.Time) error { return nil }
func (s *streamed) SetReadDeadline(time.Time) error  { return nil }

func TestBackupOnTheBoard(t *testing.T) {
	c := newClass(t, store.Options{}).ofFile()
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada"))
	c.enter()
	var made struct{ File string }
	c.want(http.StatusOK, &made, "POST", "/board/backup", map[string]string{})
	if _, err := os.Stat(filepath.Join(c.folder, "backups", made.File)); err != nil {
		t.Error(err)
	}
	if len(c.logged) != 1 { // that the board was opened
		t.Errorf("logged %q", c.logged)
	}
}
