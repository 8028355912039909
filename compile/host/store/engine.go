package store

import (
	"context"
	"database/sql"
	"time"

	"matchmark/procedure/say"
)

// engine is the database that a store lies in: a SQLite file, or the part of one workshop in a PostgreSQL database. Whatever
// both do alike is written once, in SQL that both understand; here stands what they do not share.
type engine interface {
	// reader reads what was committed.
	reader() queryer
	// begin begins a transaction, beside which nobody else writes to the class.
	begin(ctx context.Context) (transaction, error)
	// used is how many bytes the class takes.
	used(ctx context.Context) (int64, error)
	// fault gives an error of the database's the meaning that it has for a class: ErrFull, ErrAway, or none.
	fault(err error) error
	// away is since when the database cannot be reached; the zero time while it can.
	away() time.Time
	// several is what the workshops of one database share; nil for a database of one class.
	several() *school
	// copier makes copies of the database; nil where somebody else does.
	copier() copier
	// found says how the database was left.
	found() Found
	// empty tries once to take what was deleted out of what the database keeps beside its tables, and reports whether that was done.
	empty(ctx context.Context) (done bool, err error)
	// start has changed called when somebody else has written to the class; people says that names may have changed.
	start(changed func(people bool))
	close(ctx context.Context) error
}

// copier keeps copies of a database in the data folder. Names of files count from there.
type copier interface {
	backup(ctx context.Context, keep int, now time.Time) (file string, err error)
	copies() ([]string, error)
	remove(keep ...string) (left []string, err error)
	removeOld(before time.Time) (removed int, err error)
}

// queryer is a connection, a pool, or a transaction.
type queryer interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
	QueryRowContext(context.Context, string, ...any) *sql.Row
}

// execer is one that may write.
type execer interface {
	queryer
	ExecContext(context.Context, string, ...any) (sql.Result, error)
}

// transaction is one that nobody else writes beside.
type transaction interface {
	execer
	// within bounds how long its statements may take.
	within() context.Context
	used(ctx context.Context) (int64, error)
	// commit has it on the disk when it returns without an error. wrote says whether anything was written, and names whether a name was.
	commit(ctx context.Context, wrote, names bool) error
	// rollback undoes it; after a commit it does nothing.
	rollback(ctx context.Context)
}

// ErrAway means that the database cannot be reached. Nothing is lost by it: what was not acknowledged is sent again.
var ErrAway = say.Error(say.That("the database cannot be reached"))

// Fault says what an error of a store means: it is ErrFull or ErrAway where the database said so.
func (s *Store) Fault(err error) error { return s.db.fault(err) }

// Away is since when the database cannot be reached; false while it can.
func (s *Store) Away() (since time.Time, away bool) {
	since = s.db.away()
	return since, !since.IsZero()
}

// CopiesItself reports whether copies of the database are the store's to make and to remove. Otherwise they are made by whoever runs the database.
func (s *Store) CopiesItself() bool { return s.db.copier() != nil }

// Backup makes a copy and keeps the newest, keep of them, or all with 0. It returns the copy's file, as it is called in the data folder.
func (s *Store) Backup(ctx context.Context, keep int) (file string, err error) {
	if c := s.db.copier(); c != nil {
		return c.backup(ctx, keep, s.options.Now())
	}
	return "", ErrUnknown
}

// Copies lists the files in the data folder that hold data of the class besides the database in use.
func (s *Store) Copies() ([]string, error) {
	if c := s.db.copier(); c != nil {
		return c.copies()
	}
	return nil, nil
}

// RemoveCopies removes copies, but for those to keep, and returns what could not be removed. The first reason is the error.
func (s *Store) RemoveCopies(keep ...string) (left []string, err error) {
	if c := s.db.copier(); c != nil {
		return c.remove(keep...)
	}
	return nil, nil
}
