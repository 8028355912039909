package store

import (
	"cmp"
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/compile/filelock"
	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// stamp is the time at which a backup was made, in UTC. It is for people: clocks stand back and run ahead.
const stamp = "2006-01-02T15-04-05.000Z"

// backupName is the name of a backup: which one it is, counted from 1, and when it was made.
var backupName = regexp.MustCompile(`^([0-9]{6,15})_.*\.db$`)

// numberOf is the number of a backup by its file's name; ok is false when it is none. Those that have
// only a time, as earlier versions named them, are older than all others.
func numberOf(name string) (n int64, ok bool) {
	if m := backupName.FindStringSubmatch(name); m != nil {
		n, err := strconv.ParseInt(m[1], 10, 64)
		return n, err == nil
	}
	_, err := time.Parse(stamp, strings.TrimSuffix(name, ".db"))
	return 0, err == nil && strings.HasSuffix(name, ".db")
}

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
	lock, err := lockBackups(ctx, folder)
	if err != nil {
		return "", err
	}
	defer lock.Close()
	if err := sweep(folder); err != nil { // of a backup that was killed; the lock says that none is being made
		return "", err
	}
	all, err := Backups(dir)
	if err != nil {
		return "", err
	}
	number := int64(1)
	if len(all) > 0 {
		last, _ := numberOf(filepath.Base(all[len(all)-1]))
		number = last + 1
	}
	out := filepath.Join(folder, fmt.Sprintf("%06d_%s.db", number, now.UTC().Format(stamp)))
	fresh := out + ".new"
	// SQLite takes an empty file as its goal, which makes it the owner's alone.
	if err := held.WriteFile(fresh, nil, 0o600); err != nil {
		return "", say.Because(say.That("making a backup"), outOfRoom(err))
	}
	defer held.Remove(fresh) // it has another name when all went well
	if err := copyInto(ctx, file, fresh); err != nil {
		return "", say.Because(say.That("making a backup"), outOfRoom(err))
	}
	if err := sound(ctx, fresh); err != nil {
		return "", say.Because(say.That("checking the backup"), err)
	}
	if err := moveIn(fresh, out); err != nil {
		return "", say.Because(say.That("making a backup"), err)
	}
	return out, prune(dir, keep)
}

// lockBackups waits until no other process makes a backup in a folder. Closing the file lets others in.
func lockBackups(ctx context.Context, folder string) (*os.File, error) {
	file, err := os.OpenFile(filepath.Join(folder, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, say.Because(say.That("making a backup"), outOfRoom(err))
	}
	for {
		err := filelock.Lock(file)
		if err == nil {
			return file, nil
		}
		if errors.Is(err, filelock.ErrLocked) {
			select {
			case <-time.After(50 * time.Millisecond):
				continue
			case <-ctx.Done():
				err = ctx.Err()
			}
		}
		return nil, errors.Join(say.Because(say.That("making a backup"), err), file.Close())
	}
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
		if _, is := numberOf(e.Name()); is {
			out = append(out, filepath.Join(dir, backupFolder, e.Name()))
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		x, _ := numberOf(filepath.Base(a))
		y, _ := numberOf(filepath.Base(b))
		return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
	})
	return out, err
}

// prune removes backups but for the newest.
func prune(dir string, keep int) error {
	all, err := Backups(dir)
	if err != nil || keep <= 0 {
		return err
	}
	for _, old := range all[:max(0, len(all)-keep)] {
		if err := held.Remove(old); err != nil {
			return say.Because(say.That("removing an old backup"), err)
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
			return "", "", say.Behind(ErrUnknown, say.Error(say.That("no backup in %folder is sound", say.Name(filepath.Join(dir, backupFolder)))))
		}
	} else if err := sound(ctx, backup); err != nil {
		return "", "", err
	}
	file := filepath.Join(dir, fileName)
	fresh := file + ".new"
	if err := copyFile(backup, fresh); err != nil {
		return "", "", say.Because(say.That("copying the backup"), err)
	}
	word := rand.Text()
	if err := renew(ctx, fresh, word); err != nil {
		return "", "", say.Because(say.That("copying the backup"), err)
	}
	old, back, err := putAside(file, filepath.Join(dir, "before-"+now.UTC().Format(stamp)))
	if err != nil {
		return "", "", say.Because(say.That("putting the old database aside"), err)
	}
	if err := moveIn(fresh, file); err != nil {
		return "", "", say.Because(say.That("putting the backup in place"), errors.Join(err, back()))
	}
	return backup, old, noteStopped(dir, word)
}

// putAside moves a database into a folder with its log, which beside another database would be read as that one's, and returns the
// folder; "" when there is none. back puts all where it was, and has been called where one of the files cannot be moved.
func putAside(file, aside string) (folder string, back func() error, err error) {
	var moved []string
	back = func() (err error) {
		for _, end := range moved {
			err = errors.Join(err, held.Rename(filepath.Join(aside, fileName+end), file+end))
		}
		os.Remove(aside) // a folder that is not empty stays
		return err
	}
	for _, end := range []string{"", "-wal", "-shm"} {
		if _, err := os.Stat(file + end); err != nil {
			continue
		}
		err := os.MkdirAll(aside, 0o700)
		if err == nil {
			err = held.Rename(file+end, filepath.Join(aside, fileName+end))
		}
		if err != nil {
			return "", nil, errors.Join(err, back())
		}
		moved, folder = append(moved, end), aside
	}
	return folder, back, nil
}

// renew gives a database another generation, and lets it be one that was closed.
func renew(ctx context.Context, file, word string) error {
	db, err := sql.Open("sqlite", address(file, "_pragma=synchronous(FULL)"))
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, renewal)
	if err == nil {
		_, err = db.ExecContext(ctx, "INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value", stoppedSetting, []byte(word))
	}
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
