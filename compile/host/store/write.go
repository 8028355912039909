package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

const (
	mostWaiting = 256 // tasks in the queue
	mostAtOnce  = 64  // tasks in one transaction
)

// task is one thing to write. It is answered when its transaction is on the disk.
type task struct {
	do   func(*writer) error
	done chan error
}

// writer is the transaction in which a task writes.
type writer struct {
	ctx  context.Context
	conn *sql.Conn
	// full says that the database has grown to its limit.
	full bool
	// wrote says whether the task changed anything.
	wrote bool
}

func (w *writer) exec(query string, args ...any) error {
	w.wrote = true
	_, err := w.conn.ExecContext(w.ctx, query, args...)
	return err
}

// do has a task written, and returns when it is on the disk or has failed.
func (s *Store) do(ctx context.Context, do func(*writer) error) error {
	t := &task{do: do, done: make(chan error, 1)}
	select {
	case <-s.closing:
		return ErrClosed
	case <-ctx.Done():
		return ctx.Err()
	case s.queue <- t:
	}
	select {
	case err := <-t.done:
		return err
	case <-s.done:
	}
	select {
	case err := <-t.done:
		return err
	default:
		return ErrClosed
	}
}

// write carries out tasks, in one transaction all that have gathered while the
// last one went to the disk: many tablets then wait for one sync and not each for its own.
func (s *Store) write() {
	defer close(s.done)
	for {
		select {
		case <-s.closing:
			return
		case first := <-s.queue:
			batch := []*task{first}
			for len(batch) < mostAtOnce && len(s.queue) > 0 {
				batch = append(batch, <-s.queue)
			}
			s.commit(batch)
		}
	}
}

// commit carries out a batch and answers each task. A task that fails leaves nothing behind and the others alone.
func (s *Store) commit(batch []*task) {
	failed := make([]error, len(batch))
	wrote, err := s.transaction(batch, failed)
	if err == nil && wrote {
		s.mu.Lock()
		s.turn++
		close(s.changed)
		s.changed = make(chan struct{})
		s.mu.Unlock()
	}
	for i, t := range batch {
		if err != nil {
			failed[i] = err
		}
		t.done <- failed[i]
	}
}

func (s *Store) transaction(batch []*task, failed []error) (wrote bool, err error) {
	// What a tablet has sent is written whether or not it still waits for the answer.
	ctx := context.Background()
	conn, err := s.writing.Conn(ctx)
	if err != nil {
		return false, fmt.Errorf("writing to the class's database: %w", err)
	}
	defer conn.Close()
	w := &writer{ctx: ctx, conn: conn}
	if w.full, err = s.full(ctx, conn); err != nil {
		return false, err
	}
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return false, fmt.Errorf("writing to the class's database: %w", err)
	}
	for i, t := range batch {
		w.wrote = false
		if failed[i], err = w.try(t); err != nil {
			conn.ExecContext(ctx, "ROLLBACK") // the error that matters is the one before
			return false, outOfRoom(err)
		}
		wrote = wrote || w.wrote && failed[i] == nil
	}
	if _, err := conn.ExecContext(ctx, "COMMIT"); err != nil {
		conn.ExecContext(ctx, "ROLLBACK")
		return false, outOfRoom(fmt.Errorf("writing to the class's database: %w", err))
	}
	return wrote, nil
}

// try carries out a task. The first error is the task's own, the second one spoils the transaction.
func (w *writer) try(t *task) (own, spoiled error) {
	if _, err := w.conn.ExecContext(w.ctx, "SAVEPOINT task"); err != nil {
		return nil, err
	}
	if own = outOfRoom(t.run(w)); own != nil {
		if _, err := w.conn.ExecContext(w.ctx, "ROLLBACK TO task"); err != nil {
			return own, errors.Join(own, err) // the transaction is gone already
		}
	}
	_, err := w.conn.ExecContext(w.ctx, "RELEASE task")
	return own, err
}

// run carries out the task's own part. One that panics must not take the class along.
func (t *task) run(w *writer) (err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("a fault in matchmark itself: %v", cause)
		}
	}()
	return t.do(w)
}

// full says whether the database has grown to its limit. Pages that were freed count as room.
func (s *Store) full(ctx context.Context, conn *sql.Conn) (bool, error) {
	if s.options.MostBytes == 0 {
		return false, nil
	}
	size, err := used(ctx, conn)
	return size >= s.options.MostBytes, err
}

// used is how many bytes the database needs.
func used(ctx context.Context, db interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) (int64, error) {
	var pages, free, size int64
	for pragma, into := range map[string]*int64{"page_count": &pages, "freelist_count": &free, "page_size": &size} {
		if err := db.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(into); err != nil {
			return 0, fmt.Errorf("looking at the database's size: %w", err)
		}
	}
	return (pages - free) * size, nil
}

// Used is how many bytes the database needs, and how many it may.
func (s *Store) Used(ctx context.Context) (bytes, most int64, err error) {
	bytes, err = used(ctx, s.reading)
	return bytes, s.options.MostBytes, err
}
