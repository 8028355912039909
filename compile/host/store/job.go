package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"matchmark/procedure/record"
)

// ErrGone means that the trainer deleted the job.
var ErrGone = errors.New("the job was deleted")

// ErrVoid means that the trainer declared the job void.
var ErrVoid = errors.New("the job is void")

// HostTablet is the tablet's name in what the trainer wrote at the host.
var HostTablet = strings.Repeat("0", 26)

// Void declares a job void, or restores it. A void job is kept, and tablets go on writing on it, but nothing on it is signed.
func (s *Store) Void(ctx context.Context, by, job string, void bool) error {
	return s.do(ctx, func(tx *writer) error {
		if err := tx.wantJob(job); err != nil {
			return err
		}
		if err := tx.exec("UPDATE job SET void = ?1, changed = CASE WHEN changed < ?2 THEN ?2 ELSE changed END WHERE name = ?3", void, s.now(), job); err != nil {
			return err
		}
		what := "restored"
		if void {
			what = "voided"
		}
		return tx.note(s.now(), Step{Person: by, What: what, Job: job})
	})
}

// Rename says which machine a job is on. Signatures that were given for another machine do not hold for it.
func (s *Store) Rename(ctx context.Context, by, job, machine string) error {
	return s.do(ctx, func(tx *writer) error {
		r, _, err := readRecord(tx.ctx, tx.conn, job)
		if err != nil {
			return err
		}
		now := s.now()
		r.Machine = record.Entry[string]{Value: machine, Stamp: record.Stamp{At: max(now, r.Machine.At+1), Tablet: HostTablet, By: by}}
		body, err := json.Marshal(r)
		if err != nil {
			return err
		}
		if err := tx.exec("UPDATE job SET record = ?, changed = ? WHERE name = ?", body, now, job); err != nil {
			return err
		}
		if err := tx.summarize(r); err != nil {
			return err
		}
		if err := insertEntry(tx.exec, job, entry{machinePart, "", HostTablet, by, r.Machine.At, r.Machine.At, r.Machine}, now); err != nil {
			return err
		}
		return tx.note(now, Step{Person: by, What: "renamed", Job: job, About: machine})
	})
}

// DeleteJob deletes a job with all that belongs to it. What a tablet still has of it does not bring it back.
func (s *Store) DeleteJob(ctx context.Context, by, job string) error {
	return s.do(ctx, func(tx *writer) error {
		if err := tx.wantJob(job); err != nil {
			return err
		}
		if err := tx.exec("DELETE FROM job WHERE name = ?", job); err != nil {
			return err
		}
		if err := tx.exec("INSERT INTO gone VALUES (?, ?) ON CONFLICT (job) DO UPDATE SET at = excluded.at", job, s.now()); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: by, What: "deleted-job", Job: job})
	})
}

func (w *writer) wantJob(job string) error {
	found, err := column(w.ctx, w.conn, "SELECT name FROM job WHERE name = ?", job)
	switch {
	case err != nil:
		return fmt.Errorf("looking for a job: %w", err)
	case len(found) == 0:
		return ErrUnknown
	}
	return nil
}
