package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"matchmark/procedure/record"
)

// Job is what the store knows of a job.
type Job struct {
	// Began and Changed are milliseconds since 1970 by the host's clock.
	Began, Changed int64
	Record         *record.Record
}

// TakeRecord brings a record together with what the store has of its job, and
// returns the result, and the names of the photos that are still wanted. The
// record's signatures must hold: each was given by this host. The store's own
// stand before them. The error is a *record.OtherJobError for a record of another
// procedure, an *OverfullError, or ErrFull.
func (s *Store) TakeRecord(ctx context.Context, in *record.Record) (merged *record.Record, wanted []string, err error) {
	s.blankForgotten(in)
	err = s.do(ctx, func(tx *writer) error {
		merged, wanted, err = s.mergeIn(tx, in)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	return merged, wanted, nil
}

func (s *Store) mergeIn(tx *writer, in *record.Record) (*record.Record, []string, error) {
	have, stored, err := readRecord(tx.ctx, tx.conn, in.Job)
	if err != nil && !errors.Is(err, ErrUnknown) {
		return nil, nil, err
	}
	merged := in
	if have != nil {
		if err := have.Fits(in); err != nil {
			return nil, nil, err
		}
		merged = record.Merge(have, in)
		if err := merged.Full(); err != nil {
			return nil, nil, &OverfullError{err}
		}
	}
	given := merged.Signed
	merged = merged.WithoutPhotos()
	merged.Signed = nil
	body, err := json.Marshal(merged)
	if err != nil {
		return nil, nil, err
	}
	if string(body) != string(stored) {
		if tx.full {
			return nil, nil, ErrFull
		}
		now := s.options.Now().UnixMilli()
		if err := tx.exec(`INSERT INTO job VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (name) DO UPDATE SET changed = excluded.changed, record = excluded.record`,
			merged.Job, merged.Procedure, merged.Variant, now, now, body); err != nil {
			return nil, nil, err
		}
	}
	if merged.Signed, err = signatures(tx.ctx, tx.conn, merged.Job); err != nil {
		return nil, nil, err
	}
	// A signature of this host's that the store lacks was given after the backup that it was restored from.
	for _, row := range slices.Sorted(maps.Keys(given)) {
		if _, there := merged.Signed[row]; !there {
			if err := addSignature(tx, merged, row, given[row]); err != nil {
				return nil, nil, err
			}
		}
	}
	wanted, err := wantedPhotos(tx.ctx, tx.conn, merged)
	return merged, wanted, err
}

// OverfullError says that a job has more entries than a record may hold.
type OverfullError struct{ Err error }

// Error says of what there are too many.
func (e *OverfullError) Error() string { return e.Err.Error() }

// queryer is a connection or a pool.
type queryer interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
	QueryRowContext(context.Context, string, ...any) *sql.Row
}

// readRecord reads a job's record without its signatures, and its bytes as they are stored.
func readRecord(ctx context.Context, db queryer, job string) (*record.Record, []byte, error) {
	var body []byte
	err := db.QueryRowContext(ctx, "SELECT record FROM job WHERE name = ?", job).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil, ErrUnknown
	}
	if err != nil {
		return nil, nil, fmt.Errorf("reading a record: %w", err)
	}
	r := new(record.Record)
	if err := json.Unmarshal(body, r); err != nil {
		return nil, nil, fmt.Errorf("reading a record: %w", err)
	}
	return r, body, nil
}

// Record returns a job's record without the data of its photos, or ErrUnknown.
func (s *Store) Record(ctx context.Context, job string) (*record.Record, error) {
	r, _, err := readRecord(ctx, s.reading, job)
	if err != nil {
		return nil, err
	}
	r.Signed, err = signatures(ctx, s.reading, job)
	return r, err
}

// Jobs returns the jobs that changed at or after a time in milliseconds since 1970, in the order in which they began.
func (s *Store) Jobs(ctx context.Context, since int64) ([]Job, error) {
	rows, err := s.reading.QueryContext(ctx, "SELECT began, changed, record FROM job WHERE changed >= ? ORDER BY began, name", since)
	if err != nil {
		return nil, fmt.Errorf("reading the records: %w", err)
	}
	defer rows.Close()
	var out []Job
	for rows.Next() {
		var body []byte
		job := Job{Record: new(record.Record)}
		if err := rows.Scan(&job.Began, &job.Changed, &body); err != nil {
			return nil, fmt.Errorf("reading the records: %w", err)
		}
		if err := json.Unmarshal(body, job.Record); err != nil {
			return nil, fmt.Errorf("reading the records: %w", err)
		}
		out = append(out, job)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("reading the records: %w", err)
	}
	rows.Close() // frees the connection that the signatures are read by
	for _, job := range out {
		if job.Record.Signed, err = signatures(ctx, s.reading, job.Record.Job); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Has reports whether there is a job of that name.
func (s *Store) Has(ctx context.Context, job string) (there bool, err error) {
	if err := s.reading.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM job WHERE name = ?)", job).Scan(&there); err != nil {
		return false, fmt.Errorf("looking for a job: %w", err)
	}
	return there, nil
}
