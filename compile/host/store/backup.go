package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// stamp names a backup by the time it was made, in UTC, so that names sort by age.
const stamp = "2006-01-02T15-04-05.000Z"

// Backup copies the database of a folder into backups/, whole and as of one
// moment, also while a host writes to it. It checks the copy and keeps the newest
// ones, keep of them; 0 keeps all. It returns the copy's file.
func Backup(ctx context.Context, dir string, keep int, now time.Time) (string, error) {
	file := filepath.Join(dir, fileName)
	if err := checkHeader(file); err != nil {
		return "", err
	}
	folder := filepath.Join(dir, backupFolder)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	out := filepath.Join(folder, now.UTC().Format(stamp)+".db")
	if _, err := os.Stat(out); err == nil {
		return "", fmt.Errorf("the backup %s was made a moment ago", out)
	}
	fresh := out + ".new"
	// SQLite takes an empty file as its goal, which makes it the owner's alone.
	if err := os.WriteFile(fresh, nil, 0o600); err != nil {
		return "", fmt.Errorf("making a backup: %w", outOfRoom(err))
	}
	defer os.Remove(fresh) // it has another name when all went well
	if err := copyInto(ctx, file, fresh); err != nil {
		return "", fmt.Errorf("making a backup: %w", outOfRoom(err))
	}
	if err := sound(ctx, fresh); err != nil {
		return "", fmt.Errorf("checking the backup: %w", err)
	}
	if err := moveIn(fresh, out); err != nil {
		return "", fmt.Errorf("making a backup: %w", err)
	}
	return out, prune(dir, keep)
}

func copyInto(ctx context.Context, file, out string) error {
	db, err := sql.Open("sqlite", address(file))
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "VACUUM INTO ?", out)
	return errors.Join(err, db.Close())
}

// Backups lists the backups of a folder, the oldest first.
func Backups(dir string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(dir, backupFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []string
	for _, e := range entries {
		if _, err := time.Parse(stamp, strings.TrimSuffix(e.Name(), ".db")); err == nil && strings.HasSuffix(e.Name(), ".db") {
			out = append(out, filepath.Join(dir, backupFolder, e.Name()))
		}
	}
	slices.Sort(out)
	return out, err
}

// prune removes backups but for the newest.
func prune(dir string, keep int) error {
	all, err := Backups(dir)
	if err != nil || keep <= 0 {
		return err
	}
	for _, old := range all[:max(0, len(all)-keep)] {
		if err := os.Remove(old); err != nil {
			return fmt.Errorf("removing an old backup: %w", err)
		}
	}
	return nil
}

// newestBackup is the newest backup, or "".
func newestBackup(dir string) string {
	all, err := Backups(dir)
	if err != nil || len(all) == 0 {
		return ""
	}
	return all[len(all)-1]
}

// newestSound is the newest backup that is not damaged itself, or "".
func newestSound(ctx context.Context, dir string) string {
	all, _ := Backups(dir) // none that can be read is none
	for _, b := range slices.Backward(all) {
		if sound(ctx, b) == nil {
			return b
		}
	}
	return ""
}

// Restore puts a backup in the database's place; "" takes the newest one that is
// sound. No host may run on the folder. What was there is kept: it returns the
// backup that it took and where the old database lies, "" when there was none.
func Restore(ctx context.Context, dir, backup string, now time.Time) (took, old string, err error) {
	if backup == "" {
		if backup = newestSound(ctx, dir); backup == "" {
			return "", "", fmt.Errorf("%w: no backup in %s is sound", ErrUnknown, filepath.Join(dir, backupFolder))
		}
	} else if err := sound(ctx, backup); err != nil {
		return "", "", err
	}
	file := filepath.Join(dir, fileName)
	fresh := file + ".new"
	if err := copyFile(backup, fresh); err != nil {
		return "", "", fmt.Errorf("copying the backup: %w", err)
	}
	if err := renew(ctx, fresh); err != nil {
		return "", "", fmt.Errorf("copying the backup: %w", err)
	}
	// The log belongs to the old file: beside another one it would be read as its own.
	aside := filepath.Join(dir, "before-"+now.UTC().Format(stamp))
	for _, end := range []string{"", "-wal", "-shm"} {
		if _, err := os.Stat(file + end); err != nil {
			continue
		}
		if err := os.MkdirAll(aside, 0o700); err != nil {
			return "", "", err
		}
		if err := os.Rename(file+end, filepath.Join(aside, fileName+end)); err != nil {
			return "", "", fmt.Errorf("putting the old database aside: %w", err)
		}
		old = aside
	}
	if err := moveIn(fresh, file); err != nil {
		return "", "", fmt.Errorf("putting the backup in place: %w", err)
	}
	return backup, old, nil
}

// renew gives a database another generation: whoever has sent something to the one
// before it learns that this one may lack it.
func renew(ctx context.Context, file string) error {
	db, err := sql.Open("sqlite", address(file, "_pragma=synchronous(FULL)"))
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "INSERT INTO setting VALUES ('generation', randomblob(8)) ON CONFLICT (name) DO UPDATE SET value = excluded.value")
	return errors.Join(err, db.Close())
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
