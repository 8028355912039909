package store

import (
	"context"
	"database/sql"
	"fmt"
)

// Step is one thing that somebody did. It names nobody but by a pseudonym.
type Step struct {
	Seq, At int64
	// Person did it, Tablet is what it was done on or to.
	Person, Tablet string
	// What is a word of the program's own.
	What string
	Job  string
	// About says the rest: a number, a row, a file.
	About string
}

// note puts a step on the trail.
func (w *writer) note(now int64, s Step) error {
	return w.exec("INSERT INTO trail (at, person, tablet, what, job, about) VALUES (?, ?, ?, ?, ?, ?)", now, s.Person, s.Tablet, s.What, s.Job, s.About)
}

// Note puts a step on the trail that nothing else writes down.
func (s *Store) Note(ctx context.Context, step Step) error {
	return s.do(ctx, func(tx *writer) error { return tx.note(s.now(), step) })
}

// Trail lists the last steps, the newest first.
func (s *Store) Trail(ctx context.Context, most int) ([]Step, error) {
	found, err := rows(ctx, s.reading, "SELECT seq, at, person, tablet, what, job, about FROM trail ORDER BY seq DESC LIMIT ?",
		func(r *sql.Rows, x *Step) error {
			return r.Scan(&x.Seq, &x.At, &x.Person, &x.Tablet, &x.What, &x.Job, &x.About)
		}, most)
	if err != nil {
		return nil, fmt.Errorf("reading the trail: %w", err)
	}
	return found, nil
}

// Written is one state of an entry, as the history of a job has it.
type Written struct {
	Seq, At, Claimed int64
	Part, Key        string
	Tablet, Person   string
	Body             []byte
}

// History lists all that was ever written down of a job, in the order in which it came.
func (s *Store) History(ctx context.Context, job string) ([]Written, error) {
	found, err := rows(ctx, s.reading, "SELECT seq, at, claimed, part, key, tablet, person, body FROM entry WHERE job = ? ORDER BY seq",
		func(r *sql.Rows, x *Written) error {
			return r.Scan(&x.Seq, &x.At, &x.Claimed, &x.Part, &x.Key, &x.Tablet, &x.Person, &x.Body)
		}, job)
	if err != nil {
		return nil, fmt.Errorf("reading what was written down: %w", err)
	}
	return found, nil
}
