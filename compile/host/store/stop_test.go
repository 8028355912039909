package store

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// killed is the folder of a database as a killed host leaves it: with what is in its log.
func killed(t *testing.T, from string) string {
	t.Helper()
	to := t.TempDir()
	assert.NilError(t, os.CopyFS(to, os.DirFS(from)))
	return to
}

func nameOf(t *testing.T, s *Store) string {
	t.Helper()
	name, err := s.Name(t.Context())
	assert.NilError(t, err)
	return name
}

// A host that was not ended has another name, so that tablets send again; what is lost with its log is said.
func TestHowADatabaseWasLeft(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	if s.Found() != (Found{}) {
		t.Errorf("a new one: %+v", s.Found())
	}
	first := nameOf(t, s)
	closeIt(t, s)
	older := killed(t, dir)
	s = open(t, dir, Options{})
	if s.Found() != (Found{}) || nameOf(t, s) != first {
		t.Errorf("after an orderly end: %+v", s.Found())
	}
	for i := range 40 {
		take(t, s, newRecord(fmt.Sprintf("%026d", i)))
	}
	log, err := os.ReadFile(filepath.Join(dir, fileName+"-wal"))
	if err != nil || len(log) < 40*4096 {
		t.Fatalf("the log has %d bytes (%v)", len(log), err)
	}
	flip := func(offset int) func(t *testing.T, file string) {
		return func(t *testing.T, file string) {
			changed := slices.Clone(log)
			for i := range 4 {
				changed[offset+i] ^= 0xff
			}
			write(t, file, changed)
		}
	}
	for name, test := range map[string]struct {
		change func(t *testing.T, log string)
		damage string
		jobs   int // -1: fewer than all
	}{
		"killed":                       {func(*testing.T, string) {}, "", 40},
		"a page flipped in the middle": {flip(len(log)/2 + 100), "damaged in frame", -1},
		"a page flipped at the start":  {flip(logHeader + frameHeader + 9), "damaged in frame 1", -1},
		"a salt flipped":               {flip(logHeader + 9), "damaged in frame 1", -1},
		"the header flipped":           {flip(17), "damaged at its beginning", -1},
		"the log is gone":              {func(t *testing.T, file string) { remove(t, file) }, "is gone", -1},
		"all but the header is short":  {func(t *testing.T, file string) { write(t, file, log[:20]) }, "it has 20 bytes", -1},
		"a write was cut off":          {func(t *testing.T, file string) { write(t, file, log[:len(log)-100]) }, "", -1},
		"empty":                        {func(t *testing.T, file string) { write(t, file, nil) }, "", -1},
	} {
		t.Run(name, func(t *testing.T) {
			dir := killed(t, dir)
			test.change(t, filepath.Join(dir, fileName+"-wal"))
			os.Remove(filepath.Join(dir, fileName+"-shm")) // of the dead process
			s := open(t, dir, Options{})
			found, second := s.Found(), nameOf(t, s)
			if !found.Unclean || second == first || found.Damage == nil != (test.damage == "") || !strings.Contains(fmt.Sprint(found.Damage), test.damage) {
				t.Errorf("%+v, by the name %s", found, second)
			}
			if found.Kept != "" {
				if kept, err := os.ReadFile(filepath.Join(found.Kept, fileName+"-wal")); err != nil || len(kept) == 0 {
					t.Errorf("the damaged log is not kept: %v", err)
				}
			}
			jobs, err := s.Jobs(t.Context(), 0)
			if err != nil || test.jobs >= 0 && len(jobs) != test.jobs || test.jobs < 0 && len(jobs) >= 40 {
				t.Errorf("%d jobs (%v)", len(jobs), err)
			}
			// Tablets send again, and nothing is there twice.
			for i := range 40 {
				take(t, s, newRecord(fmt.Sprintf("%026d", i)))
			}
			if jobs, err = s.Jobs(t.Context(), 0); err != nil || len(jobs) != 40 {
				t.Errorf("%d jobs after all was sent again (%v)", len(jobs), err)
			}
			closeIt(t, s)
			s = open(t, dir, Options{})
			if s.Found() != (Found{}) || nameOf(t, s) != second {
				t.Errorf("after an orderly end: %+v, by the name %s", s.Found(), nameOf(t, s))
			}
			closeIt(t, s)
		})
	}
	closeIt(t, s)
	// Somebody puts an older copy in the place of the database.
	content, err := os.ReadFile(filepath.Join(older, fileName))
	assert.NilError(t, err)
	write(t, filepath.Join(dir, fileName), content)
	s = open(t, dir, Options{})
	if !s.Found().Unclean || nameOf(t, s) == first {
		t.Errorf("an older copy: %+v", s.Found())
	}
	closeIt(t, s)
}

func write(t *testing.T, file string, content []byte) {
	t.Helper()
	assert.NilError(t, os.WriteFile(file, content, 0o600))
}

func remove(t *testing.T, file string) {
	t.Helper()
	assert.NilError(t, os.Remove(file))
}

// Backups are counted: a clock that is wrong neither loses one nor makes one the newest for ever.
func TestBackupsAndTheClock(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	earlier := filepath.Join(dir, backupFolder, now.Format(stamp)+".db") // by an earlier version, without a number
	first, err := Backup(t.Context(), dir, 0, now)
	assert.NilError(t, err)
	assert.NilError(t, os.Rename(first, earlier))
	half := filepath.Join(dir, backupFolder, "000009_x.db.new")
	write(t, half, make([]byte, 1<<20))
	write(t, half+"-journal", nil)
	var made []string
	for _, at := range []time.Time{now.AddDate(73, 0, 0), now.AddDate(-30, 0, 0), now, now} {
		b, err := Backup(t.Context(), dir, 3, at)
		assert.NilError(t, err)
		made = append(made, b)
		all, err := Backups(dir)
		if err != nil || all[len(all)-1] != b || newestSound(t.Context(), dir) != b {
			t.Errorf("made %s, and there are %v (%v)", b, all, err)
		}
	}
	if all, _ := Backups(dir); !slices.Equal(all, made[1:]) {
		t.Errorf("kept %v, want the last three of %v", all, made)
	}
	entries, err := os.ReadDir(filepath.Join(dir, backupFolder))
	if err != nil || len(entries) != 4 { // and the lock
		t.Errorf("there are %v (%v)", entries, err)
	}
}

// What is asked of a job again and again is there for one of an earlier version too.
func TestSummaries(t *testing.T) {
	dir := t.TempDir()
	assert.NilError(t, Folder(dir))
	file := filepath.Join(dir, fileName)
	db, err := sql.Open("sqlite", address(file))
	assert.NilError(t, err)
	hash := strings.Repeat("ab", 32)
	old := fmt.Sprintf(`{"job":"`+aJob+`","machine":{"value":"No. 4"},"tablets":{"a":{},"b":{}},"photos":{%q:{}},"procedure":"fan-out"}`, hash)
	for _, q := range []string{
		fmt.Sprintf("PRAGMA application_id = %d; CREATE TABLE migration (version INTEGER PRIMARY KEY, at INTEGER NOT NULL) STRICT", applicationID),
		stepOf(t, 1), "INSERT INTO migration VALUES (1, 0)",
		fmt.Sprintf("INSERT INTO job VALUES ('%s', 'fan-out', '', 1, 2, CAST('%s' AS BLOB))", aJob, old),
	} {
		if _, err := db.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
	db.Close()
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	list, err := s.AllSummaries(t.Context(), 0)
	if err != nil || len(list) != 1 || list[0] != (Summary{Job: aJob, Machine: "No. 4", Procedure: "fan-out", Tablets: 2, Began: 1, Changed: 2}) {
		t.Errorf("%+v (%v)", list, err)
	}
	if wants, err := s.WantsPhoto(t.Context(), aJob, hash); err != nil || !wants {
		t.Errorf("the photo is not wanted (%v)", err)
	}
	if _, err := s.WantsPhoto(t.Context(), aJob, strings.Repeat("cd", 32)); !errors.Is(err, ErrUnknown) {
		t.Errorf("a photo that no record names: %v", err)
	}
	if list, err := s.AllSummaries(t.Context(), 3); err != nil || len(list) != 0 {
		t.Errorf("of later: %+v (%v)", list, err)
	}
}

// A record grows to what a tablet can send back, and no further.
func TestRecordsEnd(t *testing.T) { both(t, recordsEnd) }

func recordsEnd(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	var overfull *OverfullError
	for part := range 10 {
		r := newRecord(aJob)
		r.Findings = map[string]record.Finding{}
		for i := range 200 {
			r.Findings[fmt.Sprintf("f%05d%020d", part, i)] = record.Finding{Words: strings.Repeat("x", 2000), Stamp: record.Stamp{At: 1, Tablet: aTablet}}
		}
		_, _, err := s.TakeRecord(t.Context(), ada(t, s), r, 0)
		if errors.As(err, &overfull) {
			break
		}
		assert.NilError(t, err)
	}
	if overfull == nil {
		t.Fatal("the record has no end")
	}
	if n, err := s.RecordSize(t.Context(), aJob); err != nil || n > MostRecord || n < MostRecord/2 {
		t.Errorf("it has %d bytes (%v)", n, err)
	}
}

// Nothing that was written down goes, so there is an end to how often one thing is written anew; what is there stays.
func TestHistoriesEnd(t *testing.T) { both(t, historiesEnd) }

func historiesEnd(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	var overfull *OverfullError
	key, last := strings.Repeat("f", 26), ""
	for part := range 200 {
		r := newRecord(aJob)
		r.Findings = map[string]record.Finding{}
		for i := range 100 {
			r.Findings[fmt.Sprintf("%s%02d", key[:24], i)] = record.Finding{Words: fmt.Sprint(part) + strings.Repeat("x", 2000), Stamp: record.Stamp{At: int64(part + 1), Tablet: aTablet}}
		}
		_, _, err := s.TakeRecord(t.Context(), ada(t, s), r, 0)
		if errors.As(err, &overfull) {
			break
		}
		assert.NilError(t, err)
		last = r.Findings[key[:24]+"07"].Words
	}
	if overfull == nil {
		t.Fatal("the history has no end")
	}
	var written, summed int64
	if err := s.reading.QueryRowContext(t.Context(), "SELECT written, (SELECT sum(length(body)) FROM entry) FROM summary").Scan(&written, &summed); err != nil || written != summed || written > MostHistory {
		t.Errorf("%d bytes are counted of %d (%v)", written, summed, err)
	}
	if r, err := s.Record(t.Context(), aJob); err != nil || r.Findings[key[:24]+"07"].Words != last {
		t.Errorf("what was there is gone (%v)", err)
	}
}

// Whoever has the class's code cannot fill the host's memory with names.
func TestNamesEnd(t *testing.T) { both(t, namesEnd) }

func namesEnd(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	writeIn(t, s, counting(1, mostKnown-1, "INSERT INTO person SELECT 'p' || i, 'P' || i, '', 'p' || i, '', '', FALSE, FALSE, 1 FROM n"))
	from := ada(t, s) // the last one
	if _, _, err := s.Enrol(t.Context(), Claim{Name: "Ben Holm"}); !errors.Is(err, ErrCrowded) {
		t.Errorf("one more name: %v", err)
	}
	if err := s.TakeResult(t.Context(), from, quiz.Response{Quiz: "fan-quiz", Learner: "Ben Holm", Try: 1}); !errors.Is(err, ErrCrowded) {
		t.Errorf("one more name in a quiz: %v", err)
	}
	if err := s.TakeResult(t.Context(), from, quiz.Response{Quiz: "fan-quiz", Learner: "Ada Berg", Try: 1}); err != nil {
		t.Errorf("a name that is there: %v", err)
	}
	if _, err := s.Trainer(t.Context(), "Kim Holt"); err != nil {
		t.Errorf("the trainer: %v", err)
	}
}
