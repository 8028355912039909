package store

import (
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/record"
)

// leftBy makes a data folder with the database that an earlier version of the program made, by the short name of its commit. It holds a job with two
// tablets, a photo and a signature, and two results.
func leftBy(t *testing.T, version string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	assert.NilError(t, Folder(dir))
	packed, err := os.Open(filepath.Join("testdata", "earlier", version+".db.gz"))
	assert.NilError(t, err)
	defer packed.Close()
	content, err := gzip.NewReader(packed)
	assert.NilError(t, err)
	file, err := os.OpenFile(filepath.Join(dir, fileName), os.O_CREATE|os.O_WRONLY, 0o600)
	assert.NilError(t, err)
	_, err = io.Copy(file, content)
	assert.NilError(t, errors.Join(err, file.Close()))
	return dir
}

// readLeft opens what leftBy left, and wants all of it.
func readLeft(t *testing.T, dir string) {
	t.Helper()
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	r, err := s.Record(t.Context(), aJob)
	assert.NilError(t, err)
	g := r.Signed["out/isolate--confirm_2"]
	assert.Equal(t, g.Who, "Kim Holt")
	assert.Assert(t, record.Verify(r, "out/isolate--confirm_2", g), "the signature no longer holds")
	assert.Equal(t, r.Measured["out/belt-off--inspect-belt"].Value, "9.2")
	assert.Equal(t, r.Confirmed["out/isolate--confirm"].By, "Ada Berg")
	f := r.Findings[strings.Repeat("f", 26)]
	assert.Equal(t, f.FoundBy, "Ben Holm")
	assert.Equal(t, len(r.Work), 3)
	assert.Equal(t, len(f.Photos), 1)
	photo, err := s.Photo(t.Context(), aJob, f.Photos[0])
	assert.NilError(t, err)
	name, _, err := record.NewPhoto(photo)
	assert.NilError(t, err)
	assert.Equal(t, name, f.Photos[0])
	results, err := s.Results(t.Context(), "drill-quiz", 0)
	assert.NilError(t, err)
	assert.Equal(t, len(results), 2)
	var learners []string
	for _, x := range results {
		learners = append(learners, fmt.Sprint(x.Response.Learner, " ", x.Response.Score.Points))
	}
	slices.Sort(learners) // both came in the same moment
	assert.DeepEqual(t, learners, []string{"Ada Berg 5", "Ben Holm 4"})
}

// The databases that earlier versions made are brought forward with all that they hold, and opened again.
func TestDatabasesOfEarlierVersions(t *testing.T) {
	files, err := filepath.Glob("testdata/earlier/*.db.gz")
	assert.NilError(t, err)
	assert.Assert(t, len(files) > 0)
	for _, file := range files {
		version := strings.TrimSuffix(filepath.Base(file), ".db.gz")
		t.Run(version, func(t *testing.T) {
			dir := leftBy(t, version)
			for range 2 {
				readLeft(t, dir)
			}
		})
	}
}

// killedAt names the step in whose middle TestKilledWhileBroughtForward kills the process that it started, killedIn the data folder.
const killedAt, killedIn = "MATCHMARK_TEST_KILLED_AT", "MATCHMARK_TEST_KILLED_IN"

// dieInStep makes a step end the process by a kill signal when all of its statements are done and nothing is committed.
func dieInStep(step int64) {
	do := classForms.own[step]
	if do == nil {
		do = func(ctx context.Context, tx *sql.Tx, text string, _ int64) error {
			_, err := tx.ExecContext(ctx, text)
			return err
		}
	}
	classForms.own[step] = func(ctx context.Context, tx *sql.Tx, text string, now int64) error {
		if err := do(ctx, tx, text, now); err != nil {
			return err
		}
		self, err := os.FindProcess(os.Getpid())
		if err != nil {
			return err
		}
		if err := self.Kill(); err != nil {
			return err
		}
		select {} // until the signal arrives
	}
}

// Killed in the middle of any step, the database has the form before that step, whole; the next start brings it forward.
func TestKilledWhileBroughtForward(t *testing.T) {
	if step := os.Getenv(killedAt); step != "" {
		var number int64
		_, err := fmt.Sscan(step, &number)
		assert.NilError(t, err)
		dieInStep(number)
		open(t, os.Getenv(killedIn), Options{})
		t.Fatal("it was not killed")
	}
	const made = 1 // the form of 28e9791
	for step := int64(made + 1); step <= classForms.last; step++ {
		t.Run(fmt.Sprint("step ", step), func(t *testing.T) {
			dir := leftBy(t, "28e9791")
			child := exec.CommandContext(t.Context(), os.Args[0], "-test.run=^TestKilledWhileBroughtForward$")
			child.Env = append(os.Environ(), fmt.Sprint(killedAt, "=", step), killedIn+"="+dir)
			said, err := child.CombinedOutput()
			var exit *exec.ExitError
			assert.Assert(t, errors.As(err, &exit) && !exit.Exited(), "it ended with %v: %s", err, said)

			db, err := sql.Open("sqlite", address(filepath.Join(dir, fileName)))
			assert.NilError(t, err)
			version, err := schemaVersion(t.Context(), db)
			assert.NilError(t, errors.Join(err, db.Close()))
			assert.Equal(t, version, step-1)
			readLeft(t, dir)
		})
	}
}

// A database of a later version is refused, and no byte of it is changed.
func TestLaterVersionsAreLeftAlone(t *testing.T) {
	dir := leftBy(t, "28e9791")
	file := filepath.Join(dir, fileName)
	db, err := sql.Open("sqlite", address(file))
	assert.NilError(t, err)
	_, err = db.Exec(fmt.Sprintf("INSERT INTO migration VALUES (%d, 0)", classForms.last+1))
	assert.NilError(t, errors.Join(err, db.Close()))
	before, err := os.ReadFile(file)
	assert.NilError(t, err)
	_, err = Open(t.Context(), dir, Options{})
	var refused *RefusedError
	assert.Assert(t, errors.As(err, &refused) && refused.Why == Newer, "%v", err)
	assert.ErrorContains(t, err, "was made by a later version of matchmark")
	after, err := os.ReadFile(file)
	assert.NilError(t, err)
	assert.Assert(t, string(before) == string(after), "the refused database was changed")
}
