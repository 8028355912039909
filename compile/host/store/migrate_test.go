package store

import (
	"crypto/ed25519"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// stepOf is the SQL of one step of a class's tables.
func stepOf(t *testing.T, step int64) string {
	t.Helper()
	text, err := classForms.text(step)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// anOldResult is a try as a tablet of the first version sent it.
func anOldResult() quiz.Response {
	return quiz.Response{Format: quiz.ResponseFormat, Version: 1, Quiz: "fan-quiz", Learner: "Ada Berg", Try: 1, Finished: "2026-11-25T10:00:00Z"}
}

// oldDatabase makes a folder with a database of an earlier version, in which names stand everywhere: one job with a signature and a photo, and a
// result. body is what the job's record is kept as; nil for a sound one.
func oldDatabase(t *testing.T, version int, body []byte) (dir string) {
	t.Helper()
	dir = t.TempDir()
	if err := Folder(dir); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", address(filepath.Join(dir, fileName)))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	exec := func(query string, args ...any) {
		t.Helper()
		if _, err := db.Exec(query, args...); err != nil {
			t.Fatal(err)
		}
	}
	exec(fmt.Sprintf("PRAGMA application_id = %d", applicationID))
	exec("CREATE TABLE migration (version INTEGER PRIMARY KEY, at INTEGER NOT NULL) STRICT")
	for i := range version {
		exec(stepOf(t, int64(i+1)))
		exec("INSERT INTO migration VALUES (?, 0)", i+1)
	}
	key := ed25519.NewKeyFromSeed([]byte(strings.Repeat("k", ed25519.SeedSize)))
	exec("INSERT INTO setting VALUES ('key', ?)", key.Seed())
	r := newRecord(aJob)
	r.Version = 1
	r.Ticks["out/fan-off--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 20, Tablet: aTablet, By: "ada berg"}}
	r.Work = map[string]record.Interval{"out/fan-off@" + bTablet + "@5": {From: 5, To: 60_005}}
	r.Findings = map[string]record.Finding{strings.Repeat("f", 26): {Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Worn, Severity: record.Watch, Found: 12, Stamp: record.Stamp{At: 12, Tablet: bTablet, By: "Ben Holm"}}}
	hash := strings.Repeat("ab", 32)
	r.Photos = map[string]record.Photo{hash: {Type: record.PhotoType, Width: 1, Height: 1}}
	if body == nil {
		if body, err = json.Marshal(r); err != nil {
			t.Fatal(err)
		}
	}
	exec("INSERT INTO job VALUES (?, ?, '', 1, 2, ?)", aJob, r.Procedure, body)
	if version > 1 {
		exec("INSERT INTO summary VALUES (?, 'No. 4', 1)", aJob)
		exec("INSERT INTO named VALUES (?, ?)", aJob, hash)
	}
	if version > 2 {
		exec("INSERT INTO wording VALUES ('fan-quiz', 'e', x'7b7d')")
	}
	const row = "out/fan-off--sign"
	seal := ed25519.Sign(key, []byte(fmt.Sprintf("matchmark hold 1\n%s\n%s\n%s\n%s\nKim Holt\n9\n", aJob, r.Procedure, r.Content, row)))
	exec("INSERT INTO signature VALUES (?, ?, 'Kim Holt', 9, ?, ?, ?)", aJob, row, r.Content, hex.EncodeToString(key.Public().(ed25519.PublicKey)), hex.EncodeToString(seal))
	exec("INSERT INTO photo VALUES (?, ?, ?)", aJob, hash, []byte("x"))
	result, err := json.Marshal(anOldResult())
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(result)
	exec("INSERT INTO result VALUES (?, 'fan-quiz', 'ada berg', 3, ?)", hex.EncodeToString(sum[:]), result)
	return dir
}

// A database of any version with names in its records is brought forward with all that it holds; the names stand in their table alone.
func TestEarlierVersionsAreBroughtForward(t *testing.T) {
	for version := 1; version <= 3; version++ {
		t.Run(fmt.Sprint(version), func(t *testing.T) { bringForward(t, version) })
	}
}

func bringForward(t *testing.T, version int) {
	t.Helper()
	dir := oldDatabase(t, version, nil)
	for range 2 { // once, and then there is nothing to do
		s := open(t, dir, Options{})
		r, err := s.Record(t.Context(), aJob)
		if err != nil {
			t.Fatal(err)
		}
		const row = "out/fan-off--sign"
		if r.Tablets[aTablet].Learner != "Ada Berg" || r.Ticks["out/fan-off--remove-1"].By != "Ada Berg" || r.Findings[strings.Repeat("f", 26)].FoundBy != "Ben Holm" || len(r.Photos) != 1 {
			t.Errorf("record %+v", r)
		}
		if g := r.Signed[row]; g.Who != "Kim Holt" || !record.Verify(r, row, g) {
			t.Errorf("signature %+v", g)
		}
		results, err := s.Results(t.Context(), "", 0)
		if err != nil || len(results) != 1 || results[0].Response.Learner != "Ada Berg" {
			t.Errorf("results %v, %v", results, err)
		}
		if wordings, err := s.Wordings(t.Context()); err != nil || len(wordings) != version/3 {
			t.Errorf("wordings %v, %v", wordings, err)
		}
		jobs, err := s.AllSummaries(t.Context(), 0)
		if err != nil || len(jobs) != 1 || jobs[0] != (Summary{Job: aJob, Machine: "No. 4", Procedure: r.Procedure, Tablets: 1, Began: 1, Changed: 2}) {
			t.Errorf("jobs %+v, %v", jobs, err)
		}
		history, err := s.History(t.Context(), aJob)
		if err != nil || len(history) != 3 {
			t.Errorf("history %v, %v", history, err)
		}
		for _, query := range []string{"SELECT record FROM job", "SELECT body FROM entry", "SELECT body FROM result", "SELECT learner FROM result"} {
			bodies, err := column(t.Context(), s.reading, query)
			if err != nil || strings.Contains(strings.ToLower(strings.Join(bodies, " ")), "ada berg") {
				t.Errorf("%s: %s, %v", query, bodies, err)
			}
		}
		closeIt(t, s)
	}
	// The tablets join, and send again what they have: it is there once.
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	if err := s.TakeResult(t.Context(), ada(t, s), anOldResult()); err != nil {
		t.Fatal(err)
	}
	if results, err := s.Results(t.Context(), "", 0); err != nil || len(results) != 1 {
		t.Errorf("%d results, %v", len(results), err)
	}
	if err := s.Bind(t.Context(), "", ada(t, s).Number, aJob); err != nil {
		t.Fatal(err)
	}
	again := newRecord(aJob)
	again.Ticks["out/fan-off--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 20, Tablet: aTablet, By: "Ada Berg"}}
	if merged, _ := take(t, s, again); len(merged.Ticks) != 1 || merged.Ticks["out/fan-off--remove-1"].At != 20 {
		t.Errorf("after sending again: %+v", merged.Ticks)
	}
}

// Tablets that worked before there was any enrolment join anew. What each has arrives once, also from one whose name somebody has taken meanwhile; nothing is
// doubled, nothing is lost, and the trainer puts each back on its job.
func TestTabletsOfAnEarlierClassJoinAnew(t *testing.T) {
	for _, taken := range []bool{false, true} {
		t.Run(fmt.Sprintf("name taken %t", taken), func(t *testing.T) { joinAnew(t, taken) })
	}
}

func joinAnew(t *testing.T, taken bool) {
	t.Helper()
	s := open(t, oldDatabase(t, 3, nil), Options{})
	defer closeIt(t, s)
	if taken {
		tabletOf(t, s, bTablet, "Somebody Else")
	}
	found, photo := strings.Repeat("f", 26), strings.Repeat("ab", 32)
	before, err := s.Record(t.Context(), aJob)
	if err != nil {
		t.Fatal(err)
	}
	written := func() int {
		t.Helper()
		all, err := s.History(t.Context(), aJob)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	entries := written()
	for _, x := range []struct{ tablet, learner string }{{aTablet, "Ada Berg"}, {bTablet, "ben holm"}} {
		joined, _, err := s.Enrol(t.Context(), Claim{Tablet: x.tablet, Name: x.learner})
		if err != nil || joined.State != In || (joined.Name == x.tablet) == (taken && x.tablet == bTablet) {
			t.Fatalf("%+v, %v", joined, err)
		}
		// The tablet has the whole job as it stood, under the name that it goes by now.
		body, err := json.Marshal(before)
		if err != nil {
			t.Fatal(err)
		}
		mine := new(record.Record)
		if err := json.Unmarshal([]byte(strings.ReplaceAll(string(body), x.tablet, joined.Name)), mine); err != nil {
			t.Fatal(err)
		}
		mine.Signed = nil
		mine.Ticks["out/fan-off--remove-"+x.tablet[:1]] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 90, Tablet: joined.Name}} // done since
		if _, _, err := s.TakeRecord(t.Context(), joined, mine, 0); !errors.Is(err, ErrNotYours) {
			t.Fatalf("before the trainer has looked: %v", err)
		}
		if err := s.Ask(t.Context(), joined, aJob); err != nil {
			t.Fatal(err)
		}
		if asking, err := s.Asking(t.Context()); err != nil || len(asking) != 1 || asking[0].Number != joined.Number {
			t.Fatalf("asking: %+v, %v", asking, err)
		}
		if err := s.Bind(t.Context(), "", joined.Number, aJob); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			if _, wanted, err := s.TakeRecord(t.Context(), joined, mine, 0); err != nil || len(wanted) != 0 {
				t.Fatalf("photos wanted: %v, %v", wanted, err)
			}
			if err := s.TakeResult(t.Context(), joined, anOldResult()); err != nil {
				t.Fatal(err)
			}
		}
		if x.tablet == bTablet { // the finder's own: he may still change it
			f := mine.Findings[found]
			f.Words, f.Stamp = "play in the bearing", record.Stamp{At: 95, Tablet: joined.Name}
			mine.Findings[found] = f
			takeFrom(t, s, joined, mine)
		}
	}
	after, err := s.Record(t.Context(), aJob)
	if err != nil {
		t.Fatal(err)
	}
	if f := after.Findings[found]; len(after.Findings) != 1 || f.FoundBy != "Ben Holm" || f.Found != 12 || f.Words != "play in the bearing" {
		t.Errorf("findings %+v", after.Findings)
	}
	if e := after.Ticks["out/fan-off--remove-1"]; len(after.Ticks) != 3 || e.At != 20 || e.By != "Ada Berg" {
		t.Errorf("ticks %+v", after.Ticks)
	}
	if n := written(); n != entries+3 {
		t.Errorf("%d entries, want the %d from before and three new ones", n, entries)
	}
	if at := after.Times()["out/fan-off"]; at.Worked != time.Minute || at.Spells != 1 {
		t.Errorf("time of work %+v", at)
	}
	if _, there := after.Photos[photo]; !there || len(after.Signed) != 1 {
		t.Errorf("photos %v, signatures %v", after.Photos, after.Signed)
	}
	if results, err := s.Results(t.Context(), "", 0); err != nil || len(results) != 1 {
		t.Errorf("%d results, %v", len(results), err)
	}
}

// What breaks off in the middle leaves the form before it whole.
func TestBringingForwardIsAllOrNothing(t *testing.T) {
	dir := oldDatabase(t, 3, []byte("{"))
	if s, err := Open(t.Context(), dir, Options{}); err == nil {
		s.Close()
		t.Fatal("a record that cannot be read was brought forward")
	}
	db, err := sql.Open("sqlite", address(filepath.Join(dir, fileName)))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for query, want := range map[string]string{
		"SELECT max(version) FROM migration": "3", "SELECT who FROM signature": "Kim Holt", "SELECT learner FROM result": "ada berg",
		"SELECT count(*) FROM sqlite_schema WHERE name IN ('person', 'tablet', 'entry')": "0",
	} {
		if got, err := column(t.Context(), db, query); err != nil || len(got) != 1 || got[0] != want {
			t.Errorf("%s: %v, %v, want %s", query, got, err, want)
		}
	}
}
