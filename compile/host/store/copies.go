package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"matchmark/procedure/held"
)

// LogFile is what SQLite keeps beside the database while it is in use: pages that are not in it yet, and some as they were.
const LogFile = fileName + "-wal"

// Copies lists whatever in a data folder holds data of the class besides the database that is in use: backups, what a restore put
// aside, logs that were damaged, and what was left half made. The paths count from the folder, and are sorted.
func Copies(dir string) ([]string, error) {
	var out []string
	look := func(folder string, is func(name string) bool) error {
		entries, err := os.ReadDir(filepath.Join(dir, folder))
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		for _, e := range entries {
			if is(e.Name()) {
				out = append(out, filepath.Join(folder, e.Name()))
			}
		}
		return err
	}
	if err := look(backupFolder, func(name string) bool { return name != "lock" }); err != nil {
		return nil, fmt.Errorf("looking for copies: %w", err)
	}
	if err := look("", func(name string) bool {
		return strings.HasPrefix(name, "before-") || strings.HasPrefix(name, "damaged-") || strings.HasPrefix(name, fileName+".new")
	}); err != nil {
		return nil, fmt.Errorf("looking for copies: %w", err)
	}
	return out, nil
}

// RemoveCopies removes copies, but for those to keep, and returns what could not be removed. The first reason is the error.
func RemoveCopies(dir string, keep ...string) (left []string, err error) {
	all, err := Copies(dir)
	if err != nil {
		return nil, err
	}
	kept := map[string]bool{}
	for _, k := range keep {
		kept[k] = true
	}
	for _, name := range all {
		if kept[name] {
			continue
		}
		if fault := held.RemoveAll(filepath.Join(dir, name)); fault != nil {
			left = append(left, name)
			err = errors.Join(err, fault)
		}
	}
	return left, err
}

// RemoveOldCopies removes copies that were last written before a time, but for the newest backup.
func RemoveOldCopies(dir string, before time.Time) (removed int, err error) {
	all, err := Copies(dir)
	if err != nil {
		return 0, err
	}
	newest := newestBackup(dir)
	for _, name := range all {
		file := filepath.Join(dir, name)
		info, fault := os.Stat(file)
		if fault != nil || !info.ModTime().Before(before) || file == newest {
			continue
		}
		if fault := held.RemoveAll(file); fault != nil {
			err = errors.Join(err, fault)
			continue
		}
		removed++
	}
	return removed, err
}

// logPatience is how long a deletion waits for whoever reads the database, until it says that the log still holds what was deleted.
const logPatience = 3 * time.Second

// EmptyLog takes what was deleted out of what the database keeps beside its tables, such as the log of a file, in which pages still stand as they were.
// It reports whether that was done: somebody who reads on may keep it from it. It is done then after one of the next changes.
func (s *Store) EmptyLog(ctx context.Context) (done bool, err error) {
	for end := time.Now().Add(logPatience); ; {
		if done, err = s.db.empty(ctx); done || err != nil {
			break
		}
		if time.Now().After(end) {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.mu.Lock()
	s.logged = !done
	s.mu.Unlock()
	return done, err
}

// empty tries once to move what the log holds into the database. Source: SQLite, PRAGMA wal_checkpoint: the first column is 1 when somebody kept it from being done.
func (f *file) empty(ctx context.Context) (bool, error) {
	conn, err := f.writing.Conn(ctx)
	if err != nil {
		return false, err
	}
	defer conn.Close()
	var busy, frames, moved int
	if _, err := conn.ExecContext(ctx, "PRAGMA busy_timeout = 100"); err != nil {
		return false, err
	}
	fault := conn.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &frames, &moved)
	if _, err := conn.ExecContext(ctx, "PRAGMA busy_timeout = 10000"); err != nil {
		return false, err
	}
	if fault != nil {
		return false, fmt.Errorf("emptying the log: %w", fault)
	}
	return busy == 0, nil
}

// emptyLogLater tries again when a deletion could not empty the log.
func (s *Store) emptyLogLater() {
	s.mu.Lock()
	logged := s.logged
	s.mu.Unlock()
	if !logged {
		return
	}
	if done, err := s.db.empty(context.Background()); done && err == nil {
		s.mu.Lock()
		s.logged = false
		s.mu.Unlock()
	}
}
