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
	// Void is true for a job that the trainer has declared void.
	Void   bool
	Record *record.Record
}

// TakeRecord brings a tablet's record together with what the store has of its job, and
// returns the result as the tablet may see it, and the names of the photos that are still wanted. clock is what the tablet's clock
// shows now, in milliseconds since 1970, or 0. The record's signatures must hold: each was given by this host. The
// error is ErrNotYours for a job of other tablets, a *record.OtherJobError for a record of another
// procedure, an *OverfullError, or ErrFull.
func (s *Store) TakeRecord(ctx context.Context, from Tablet, in *record.Record, clock int64) (merged *record.Record, wanted []string, err error) {
	err = s.do(ctx, func(tx *writer) error {
		merged, wanted, err = s.mergeIn(tx, from, in, clock)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	people, err := s.names(ctx)
	if err != nil {
		return nil, nil, err
	}
	named(merged, people, from.itself)
	return merged, wanted, nil
}

// everybody is for the trainer, who sees all names; itself for a tablet, which sees its learner's.
func everybody(string) bool            { return true }
func (t Tablet) itself(id string) bool { return id == t.Person }

func (s *Store) mergeIn(tx *writer, from Tablet, brought *record.Record, clock int64) (*record.Record, []string, error) {
	now := s.now()
	if gone, err := column(tx.ctx, tx.conn, "SELECT job FROM gone WHERE job = ?", brought.Job); err != nil {
		return nil, nil, fmt.Errorf("reading a record: %w", err)
	} else if len(gone) > 0 {
		return nil, nil, ErrGone
	}
	have, stored, err := readRecord(tx.ctx, tx.conn, brought.Job)
	begins := errors.Is(err, ErrUnknown)
	switch {
	case begins:
		have = &record.Record{
			Format: record.Format, Job: brought.Job, Procedure: brought.Procedure, Variant: brought.Variant, Edition: brought.Edition, Content: brought.Content,
			Tablets: map[string]record.Tablet{},
		}
	case err != nil:
		return nil, nil, err
	default:
		if yes, err := may(tx.ctx, tx.conn, from.Name, brought.Job); err != nil {
			return nil, nil, err
		} else if !yes {
			return nil, nil, ErrNotYours
		}
		if err := have.Fits(brought); err != nil {
			return nil, nil, err
		}
	}
	later := record.Merge(&record.Record{Edition: have.Edition, Content: have.Content}, &record.Record{Edition: brought.Edition, Content: brought.Content})
	have.Edition, have.Content, have.Version = later.Edition, later.Content, record.Version
	signed, err := seals(tx.ctx, tx.conn, brought.Job)
	if err != nil {
		return nil, nil, err
	}
	// A signature of this host's that the store lacks was given after the backup that it was restored from.
	lacking := slices.DeleteFunc(slices.Sorted(maps.Keys(brought.Signed)), func(row string) bool { _, there := signed[row]; return there })
	for _, row := range lacking {
		signed = put(signed, row, brought.Signed[row])
	}
	have.Signed = signed
	in := &intake{tx: tx, from: from, now: now, have: have, enrolled: map[string]bool{HostTablet: true}}
	if clock > 0 {
		in.shift = now - clock
	}
	if err := in.all(brought); err != nil {
		return nil, nil, err
	}
	if have.Machine.Tablet == "" {
		have.Machine.Stamp = record.Stamp{Tablet: from.Name}
	}
	if err := have.Full(); err != nil {
		return nil, nil, &OverfullError{err}
	}
	have.Signed = nil // kept apart
	body, err := json.Marshal(have)
	if err != nil {
		return nil, nil, err
	}
	if len(body) > MostRecord {
		return nil, nil, &OverfullError{fmt.Errorf("the record has %d bytes, and %d are the most", len(body), MostRecord)}
	}
	have.Signed = signed
	if string(body) != string(stored) || len(in.fresh)+len(lacking) > 0 {
		if tx.full {
			return nil, nil, ErrFull
		}
		if err := tx.exec(`INSERT INTO job (name, procedure, variant, began, changed, record) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (name) DO UPDATE SET changed = excluded.changed, record = excluded.record`,
			have.Job, have.Procedure, have.Variant, now, now, body); err != nil {
			return nil, nil, err
		}
		if err := tx.summarize(have); err != nil {
			return nil, nil, err
		}
	}
	if begins {
		if err := tx.mayKeep(from.Name, "SELECT count(*) FROM access WHERE tablet = ?", 1, mostJobsOfOne); err != nil {
			return nil, nil, err
		}
		if err := tx.grant(have.Job, from.Name, now); err != nil {
			return nil, nil, err
		}
	}
	for _, e := range in.fresh {
		if err := insertEntry(tx.exec, have.Job, e, now); err != nil {
			return nil, nil, err
		}
	}
	if len(in.fresh) > 0 {
		written, err := size(tx.ctx, tx.conn, "SELECT written FROM summary WHERE job = ?", have.Job)
		if err != nil {
			return nil, nil, err
		}
		if written > MostHistory {
			return nil, nil, &OverfullError{fmt.Errorf("all that was written on the job has %d bytes, and %d are the most", written, MostHistory)}
		}
	}
	for _, row := range lacking {
		if err := insertSeal(tx.exec, have.Job, row, brought.Signed[row]); err != nil {
			return nil, nil, err
		}
	}
	wanted, err := wantedPhotos(tx.ctx, tx.conn, have)
	return have, wanted, err
}

// OverfullError says that a job has more entries than a record may hold.
type OverfullError struct{ Err error }

// Error says of what there are too many.
func (e *OverfullError) Error() string { return e.Err.Error() }

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

// Record returns a job's record with all names and without the data of its photos, or ErrUnknown.
func (s *Store) Record(ctx context.Context, job string) (*record.Record, error) {
	return s.record(ctx, job, everybody)
}

// RecordFor returns it as a tablet that writes on the job may see it; ErrNotYours for another tablet.
func (s *Store) RecordFor(ctx context.Context, t Tablet, job string) (*record.Record, error) {
	if yes, err := s.May(ctx, t.Name, job); err != nil || !yes {
		return nil, errors.Join(err, ErrNotYours)
	}
	return s.record(ctx, job, t.itself)
}

func (s *Store) record(ctx context.Context, job string, only func(string) bool) (*record.Record, error) {
	r, _, err := readRecord(ctx, s.reading, job)
	if err != nil {
		return nil, err
	}
	return r, s.complete(ctx, r, only)
}

// complete adds to a record what is kept apart: signatures and names.
func (s *Store) complete(ctx context.Context, r *record.Record, only func(string) bool) (err error) {
	if r.Signed, err = seals(ctx, s.reading, r.Job); err != nil {
		return err
	}
	people, err := s.names(ctx)
	if err != nil {
		return err
	}
	named(r, people, only)
	return nil
}

// Jobs returns the jobs that changed at or after a time in milliseconds since 1970, in the order in which they began, with all names.
func (s *Store) Jobs(ctx context.Context, since int64) ([]Job, error) {
	var out []Job
	err := s.EachJob(ctx, since, func(job Job) { out = append(out, job) })
	return out, err
}

// JobNames lists the names of the jobs that changed at or after a time.
func (s *Store) JobNames(ctx context.Context, since int64) ([]string, error) {
	found, err := column(ctx, s.reading, "SELECT name FROM job WHERE changed >= ? AND NOT void ORDER BY name", since)
	if err != nil {
		return nil, fmt.Errorf("reading the jobs: %w", err)
	}
	return found, nil
}

// Has reports whether there is a job of that name.
func (s *Store) Has(ctx context.Context, job string) (there bool, err error) {
	if err := s.reading.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM job WHERE name = ?)", job).Scan(&there); err != nil {
		return false, fmt.Errorf("looking for a job: %w", err)
	}
	return there, nil
}
