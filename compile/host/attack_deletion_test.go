package host

import (
	"bytes"
	"context"
	"database/sql"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// holding lists the files of the data folder that hold a text, without regard to capitals.
func (c *class) holding(text string) (out []string) {
	c.t.Helper()
	err := filepath.WalkDir(c.folder, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(name)
		if bytes.Contains(bytes.ToLower(content), []byte(strings.ToLower(text))) {
			rel, err := filepath.Rel(c.folder, name)
			if err != nil {
				return err
			}
			out = append(out, rel)
		}
		return err
	})
	if err != nil {
		c.t.Fatal(err)
	}
	return out
}

func (c *class) idOf(name string) string {
	c.t.Helper()
	var learners []store.Learner
	c.want(http.StatusOK, &learners, "GET", "/board/learners", nil)
	for _, l := range learners {
		if l.Name == name {
			return l.ID
		}
	}
	c.t.Fatalf("nobody is called %s", name)
	return ""
}

// A deleted name is in no copy any more: not in those that a restore put aside, not in half made ones, not in backups; or the
// answer names each file that still has it.
func TestDeletionReachesEveryCopy(t *testing.T) {
	c := newClass(t, store.Options{}).ofFile().as(bTablet, "Zoe Unterberg")
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, bTablet, ""))
	if _, err := store.Backup(t.Context(), c.folder, 0, c.clock); err != nil {
		t.Fatal(err)
	}
	if err := c.Store.Close(); err != nil {
		t.Fatal(err)
	}
	if _, _, err := store.Restore(t.Context(), c.folder, "", c.clock); err != nil {
		t.Fatal(err)
	}
	c.Host.Store = nil
	c.start(store.Options{})
	for _, half := range []string{"class.db.new", "class.db.new-journal", filepath.Join("backups", "2026-11-25T09-00-00.000Z.db.new")} {
		if err := os.WriteFile(filepath.Join(c.folder, half), []byte("half of it: Zoe Unterberg"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(c.holding("zoe unterberg")); n < 5 {
		t.Fatalf("%d files hold the name before", n)
	}
	c.enter()
	id := c.idOf("Zoe Unterberg")
	var told struct{ Left []string }
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusOK, &told, "POST", "/board/learner/delete", map[string]any{"id": id})
	for _, file := range c.holding("zoe unterberg") {
		if !slices.ContainsFunc(told.Left, func(left string) bool {
			return file == left || strings.HasPrefix(file, left+string(filepath.Separator))
		}) {
			t.Errorf("%s still holds the name, and the answer names only %v", file, told.Left)
		}
	}
	// Another one goes with all copies.
	c.as(strings.Repeat("c", 26), "Yan Unterberg").want(http.StatusOK, nil, "POST", "/class/record", newRecord(bJob, strings.Repeat("c", 26), ""))
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusOK, &told, "POST", "/board/learner/delete", map[string]any{"id": c.idOf("Yan Unterberg"), "copies": true})
	if held := c.holding("unterberg"); len(told.Left) != 0 || len(held) != 0 {
		t.Errorf("%v still hold a name, said was %v", held, told.Left)
	}
}

// While somebody reads the database on, the log keeps the name; the answer says so, and the next change empties it.
func TestDeletionWithAReaderOpen(t *testing.T) {
	c := newClass(t, store.Options{}).ofFile().as(bTablet, "Zoe Unterberg")
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, bTablet, ""))
	db, err := sql.Open("sqlite", "file:"+filepath.Join(c.folder, "class.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	reader, err := db.BeginTx(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	var n int
	if err := reader.QueryRow("SELECT count(*) FROM person").Scan(&n); err != nil {
		t.Fatal(err)
	}
	c.enter()
	var told struct{ Left []string }
	c.want(http.StatusOK, &told, "POST", "/board/learner/delete", map[string]any{"id": c.idOf("Zoe Unterberg")})
	if !slices.Contains(told.Left, store.LogFile) {
		t.Errorf("the log holds the name, and the answer says %v", told.Left)
	}
	if err := reader.Rollback(); err != nil {
		t.Fatal(err)
	}
	c.as(aTablet, "Ada").want(http.StatusOK, nil, "POST", "/class/record", newRecord(bJob, aTablet, ""))
	c.want(http.StatusOK, nil, "POST", "/class/result", newResult("Ada", 1))
	for end := time.Now().Add(5 * time.Second); len(c.holding("zoe unterberg")) > 0; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%v still hold the name", c.holding("zoe unterberg"))
		}
	}
}

// What a learner gets of what is kept holds nothing of anybody else.
func TestExportIsOfOnePersonAlone(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	c.as(bTablet, "Zoe Unterberg").put(bTablet, aJob)
	r := newRecord(aJob, bTablet, "")
	r.Ticks["out/fan-off--remove-9"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 5, Tablet: bTablet}}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	c.want(http.StatusOK, nil, "POST", "/class/result", newResult("Zoe Unterberg", 1))
	c.enter()
	w := c.want(http.StatusOK, nil, "GET", "/board/learner/export?id="+url.QueryEscape(c.idOf("Ada")), nil)
	if body := w.Body.String(); !strings.Contains(body, "cracked") || strings.Contains(body, "Unterberg") || strings.Contains(body, "remove-9") {
		t.Errorf("Ada gets %s", body)
	}
	w = c.want(http.StatusOK, nil, "GET", "/board/learner/export?id="+url.QueryEscape(c.idOf("Zoe Unterberg")), nil)
	if body := w.Body.String(); strings.Contains(body, "cracked") || strings.Contains(body, "Ada") || !strings.Contains(body, "remove-9") || !strings.Contains(body, "oven-quiz") {
		t.Errorf("Zoe gets %s", body)
	}
}

// What is older than it may be goes by itself: jobs with their photos, tries, and names that nothing is left of.
func TestRetention(t *testing.T) {
	c := newClass(t, store.Options{})
	c.Retention = store.Retention{Class: 12, Valid: 24, Evidence: 12}
	name, photo, data := newPhoto(t, 40)
	old := newRecord(aJob, aTablet, "")
	old.Photos = map[string]record.Photo{name: photo}
	c.want(http.StatusOK, nil, "POST", "/class/record", old)
	c.want(http.StatusNoContent, nil, "PUT", "/class/photo/"+aJob+"/"+name, data, "Content-Type", "image/jpeg")
	c.want(http.StatusOK, nil, "POST", "/class/result", newResult("Ada", 1))
	c.clock = c.clock.AddDate(0, 6, 0)
	c.as(bTablet, "Ben").want(http.StatusOK, nil, "POST", "/class/record", newRecord(bJob, bTablet, ""))
	expire := func(months, jobs, results, names int) {
		t.Helper()
		c.clock = c.clock.AddDate(0, months, 0)
		if err := c.Expire(t.Context()); err != nil {
			t.Fatal(err)
		}
		kept, err := c.Store.Jobs(t.Context(), 0)
		if err != nil {
			t.Fatal(err)
		}
		tries, err := c.Store.Results(t.Context(), "", 0)
		if err != nil {
			t.Fatal(err)
		}
		people, err := c.Store.People(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if len(kept) != jobs || len(tries) != results || len(people) != names {
			t.Errorf("at %s: %d jobs, %d results, %v; want %d, %d and %d names", c.clock.Format("2006-01"), len(kept), len(tries), people, jobs, results, names)
		}
	}
	expire(5, 2, 1, 2)
	if len(c.logged) != 0 {
		t.Errorf("logged %v", c.logged)
	}
	expire(2, 1, 0, 1)
	if _, err := c.Store.Photo(t.Context(), aJob, name); err == nil {
		t.Error("the photo is still there")
	}
	if len(c.logged) != 1 || strings.Contains(c.logged[0], "Ada") {
		t.Errorf("logged %v", c.logged)
	}
	expire(12, 0, 0, 0)
	if held := c.holding("\"ada\""); len(held) != 0 {
		t.Errorf("%v hold a name", held)
	}
}

// At the end of the class tablets are told, a tablet that has emptied itself is out of it, and the old code opens nothing.
func TestEndOfClass(t *testing.T) {
	c := newClass(t, store.Options{})
	c.enter()
	var shown invitation
	c.want(http.StatusOK, &shown, "GET", "/board/invite", nil)
	c.clock = c.clock.Add(time.Second)
	c.want(http.StatusNoContent, nil, "POST", "/board/end", map[string]string{})
	var hello struct{ Ended int64 }
	var me mine
	c.want(http.StatusOK, &hello, "GET", "/class/hello", nil)
	c.want(http.StatusOK, &me, "GET", "/class/me", nil)
	if hello.Ended != c.clock.UnixMilli() || me.Enrolled >= hello.Ended {
		t.Errorf("ended %d, enrolled %d", hello.Ended, me.Enrolled)
	}
	// What it still has is taken.
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, ""))
	var state struct{ Class []classTablet }
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Class) != 1 {
		t.Errorf("tablets %v", state.Class)
	}
	c.want(http.StatusNoContent, nil, "POST", "/class/leave", map[string]string{})
	// Its secret opens no more than the way for what it keeps elsewhere.
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, ""))
	for at, body := range map[string]any{"GET /class/invite/" + aJob: nil, "POST /class/join": map[string]string{"code": shown.Code}, "POST /class/sign": map[string]string{"job": aJob}} {
		method, path, _ := strings.Cut(at, " ")
		refused(t, c.want(http.StatusForbidden, nil, method, path, body))
	}
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Class) != 0 {
		t.Errorf("tablets %v", state.Class)
	}
	c.token = ""
	c.want(http.StatusForbidden, nil, "POST", "/class/list", map[string]string{"code": shown.Code})
}
