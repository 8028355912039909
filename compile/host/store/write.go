package store

import (
	"context"
	"errors"
	"fmt"

	"matchmark/procedure/say"
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
	ctx   context.Context
	conn  execer
	fault func(error) error
	// full says that the database has grown to its limit.
	full bool
	// wrote says whether the task changed anything, and people whether a name.
	wrote, people bool
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
			s.emptyLogLater()
		}
	}
}

// commit carries out a batch and answers each task. A task that fails leaves nothing behind and the others alone.
func (s *Store) commit(batch []*task) {
	failed := make([]error, len(batch))
	wrote, people, err := s.transaction(batch, failed)
	if err == nil && wrote || people { // a commit that was not answered may have been one
		s.tell(people)
	}
	for i, t := range batch {
		if err != nil {
			failed[i] = err
		}
		t.done <- failed[i]
	}
}

// tell counts a change and wakes whoever waits for one. people says that names have changed.
func (s *Store) tell(people bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if people {
		s.people = nil
		s.renamed++
	}
	s.turn++
	close(s.changed)
	s.changed = make(chan struct{})
}

func (s *Store) transaction(batch []*task, failed []error) (wrote, people bool, err error) {
	// What a tablet has sent is written whether or not it still waits for the answer.
	ctx := context.Background()
	tx, err := s.db.begin(ctx)
	if err != nil {
		return false, false, s.db.fault(say.Because(say.That("writing to the class's database"), err))
	}
	defer tx.rollback(ctx)
	w := &writer{ctx: tx.within(), conn: tx, fault: s.db.fault}
	if w.full, err = s.full(w.ctx, tx); err != nil {
		return false, false, s.db.fault(err)
	}
	for i, t := range batch {
		w.wrote = false
		if failed[i], err = w.try(t); err != nil {
			return false, false, s.db.fault(err)
		}
		wrote = wrote || w.wrote && failed[i] == nil
	}
	if err := tx.commit(ctx, wrote, w.people); err != nil {
		return false, w.people, s.db.fault(say.Because(say.That("writing to the class's database"), err))
	}
	return wrote, w.people, nil
}

// try carries out a task. The first error is the task's own, the second one spoils the transaction.
func (w *writer) try(t *task) (own, spoiled error) {
	if _, err := w.conn.ExecContext(w.ctx, "SAVEPOINT task"); err != nil {
		return nil, err
	}
	if own = w.fault(t.run(w)); own != nil {
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
			err = fmt.Errorf("an internal error of matchmark: %v", cause)
		}
	}()
	return t.do(w)
}

// full says whether the database has grown to its limit.
func (s *Store) full(ctx context.Context, tx transaction) (bool, error) {
	if s.options.MostBytes == 0 {
		return false, nil
	}
	size, err := tx.used(ctx)
	return size >= s.options.MostBytes, err
}

// Used is how many bytes the database needs, and how many it may.
func (s *Store) Used(ctx context.Context) (bytes, most int64, err error) {
	bytes, err = s.db.used(ctx)
	return bytes, s.options.MostBytes, err
}
