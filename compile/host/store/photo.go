package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"

	"matchmark/procedure/record"
)

// MostJobPhotos is how many bytes the photos of one job may have: as base64 inside
// one file they are then still a record that can be read.
const MostJobPhotos = record.MostBytes / 3 * 2

// ErrJobFull means that a job has as many bytes of photos as it may.
var ErrJobFull = errors.New("the job has as many photos as it may")

// PutPhoto keeps a photo of a tablet that the job's record names, or returns ErrUnknown when
// it names none such, ErrNotYours, ErrJobFull or ErrFull. The caller has checked the picture against its name.
func (s *Store) PutPhoto(ctx context.Context, from Tablet, job, hash string, data []byte) error {
	return s.do(ctx, func(tx *writer) error {
		if yes, err := may(tx.ctx, tx.conn, from.Name, job); err != nil || !yes {
			return errors.Join(err, ErrNotYours)
		}
		wants, err := wantsPhoto(tx.ctx, tx.conn, job, hash)
		switch {
		case err != nil:
			return err
		case !wants:
			return nil
		case tx.full:
			return ErrFull
		}
		var have int64
		if err := tx.conn.QueryRowContext(tx.ctx, "SELECT coalesce(sum(length(data)), 0) FROM photo WHERE job = ?", job).Scan(&have); err != nil {
			return fmt.Errorf("keeping a photo: %w", err)
		}
		if have+int64(len(data)) > MostJobPhotos {
			return ErrJobFull
		}
		if err := tx.mayKeep(from.Name, "SELECT coalesce(sum(length(data)), 0) FROM photo WHERE tablet = ?", int64(len(data)), mostPhotosOfOne); err != nil {
			return err
		}
		return tx.exec("INSERT INTO photo (job, hash, data, tablet) VALUES (?, ?, ?, ?)", job, hash, data, from.Name)
	})
}

// Photo returns a photo's bytes, or ErrUnknown.
func (s *Store) Photo(ctx context.Context, job, hash string) ([]byte, error) {
	var data []byte
	err := s.reading.QueryRowContext(ctx, "SELECT data FROM photo WHERE job = ? AND hash = ?", job, hash).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrUnknown
	}
	if err != nil {
		return nil, fmt.Errorf("reading a photo: %w", err)
	}
	return data, nil
}

// Photos says which photos of a job have come.
func (s *Store) Photos(ctx context.Context, job string) (map[string]bool, error) {
	return photosOf(ctx, s.reading, job)
}

func photosOf(ctx context.Context, db queryer, job string) (map[string]bool, error) {
	rows, err := db.QueryContext(ctx, "SELECT hash FROM photo WHERE job = ?", job)
	if err != nil {
		return nil, fmt.Errorf("looking for photos: %w", err)
	}
	defer rows.Close()
	have := map[string]bool{}
	for rows.Next() {
		var hash string
		if err := rows.Scan(&hash); err != nil {
			return nil, fmt.Errorf("looking for photos: %w", err)
		}
		have[hash] = true
	}
	return have, rows.Err()
}

// wantedPhotos lists the photos that a record names and the store lacks.
func wantedPhotos(ctx context.Context, db queryer, r *record.Record) (out []string, err error) {
	if len(r.Photos) == 0 {
		return nil, nil
	}
	have, err := photosOf(ctx, db, r.Job)
	for _, hash := range slices.Sorted(maps.Keys(r.Photos)) {
		if !have[hash] {
			out = append(out, hash)
		}
	}
	return out, err
}
