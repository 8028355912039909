package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"matchmark/procedure/record"
)

// MostRecord is how many bytes a job's record may have as JSON, without photos: less than what one
// request brings, since tablets send back what they were sent.
const MostRecord = 3 << 20

// MostHistory is how many bytes all that was ever written down of a job may have as JSON: nothing of it goes before the job does.
const MostHistory = 8 * MostRecord

// Summary is a job in a list.
type Summary struct {
	Job, Machine       string
	Procedure, Variant string
	// Tablets is how many work on it.
	Tablets int
	// Began and Changed are milliseconds since 1970 by the host's clock.
	Began, Changed int64
	// Void is true for a job that the trainer has declared void.
	Void bool
}

// listed is what a Summary is read from.
const listed = "SELECT job.name, machine, procedure, variant, tablets, began, changed, void FROM job JOIN summary ON summary.job = job.name "

// summarize keeps what lists say of a record.
func (w *writer) summarize(r *record.Record) error {
	if err := w.exec("INSERT INTO summary (job, machine, tablets) VALUES (?, ?, ?) ON CONFLICT (job) DO UPDATE SET machine = excluded.machine, tablets = excluded.tablets",
		r.Job, r.Machine.Value, len(r.Tablets)); err != nil {
		return fmt.Errorf("keeping what a job is: %w", err)
	}
	for hash := range r.Photos {
		if err := w.exec("INSERT INTO named VALUES (?, ?) ON CONFLICT DO NOTHING", r.Job, hash); err != nil {
			return fmt.Errorf("keeping which photos a job has: %w", err)
		}
	}
	return nil
}

// AllSummaries lists all jobs that changed at or after a time, the one that changed last first.
func (s *Store) AllSummaries(ctx context.Context, since int64) ([]Summary, error) {
	return s.summaries(ctx, listed+"WHERE changed >= ? ORDER BY changed DESC, name", since)
}

func (s *Store) summaries(ctx context.Context, query string, args ...any) ([]Summary, error) {
	found, err := rows(ctx, s.reading, query, func(r *sql.Rows, j *Summary) error {
		return r.Scan(&j.Job, &j.Machine, &j.Procedure, &j.Variant, &j.Tablets, &j.Began, &j.Changed, &j.Void)
	}, args...)
	if err != nil {
		return nil, fmt.Errorf("listing the jobs: %w", err)
	}
	return found, nil
}

// Machine is the machine that a job is on; ErrUnknown when there is no such job.
func (s *Store) Machine(ctx context.Context, job string) (string, error) {
	found, err := s.summaries(ctx, listed+"WHERE job.name = ?", job)
	if err == nil && len(found) == 0 {
		err = ErrUnknown
	}
	if err != nil {
		return "", err
	}
	return found[0].Machine, nil
}

// EachJob reads the jobs that changed at or after a time, in the order in which they began, and hands
// out one after another: of all together there may be more than memory.
func (s *Store) EachJob(ctx context.Context, since int64, each func(Job)) error {
	list, err := s.summaries(ctx, listed+"WHERE changed >= ? ORDER BY began, name", since)
	if err != nil {
		return err
	}
	for _, j := range list {
		r, err := s.Record(ctx, j.Job)
		if errors.Is(err, ErrUnknown) {
			continue // deleted meanwhile
		}
		if err != nil {
			return err
		}
		each(Job{Began: j.Began, Changed: j.Changed, Void: j.Void, Record: r})
	}
	return nil
}

// RecordSize is how many bytes a job's record has, or ErrUnknown.
func (s *Store) RecordSize(ctx context.Context, job string) (int64, error) {
	return size(ctx, s.reading, "SELECT length(record) FROM job WHERE name = ?", job)
}

// PhotoSize is how many bytes a photo has, or ErrUnknown.
func (s *Store) PhotoSize(ctx context.Context, job, hash string) (int64, error) {
	return size(ctx, s.reading, "SELECT length(data) FROM photo WHERE job = ? AND hash = ?", job, hash)
}

// PhotosSize is how many bytes the photos of a job have.
func (s *Store) PhotosSize(ctx context.Context, job string) (int64, error) {
	return size(ctx, s.reading, "SELECT coalesce(sum(length(data)), 0) FROM photo WHERE job = ?", job)
}

func size(ctx context.Context, db queryer, query string, args ...any) (n int64, err error) {
	err = db.QueryRowContext(ctx, query, args...).Scan(&n)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, ErrUnknown
	}
	if err != nil {
		return 0, fmt.Errorf("looking how much there is: %w", err)
	}
	return n, nil
}

// WantsPhoto reports whether a photo that the job's record names is still to come. The error
// is ErrUnknown when no record names it.
func (s *Store) WantsPhoto(ctx context.Context, job, hash string) (bool, error) {
	return wantsPhoto(ctx, s.reading, job, hash)
}

func wantsPhoto(ctx context.Context, db queryer, job, hash string) (wants bool, err error) {
	err = db.QueryRowContext(ctx, "SELECT NOT EXISTS (SELECT 1 FROM photo WHERE photo.job = named.job AND hash = named.photo) FROM named WHERE job = ? AND photo = ?", job, hash).Scan(&wants)
	if errors.Is(err, sql.ErrNoRows) {
		return false, ErrUnknown
	}
	if err != nil {
		return false, fmt.Errorf("looking for a photo: %w", err)
	}
	return wants, nil
}
