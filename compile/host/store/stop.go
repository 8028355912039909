package store

import (
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// stoppedFile and the setting of that name say the same word when the database was closed and
// nothing has touched it since. While a host runs, the file is not there.
const (
	stoppedFile    = "stopped"
	stoppedSetting = "stopped"
)

// Found is what Open found out about how the database was left.
type Found struct {
	// Unclean is true when it was not closed, or is not the one that was closed. It has another name
	// then (see Name), so that tablets send again all that they have.
	Unclean bool
	// Earlier is true when it is behind what this host has seen of it, as after a copy of it was brought back.
	Earlier bool
	// Damage says what is wrong with what was written last; nil for nothing. Kept is where
	// the damaged log was put aside; may be empty.
	Damage error
	Kept   string
}

// lookAtLog looks at the log before SQLite does, which takes what is whole and forgets the rest.
func lookAtLog(dir, file string, now time.Time) (found Found, log error) {
	log = checkLog(file + "-wal")
	if log == nil || errors.Is(log, errNoLog) {
		return Found{}, log
	}
	found.Damage = log
	aside := filepath.Join(dir, "damaged-"+now.UTC().Format(stamp))
	if os.MkdirAll(aside, 0o700) == nil && copyFile(file+"-wal", filepath.Join(aside, fileName+"-wal")) == nil {
		found.Kept = aside
	}
	return found, log
}

// tryWriting refuses a file that is there and cannot be written, before SQLite makes files beside it that cannot either.
func tryWriting(file string) error {
	f, err := os.OpenFile(file, os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return unwritable(file, err)
	}
	return f.Close()
}

// settle finds out how the database was left, gives it another name if it was not closed, and notes
// that it is open. It writes, so that a database that cannot be written ends the start and not the class.
func (f *file) settle(ctx context.Context, fresh bool, log error) error {
	var word []byte
	if err := f.writing.QueryRowContext(ctx, "SELECT coalesce((SELECT value FROM setting WHERE name = ?), x'00')", stoppedSetting).Scan(&word); err != nil {
		return say.Because(say.That("looking how the class's database was left"), err)
	}
	name := filepath.Join(f.dir, stoppedFile)
	kept, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return say.Because(say.That("looking how the class's database was left"), err)
	}
	f.left.Unclean = !fresh && (len(kept) == 0 || string(kept) != string(word))
	if running := len(word) == 0; f.left.Unclean && running && errors.Is(log, errNoLog) {
		f.left.Damage = errNoLog
	}
	if f.left.Unclean {
		if _, err := f.writing.ExecContext(ctx, renewal); err != nil {
			return say.Because(say.That("writing to the class's database"), err)
		}
	}
	// In the file itself, so that it is known even where the log is lost.
	for _, statement := range []string{"INSERT INTO setting VALUES ('" + stoppedSetting + "', x'') ON CONFLICT (name) DO UPDATE SET value = x''", "PRAGMA wal_checkpoint(TRUNCATE)"} {
		if _, err := f.writing.ExecContext(ctx, statement); err != nil {
			return say.Because(say.That("writing to the class's database"), err)
		}
	}
	if err := held.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return say.Because(say.That("noting that the class's database is open"), err)
	}
	return syncFolder(f.dir)
}

// end closes the database and notes that. Where it cannot be noted, as on a full disk, tablets send again what is there
// already, which is no reason to speak of a failure.
func (f *file) end(ctx context.Context) error {
	word := rand.Text()
	_, noted := f.writing.ExecContext(ctx, "UPDATE setting SET value = ? WHERE name = ?", []byte(word), stoppedSetting)
	if err := f.disconnect(); err != nil || noted != nil {
		return err
	}
	_ = noteStopped(f.dir, word)
	return nil
}

func noteStopped(dir, word string) error {
	file := filepath.Join(dir, stoppedFile)
	if err := held.WriteFile(file+".new", []byte(word), 0o600); err != nil {
		return say.Because(say.That("noting that the class's database is closed"), outOfRoom(err))
	}
	return moveIn(file+".new", file)
}

// renewal gives a database another generation: whoever has sent something to the one before it learns that this one may lack it.
const renewal = "INSERT INTO setting VALUES ('generation', randomblob(8)) ON CONFLICT (name) DO UPDATE SET value = excluded.value"

// sweep removes what a process that was killed left half made in a folder.
func sweep(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.Contains(e.Name(), ".new") && e.Type().IsRegular() {
			if err := held.Remove(filepath.Join(dir, e.Name())); err != nil {
				return say.Because(say.That("removing what was left half made"), err)
			}
		}
	}
	return nil
}
