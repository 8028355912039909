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

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// applicationID marks a SQLite file as a class's: "mmcl" in ASCII.
// Source: SQLite, "Database File Format", 1.3.16 (offset 68 of the header).
const applicationID = 0x6d6d636c

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
func create(ctx context.Context, dir, file string, now time.Time) (made bool, err error) {
	_, err = os.Stat(file)
	switch {
	case err == nil:
		return false, nil
	case !errors.Is(err, fs.ErrNotExist):
		return false, err
	}
	if newest := newestBackup(dir); newest != "" {
		return false, &RefusedError{File: file, Why: Missing, Backup: newest}
	}
	fresh := file + ".new"
	if err := held.WriteFile(fresh, nil, 0o600); err != nil {
		return false, say.Because(say.That("making the class's database"), outOfRoom(err))
	}
	if err := fill(ctx, fresh, now); err != nil {
		return false, outOfRoom(err)
	}
	return true, moveIn(fresh, file)
}

// fill makes the tables of a new database.
func fill(ctx context.Context, fresh string, now time.Time) error {
	db, err := sql.Open("sqlite", address(fresh, "_pragma=synchronous(FULL)"))
	if err != nil {
		return say.Because(say.That("making the class's database"), err)
	}
	if _, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; CREATE TABLE migration (version INTEGER PRIMARY KEY, at INTEGER NOT NULL) STRICT", applicationID)); err != nil {
		db.Close()
		return say.Because(say.That("making the class's database"), err)
	}
	return errors.Join(classForms.forward(ctx, db, now), db.Close())
}

// Holds reports whether a data folder has the database of a class.
func Holds(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, fileName))
	return err == nil
}

// moveIn gives a finished file its name, and has both on the disk.
func moveIn(fresh, file string) error {
	if err := syncPath(fresh); err != nil {
		return err
	}
	if err := held.Rename(fresh, file); err != nil {
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
