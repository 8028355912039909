package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

const (
	aJob    = "0123456789abcdefghijklmnop"
	aTablet = "aaaaaaaaaaaaaaaaaaaaaaaaaa"
	bTablet = "bbbbbbbbbbbbbbbbbbbbbbbbbb"
)

func newRecord(job string) *record.Record {
	return &record.Record{
		Format: record.Format, Version: record.Version, Job: job, Procedure: "fan-out", Edition: "1", Content: "0123456789abcdef",
		Machine: record.Entry[string]{Value: "No. 4", Stamp: record.Stamp{At: 1, Tablet: aTablet}},
		Tablets: map[string]record.Tablet{aTablet: {Learner: "Ada Berg", Phase: record.Removal, Step: "fan-off", Stamp: record.Stamp{At: 10, Tablet: aTablet, By: "Ada Berg"}}},
		Ticks:   map[string]record.Entry[bool]{},
	}
}

func open(t *testing.T, dir string, options Options) *Store {
	t.Helper()
	assert.NilError(t, Folder(dir))
	s, err := Open(t.Context(), dir, options)
	assert.NilError(t, err)
	return s
}

func closeIt(t *testing.T, s *Store) {
	t.Helper()
	assert.NilError(t, s.Close())
}

// backedUp makes a folder with a database of one record, closed again, and a backup of it.
func backedUp(t *testing.T) (dir, backup string) {
	t.Helper()
	dir = t.TempDir()
	s := open(t, dir, Options{})
	take(t, s, newRecord(aJob))
	backup, err := Backup(t.Context(), dir, 0, time.Now())
	assert.NilError(t, err)
	closeIt(t, s)
	return dir, backup
}

// tabletOf returns a tablet of the class, which it enrols under a learner's name when it is not there yet.
func tabletOf(t *testing.T, s *Store, name, learner string) Tablet {
	t.Helper()
	all, err := s.Tablets(t.Context())
	assert.NilError(t, err)
	for _, x := range all {
		if x.Name == name {
			return x
		}
	}
	x, _, err := s.Enrol(t.Context(), Claim{Tablet: name, Name: learner, Machine: "No. 4"})
	if err != nil || x.State != In {
		t.Fatalf("%v, %v", x, err)
	}
	return x
}

// ada is the tablet that most records here are of, ben another one.
func ada(t *testing.T, s *Store) Tablet { return tabletOf(t, s, aTablet, "Ada Berg") }
func ben(t *testing.T, s *Store) Tablet { return tabletOf(t, s, bTablet, "Ben Holm") }

// idOf is the pseudonym of somebody.
func idOf(t *testing.T, s *Store, name string) string {
	t.Helper()
	people, err := s.People(t.Context())
	assert.NilError(t, err)
	for _, p := range people {
		if folded(p.Name) == folded(name) {
			return p.ID
		}
	}
	t.Fatalf("nobody is called %s", name)
	return ""
}

func take(t *testing.T, s *Store, r *record.Record) (*record.Record, []string) {
	t.Helper()
	return takeFrom(t, s, ada(t, s), r)
}

func takeFrom(t *testing.T, s *Store, from Tablet, r *record.Record) (*record.Record, []string) {
	t.Helper()
	merged, wanted, err := s.TakeRecord(t.Context(), from, r, 0)
	assert.NilError(t, err)
	return merged, wanted
}

func TestRecordsAreMergedAndKept(t *testing.T) { both(t, recordsAreMergedAndKept) }

func recordsAreMergedAndKept(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	key := s.Key()
	one, other := newRecord(aJob), newRecord(aJob)
	one.Ticks["out/fan-off--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 20, Tablet: aTablet}}
	other.Ticks["out/fan-off--remove-2"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 21, Tablet: bTablet}}
	take(t, s, one)
	assert.NilError(t, s.Bind(t.Context(), "", ben(t, s).Number, aJob))
	merged, _ := takeFrom(t, s, ben(t, s), other)
	if len(merged.Ticks) != 2 {
		t.Errorf("%d ticks, want those of both tablets", len(merged.Ticks))
	}
	turn, _ := s.Turn()
	take(t, s, one)
	if again, _ := s.Turn(); again != turn {
		t.Error("the same record again was written again")
	}
	closeIt(t, s)

	s = at(Options{})
	defer closeIt(t, s)
	after, err := s.Record(t.Context(), aJob)
	if err != nil || len(after.Ticks) != 2 || !bytes.Equal(key, s.Key()) {
		t.Errorf("after a restart: %v, %v", after, err)
	}
	if _, err := s.Record(t.Context(), strings.Repeat("z", 26)); !errors.Is(err, ErrUnknown) {
		t.Errorf("a job that is not there: %v", err)
	}
	alien := newRecord(aJob)
	alien.Procedure = "hub-out"
	var mismatch *record.OtherJobError
	if _, _, err := s.TakeRecord(t.Context(), ada(t, s), alien, 0); !errors.As(err, &mismatch) {
		t.Errorf("a record of another procedure: %v", err)
	}
}

func TestOneFailureInABatchLeavesTheOthers(t *testing.T) { both(t, oneFailureInABatchLeavesTheOthers) }

func oneFailureInABatchLeavesTheOthers(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	wrong := errors.New("wrong")
	var all sync.WaitGroup
	failed := make([]error, 40)
	for i := range failed {
		all.Go(func() {
			failed[i] = s.do(context.Background(), func(tx *writer) error {
				if err := tx.exec("INSERT INTO setting VALUES (?, ?)", fmt.Sprint("n", i), []byte{1}); err != nil {
					return err
				}
				if i%3 == 0 {
					return wrong
				}
				if i%7 == 1 {
					panic("wrong")
				}
				return nil
			})
		})
	}
	all.Wait()
	for i, err := range failed {
		_, there := s.Setting(t.Context(), fmt.Sprint("n", i))
		if i%3 == 0 != (err == wrong) || i%3 != 0 && i%7 == 1 != (err != nil) || (err == nil) != (there == nil) {
			t.Errorf("%d: answered %v, read %v", i, err, there)
		}
	}
}

func TestPhotos(t *testing.T) { both(t, photos) }

func photos(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	hash := strings.Repeat("ab", 32)
	if err := s.PutPhoto(t.Context(), ada(t, s), aJob, hash, []byte("x")); !errors.Is(err, ErrNotYours) {
		t.Errorf("a photo of a job that is not there: %v", err)
	}
	r := newRecord(aJob)
	r.Photos = map[string]record.Photo{hash: {Type: record.PhotoType, Width: 1, Height: 1, Data: "eA=="}}
	merged, wanted := take(t, s, r)
	if len(wanted) != 1 || wanted[0] != hash || merged.Photos[hash].Data != "" {
		t.Errorf("wanted %v, photos %v", wanted, merged.Photos)
	}
	if err := s.PutPhoto(t.Context(), ada(t, s), aJob, strings.Repeat("cd", 32), []byte("x")); !errors.Is(err, ErrUnknown) {
		t.Errorf("a photo that the record does not name: %v", err)
	}
	for range 2 {
		assert.NilError(t, s.PutPhoto(t.Context(), ada(t, s), aJob, hash, []byte("x")))
	}
	if _, wanted := take(t, s, r); len(wanted) != 0 {
		t.Errorf("still wanted: %v", wanted)
	}
	if data, err := s.Photo(t.Context(), aJob, hash); err != nil || string(data) != "x" {
		t.Errorf("read %q, %v", data, err)
	}
}

func TestSignatures(t *testing.T) { both(t, signatures) }

func signatures(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	take(t, s, newRecord(aJob))
	bringBack := copied(t, s)
	const row = "out/fan-off--sign"
	give := func(who string) record.Signature {
		by, err := s.Trainer(t.Context(), who)
		assert.NilError(t, err)
		got, err := s.Sign(t.Context(), aJob, row, func(r *record.Record) (record.Signature, error) {
			return record.Seal(r, row, record.Signature{Who: by.ID, Name: by.Name, Salt: by.Salt, At: 99}, s.Key()), nil
		})
		assert.NilError(t, err)
		return got
	}
	first := give("Kim Holt")
	if second := give("Someone Else"); second.Seal != first.Seal || second.Name != "Kim Holt" {
		t.Errorf("a second signature replaced the first: %v", second)
	}
	merged, _ := take(t, s, newRecord(aJob))
	if g := merged.Signed[row]; g != first || !record.Verify(merged, row, g) {
		t.Errorf("signature %v", g)
	}
	before, err := s.Name(t.Context())
	assert.NilError(t, err)
	closeIt(t, s)

	// The backup is from before the signature; the tablet has it and brings it back.
	bringBack()
	s = at(Options{})
	defer closeIt(t, s)
	if !s.Found().Unclean {
		if _, is := s.db.(*workshop); is {
			t.Error("nobody learns that the database is an earlier one")
		}
	}
	if r, err := s.Record(t.Context(), aJob); err != nil || len(r.Signed) != 0 {
		t.Fatalf("the backup has %v, %v", r, err)
	}
	if after, err := s.Name(t.Context()); err != nil || after == before || after[:64] != before[:64] {
		t.Errorf("the name went from %s to %s: tablets would not send again (%v)", before, after, err)
	}
	take(t, s, merged)
	if r, err := s.Record(t.Context(), aJob); err != nil || r.Signed[row].Seal != first.Seal || !record.Verify(r, row, r.Signed[row]) {
		t.Errorf("after the tablet came back: %v, %v", r, err)
	}
}

func TestNoRoom(t *testing.T) { both(t, noRoom) }

func noRoom(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{MostBytes: 1})
	defer closeIt(t, s)
	if _, _, err := s.TakeRecord(t.Context(), ada(t, s), newRecord(aJob), 0); !errors.Is(err, ErrFull) {
		t.Errorf("a record: %v", err)
	}
	if err := s.TakeResult(t.Context(), ada(t, s), quiz.Response{Quiz: "q"}); !errors.Is(err, ErrFull) {
		t.Errorf("a result: %v", err)
	}
	if err := s.Set(t.Context(), "pin", []byte("x")); err != nil {
		t.Errorf("a setting: %v", err)
	}
}

func TestResults(t *testing.T) { both(t, results) }

func results(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	r := quiz.Response{Format: quiz.ResponseFormat, Version: 1, Quiz: "fan-quiz", Learner: "Ada Berg", Try: 1, Finished: "2026-11-25T10:00:00Z"}
	for range 3 {
		assert.NilError(t, s.TakeResult(t.Context(), ada(t, s), r))
	}
	r.Try = 2
	assert.NilError(t, s.TakeResult(t.Context(), ada(t, s), r))
	got, err := s.Results(t.Context(), "fan-quiz", 0)
	if err != nil || len(got) != 2 || got[0].Response.Learner != r.Learner {
		t.Errorf("%v, %v", got, err)
	}
	// A name that is not the tablet's is shown beside the tablet's own.
	r.Learner = "<script>alert(1)</script>"
	assert.NilError(t, s.TakeResult(t.Context(), ada(t, s), r))
	if got, err := s.Results(t.Context(), "fan-quiz", 0); err != nil || len(got) != 3 || !slices.ContainsFunc(got, func(x Result) bool {
		return x.Response.Learner == "<script>alert(1)</script> / Ada Berg" && bytes.Contains(x.Body, []byte("Ada Berg"))
	}) {
		t.Errorf("%v, %v", got, err)
	}
}

func TestForget(t *testing.T) { both(t, forget) }

func forget(t *testing.T, at func(Options) *Store) {
	t.Helper()
	now := time.UnixMilli(1_000)
	s := at(Options{Now: func() time.Time { return now }})
	r := newRecord(aJob)
	r.Confirmed = map[string]record.Confirmation{"out/fan-off--sign": {Given: true, Text: "ada  berg", Stamp: record.Stamp{At: 11, Tablet: aTablet, By: "Kim Holt"}}}
	r.Findings = map[string]record.Finding{strings.Repeat("f", 26): {Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Worn, Severity: record.Watch, Words: "blade bent", Stamp: record.Stamp{At: 12, Tablet: aTablet, By: "ADA BERG"}}}
	result := quiz.Response{Quiz: "fan-quiz", Learner: "Ada Berg", Try: 1, Finished: "1970-01-01T00:00:00Z"}
	take(t, s, r)
	assert.NilError(t, s.TakeResult(t.Context(), ada(t, s), result))
	learners, err := s.Learners(t.Context())
	if err != nil || len(learners) != 1 || learners[0].Name != "Ada Berg" || learners[0].Jobs != 1 || learners[0].Results != 1 {
		t.Errorf("learners %v, %v", learners, err)
	}
	tablet, id := ada(t, s), idOf(t, s, "Ada Berg")
	var exported bytes.Buffer
	var export Export
	if err := errors.Join(s.WriteExport(t.Context(), id, &exported), json.Unmarshal(exported.Bytes(), &export)); err != nil || export.Name != "Ada Berg" || len(export.Results) != 1 || len(export.Entries) != 3 {
		t.Errorf("export %s, %v", &exported, err)
	}
	if err := s.WriteExport(t.Context(), "x", &exported); !errors.Is(err, ErrUnknown) {
		t.Errorf("export of nobody: %v", err)
	}
	changed, clean, err := s.Forget(t.Context(), "", id)
	if err != nil || !clean || changed.Jobs != 1 || changed.Results != 1 {
		t.Errorf("forgot %v, %v", changed, err)
	}
	// The tablet still has what it had, and its clock runs ahead.
	now = now.Add(time.Second)
	later := newRecord(aJob)
	later.Tablets[aTablet] = record.Tablet{Learner: "Ada Berg", Phase: record.Removal, Step: "fan-off", Stamp: record.Stamp{At: 9_000_000, Tablet: aTablet, By: "Ada Berg"}}
	later.Ticks["out/fan-off--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 9_000_000, Tablet: aTablet, By: "Ada Berg"}}
	tablet.Person = "" // as the host reads it from now on
	takeFrom(t, s, tablet, later)
	if err := s.TakeResult(t.Context(), tablet, result); err != nil {
		t.Errorf("the result again: %v", err)
	}
	kept, err := s.Record(t.Context(), aJob)
	if err != nil || len(kept.Findings) != 1 || kept.Findings[strings.Repeat("f", 26)].Words != "blade bent" || len(kept.Ticks) != 1 {
		t.Errorf("record %v, %v", kept, err)
	}
	if learners, err := s.Learners(t.Context()); err != nil || len(learners) != 0 {
		t.Errorf("learners %v, %v", learners, err)
	}
	closeIt(t, s)
	if f, is := s.db.(*file); is {
		for _, name := range []string{fileName, fileName + "-wal"} {
			content, _ := os.ReadFile(filepath.Join(f.dir, name)) // the log goes away with the last connection
			// Whole, with one space or two: a key in hexadecimal may hold "ada".
			if regexp.MustCompile(`(?i)ada +berg`).Match(content) {
				t.Errorf("%s still holds the name", name)
			}
		}
	}

	// Somebody of that name may come later.
	s = at(Options{Now: func() time.Time { return now }})
	defer closeIt(t, s)
	if again, _, err := s.Enrol(t.Context(), Claim{Tablet: bTablet, Name: "Ada Berg"}); err != nil || again.State != In || again.Person == id {
		t.Errorf("somebody of that name: %v, %v", again, err)
	}
}

func TestBackupWhileWritingAndRestore(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	from := ada(t, s)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for n := range 20 {
				r := newRecord(fmt.Sprintf("%026d", i*100+n))
				if _, _, err := s.TakeRecord(context.Background(), from, r, 0); err != nil {
					t.Error(err)
				}
			}
		})
	}
	start := time.Now()
	for i := range 4 {
		if _, err := Backup(t.Context(), dir, 3, start.Add(time.Duration(i)*time.Second)); err != nil {
			t.Error(err)
		}
	}
	all.Wait()
	backups, err := Backups(dir)
	if err != nil || len(backups) != 3 {
		t.Errorf("%d backups, want the newest 3 (%v)", len(backups), err)
	}
	last, err := Backup(t.Context(), dir, 3, start.Add(time.Minute))
	assert.NilError(t, err)
	if info, err := os.Stat(last); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the backup may be read by others: %v, %v", info, err)
	}
	take(t, s, newRecord(aJob)) // after the backup
	closeIt(t, s)

	took, old, err := Restore(t.Context(), dir, "", start)
	if err != nil || took != last || old == "" {
		t.Fatalf("took %s, kept %s, %v", took, old, err)
	}
	s = open(t, dir, Options{})
	defer closeIt(t, s)
	jobs, err := s.Jobs(t.Context(), 0)
	if err != nil || len(jobs) != 160 {
		t.Errorf("%d jobs after the restore, want 160 (%v)", len(jobs), err)
	}
	if _, err := os.Stat(filepath.Join(old, fileName)); err != nil {
		t.Errorf("the old database is gone: %v", err)
	}
}

// A backup is found by a name that counts from the folder that one stands in, and nothing is made beside it.
func TestRestoreByARelativeName(t *testing.T) {
	dir, backup := backedUp(t)
	here := t.TempDir()
	t.Chdir(here)
	relative, err := filepath.Rel(here, backup)
	assert.NilError(t, err)
	assert.NilError(t, copyFile(backup, "mine.db"))
	for _, name := range []string{relative, "mine.db"} {
		if _, _, err := Restore(t.Context(), dir, name, time.Now()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	if jobs, err := s.Jobs(t.Context(), 0); err != nil || len(jobs) != 1 {
		t.Errorf("%d jobs after the restore, want 1 (%v)", len(jobs), err)
	}
}

func TestRefusedDatabases(t *testing.T) {
	sql3 := func(t *testing.T, file, statement string) {
		t.Helper()
		db, err := sql.Open("sqlite", address(file))
		assert.NilError(t, err)
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
		db.Close()
	}
	for name, test := range map[string]struct {
		do   func(t *testing.T, file string)
		want Why
	}{
		"cut off": {func(t *testing.T, file string) { truncate(t, file, 2) }, Damaged},
		"empty":   {func(t *testing.T, file string) { os.Truncate(file, 0) }, Damaged},
		"a page overwritten": {func(t *testing.T, file string) {
			content, err := os.ReadFile(file)
			assert.NilError(t, err)
			// Source: SQLite, "Database File Format", 1.3.2: the page size, at offset 16.
			size := int(binary.BigEndian.Uint16(content[16:]))
			for i := 3 * size; i < 5*size; i++ {
				content[i] = 0xa5
			}
			os.WriteFile(file, content, 0o600)
		}, Damaged},
		"text":            {func(t *testing.T, file string) { os.WriteFile(file, bytes.Repeat([]byte("dear class "), 100), 0o600) }, Foreign},
		"another program": {func(t *testing.T, file string) { sql3(t, file, "PRAGMA application_id = 1") }, Foreign},
		"a later version": {func(t *testing.T, file string) { sql3(t, file, "INSERT INTO migration VALUES (1000, 0)") }, Newer},
		"gone":            {func(t *testing.T, file string) { os.Remove(file) }, Missing},
	} {
		t.Run(name, func(t *testing.T) {
			dir, backup := backedUp(t)
			test.do(t, filepath.Join(dir, fileName))
			var refused *RefusedError
			if _, err := Open(t.Context(), dir, Options{}); !errors.As(err, &refused) || refused.Why != test.want || refused.Backup != backup {
				t.Fatalf("opened with %v, want %s and the backup %s", err, test.want, backup)
			}
			if _, _, err := Restore(t.Context(), dir, refused.Backup, time.Now()); err != nil {
				t.Fatal(err)
			}
			s := open(t, dir, Options{})
			defer closeIt(t, s)
			if _, err := s.Record(t.Context(), aJob); err != nil {
				t.Errorf("after the restore: %v", err)
			}
		})
	}
}

// Who gives up while the database is looked at is not told that it is damaged.
func TestGivingUpIsNoDamage(t *testing.T) {
	dir := t.TempDir()
	closeIt(t, open(t, dir, Options{}))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var refused *RefusedError
	if _, err := Open(ctx, dir, Options{}); !errors.Is(err, context.Canceled) || errors.As(err, &refused) {
		t.Errorf("opened with %v", err)
	}
}

func truncate(t *testing.T, file string, parts int64) {
	t.Helper()
	info, err := os.Stat(file)
	assert.NilError(t, err)
	assert.NilError(t, os.Truncate(file, info.Size()/parts))
}

func TestDamagedBackupIsNotTaken(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	now := time.Now()
	good, err := Backup(t.Context(), dir, 0, now)
	assert.NilError(t, err)
	bad, err := Backup(t.Context(), dir, 0, now.Add(time.Second))
	assert.NilError(t, err)
	truncate(t, bad, 2)
	if got := newestSound(t.Context(), dir); got != good {
		t.Errorf("newest sound backup %s, want %s", got, good)
	}
}
