package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// applicationID marks a SQLite file as a class's: "mmcl" in ASCII.
// Source: SQLite, "Database File Format", 1.3.16 (offset 68 of the header).
const applicationID = 0x6d6d636c

// migrations bring a database from one version to the next; the first one makes
// it. One that has gone out with a release is never changed.
var migrations = []string{`
CREATE TABLE setting (name TEXT PRIMARY KEY, value BLOB NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE job (
	name TEXT PRIMARY KEY,
	procedure TEXT NOT NULL,
	variant TEXT NOT NULL,
	began INTEGER NOT NULL,   -- milliseconds since 1970 by the host's clock, as all times here
	changed INTEGER NOT NULL,
	record BLOB NOT NULL      -- JSON without the data of photos, and without signatures
) STRICT;
CREATE INDEX job_by_change ON job (changed);
CREATE TABLE signature (
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	row TEXT NOT NULL,
	who TEXT NOT NULL,
	at INTEGER NOT NULL,
	content TEXT NOT NULL,
	key TEXT NOT NULL,
	seal TEXT NOT NULL,
	PRIMARY KEY (job, row)
) STRICT, WITHOUT ROWID;
CREATE TABLE photo (
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	hash TEXT NOT NULL,
	data BLOB NOT NULL,
	PRIMARY KEY (job, hash)
) STRICT;
CREATE TABLE result (
	hash TEXT PRIMARY KEY,
	quiz TEXT NOT NULL,
	learner TEXT NOT NULL,    -- the name as it is compared
	received INTEGER NOT NULL,
	body BLOB NOT NULL        -- JSON
) STRICT;
CREATE INDEX result_by_quiz ON result (quiz, received);
-- Whoever was deleted: a keyed hash of the name, so that what a tablet still has does not bring the name back.
CREATE TABLE forgotten (hash BLOB PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID;
`}

// address is the driver's address of a file. It has no place for a folder to start from, so it names the whole path.
func address(file string, options ...string) string {
	if whole, err := filepath.Abs(file); err == nil {
		file = whole
	}
	path := filepath.ToSlash(file)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	options = append([]string{"_busy_timeout=10000", "_foreign_keys=1"}, options...)
	u := url.URL{Scheme: "file", Path: path, RawQuery: strings.Join(options, "&")}
	return u.String()
}

// create makes a new database where there is none. It appears as a whole, so
// that a crash leaves none that is half made. Where there are backups, the
// database has been lost, and an empty one would hide that.
func create(ctx context.Context, dir, file string, now time.Time) error {
	_, err := os.Stat(file)
	switch {
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if newest := newestBackup(dir); newest != "" {
		return &RefusedError{File: file, Why: Missing, Backup: newest}
	}
	fresh := file + ".new"
	if err := os.WriteFile(fresh, nil, 0o600); err != nil {
		return fmt.Errorf("making the class's database: %w", err)
	}
	db, err := sql.Open("sqlite", address(fresh, "_pragma=synchronous(FULL)"))
	if err != nil {
		return fmt.Errorf("making the class's database: %w", err)
	}
	if _, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; CREATE TABLE migration (version INTEGER PRIMARY KEY, at INTEGER NOT NULL) STRICT", applicationID)); err != nil {
		db.Close()
		return fmt.Errorf("making the class's database: %w", err)
	}
	if err := errors.Join(migrate(ctx, db, now), db.Close()); err != nil {
		return err
	}
	return moveIn(fresh, file)
}

// migrate brings the database to this program's version, each step in a transaction.
func migrate(ctx context.Context, db *sql.DB, now time.Time) error {
	version, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	for i := version; i < len(migrations); i++ {
		tx, err := db.BeginTx(ctx, nil)
		if err != nil {
			return fmt.Errorf("bringing the database up to date: %w", err)
		}
		_, err = tx.ExecContext(ctx, migrations[i])
		if err == nil {
			_, err = tx.ExecContext(ctx, "INSERT INTO migration VALUES (?, ?)", i+1, now.UnixMilli())
		}
		if err != nil {
			tx.Rollback()
			return fmt.Errorf("bringing the database up to date, step %d: %w", i+1, err)
		}
		if err := tx.Commit(); err != nil {
			return fmt.Errorf("bringing the database up to date, step %d: %w", i+1, err)
		}
	}
	return nil
}

func schemaVersion(ctx context.Context, db *sql.DB) (version int, err error) {
	if err := db.QueryRowContext(ctx, "SELECT coalesce(max(version), 0) FROM migration").Scan(&version); err != nil {
		return 0, fmt.Errorf("reading the database's version: %w", err)
	}
	return version, nil
}

// moveIn gives a finished file its name, and has both on the disk.
func moveIn(fresh, file string) error {
	if err := syncPath(fresh); err != nil {
		return err
	}
	if err := os.Rename(fresh, file); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(file))
}

func syncPath(name string) error {
	file, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
