package store

import (
	"context"
	"errors"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// outOfRoom makes a full disk ErrFull. Where writing fails for another reason, as on a disk that
// dies, room is no help, and SQLite has a code of its own for it.
// Source: SQLite, "Result and Error Codes": SQLITE_FULL, SQLITE_IOERR_WRITE, SQLITE_IOERR_SHMSIZE (from memory).
func outOfRoom(err error) error {
	full := held.Full(err)
	var fault *sqlite.Error
	if errors.As(err, &fault) {
		switch fault.Code() {
		case sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_SHMSIZE:
			full = true
		}
	}
	if full {
		return say.Behind(ErrFull, err)
	}
	return err
}

// unwritable makes an error that says that a database cannot be written a *RefusedError.
// Source: SQLite, "Result and Error Codes": SQLITE_PERM, SQLITE_READONLY, SQLITE_CANTOPEN.
func unwritable(file string, err error) error {
	refused := errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS)
	var fault *sqlite.Error
	if errors.As(err, &fault) {
		switch fault.Code() & 0xff {
		case sqlite3.SQLITE_PERM, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN:
			refused = true
		}
	}
	if refused && !errors.Is(err, ErrFull) {
		return &RefusedError{File: file, Why: Unwritable, Detail: err.Error()}
	}
	return err
}

// isDamage reports whether an error says that a database's content cannot be read. Others are
// of the world around it: no room for the files beside it, no leave to open it, somebody who locks it.
// Source: SQLite, "Result and Error Codes".
func isDamage(err error) bool {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return false // nobody waited for the answer
	}
	var fault *sqlite.Error
	if !errors.As(err, &fault) {
		return true // it is of another form than what was written
	}
	switch fault.Code() {
	case sqlite3.SQLITE_IOERR_READ, sqlite3.SQLITE_IOERR_SHORT_READ:
		return true
	}
	switch fault.Code() & 0xff {
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR:
		return true // SQLITE_ERROR: a table or a column is not there
	}
	return false
}
