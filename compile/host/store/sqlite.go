package store

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the database

	"matchmark/procedure/say"
)

// file is a class in one SQLite file, in a data folder of its own.
type file struct {
	dir     string
	reading *sql.DB
	writing *sql.DB
	left    Found
}

// openFile opens the database in a folder, and makes one where there is none.
func openFile(ctx context.Context, dir string, now time.Time) (*file, error) {
	name := filepath.Join(dir, fileName)
	if err := sweep(dir); err != nil {
		return nil, err
	}
	if err := tryWriting(name); err != nil {
		return nil, err
	}
	left, log := lookAtLog(dir, name, now)
	made, err := create(ctx, dir, name, now)
	if err != nil {
		return nil, err
	}
	if err := inspect(ctx, dir, name); err != nil {
		return nil, unwritable(name, err)
	}
	f := &file{dir: dir, left: left}
	if err := f.connect(ctx, name, now); err != nil {
		f.disconnect()
		return nil, unwritable(name, outOfRoom(err))
	}
	if err := f.settle(ctx, made, log); err != nil {
		f.disconnect()
		return nil, unwritable(name, outOfRoom(err))
	}
	return f, nil
}

// connect opens the one connection that writes and those that read.
func (f *file) connect(ctx context.Context, name string, now time.Time) (err error) {
	if f.writing, err = sql.Open("sqlite", address(name, "_txlock=immediate", "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)", "_pragma=secure_delete(1)")); err != nil {
		return say.Because(say.That("opening the class's database"), err)
	}
	f.writing.SetMaxOpenConns(1)
	if err := classForms.forward(ctx, f.writing, now); err != nil {
		return err
	}
	if f.reading, err = sql.Open("sqlite", address(name, "_pragma=query_only(1)")); err != nil {
		return say.Because(say.That("opening the class's database"), err)
	}
	f.reading.SetMaxOpenConns(4)
	return nil
}

func (f *file) disconnect() error {
	var err error
	for _, db := range []*sql.DB{f.reading, f.writing} {
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	return err
}

func (f *file) reader() queryer         { return f.reading }
func (f *file) fault(err error) error   { return outOfRoom(err) }
func (f *file) away() time.Time         { return time.Time{} }
func (f *file) several() *school        { return nil }
func (f *file) copier() copier          { return f }
func (f *file) found() Found            { return f.left }
func (f *file) start(func(people bool)) {}

// alone is a transaction on the one connection that writes.
type alone struct {
	*sql.Conn
	ctx  context.Context
	over bool
}

func (f *file) begin(ctx context.Context) (transaction, error) {
	conn, err := f.writing.Conn(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		conn.Close()
		return nil, err
	}
	return &alone{Conn: conn, ctx: ctx}, nil
}

func (a *alone) commit(ctx context.Context, _, _ bool) error {
	if _, err := a.ExecContext(ctx, "COMMIT"); err != nil {
		return err
	}
	a.over = true
	return a.Close()
}

func (a *alone) rollback(ctx context.Context) {
	if !a.over {
		a.over = true
		a.ExecContext(ctx, "ROLLBACK") // the error that matters is the one before
		a.Close()
	}
}

func (a *alone) within() context.Context                          { return a.ctx }
func (a *alone) used(ctx context.Context) (int64, error)          { return used(ctx, a) }
func (f *file) used(ctx context.Context) (bytes int64, err error) { return used(ctx, f.reading) }

// used is how many bytes a file needs. Pages that were freed count as room.
func used(ctx context.Context, db queryer) (int64, error) {
	var pages, free, size int64
	for pragma, into := range map[string]*int64{"page_count": &pages, "freelist_count": &free, "page_size": &size} {
		if err := db.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(into); err != nil {
			return 0, say.Because(say.That("looking at the database's size"), err)
		}
	}
	return (pages - free) * size, nil
}

func (f *file) backup(ctx context.Context, keep int, now time.Time) (string, error) {
	made, err := Backup(ctx, f.dir, keep, now)
	if err != nil {
		return "", err
	}
	return filepath.Rel(f.dir, made)
}

func (f *file) copies() ([]string, error)               { return Copies(f.dir) }
func (f *file) remove(keep ...string) ([]string, error) { return RemoveCopies(f.dir, keep...) }
func (f *file) removeOld(before time.Time) (int, error) { return RemoveOldCopies(f.dir, before) }
func (f *file) close(ctx context.Context) error         { return f.end(ctx) }
