package store

import (
	"context"
	"fmt"

	"matchmark/procedure/record"
)

// Sign signs a row of a job's record once: make is handed the record and gives
// the signature. A row that is signed stays as it is. It returns the signature that
// stands, or ErrUnknown when there is no such job.
func (s *Store) Sign(ctx context.Context, job, row string, make func(*record.Record) (record.Signature, error)) (stands record.Signature, err error) {
	err = s.do(ctx, func(tx *writer) error {
		r, _, err := readRecord(tx.ctx, tx.conn, job)
		if err != nil {
			return err
		}
		signed, err := signatures(tx.ctx, tx.conn, job)
		if err != nil {
			return err
		}
		var there bool
		if stands, there = signed[row]; there {
			return nil
		}
		if stands, err = make(r); err != nil {
			return err
		}
		if err := addSignature(tx, r, row, stands); err != nil {
			return err
		}
		return tx.exec("UPDATE job SET changed = ? WHERE name = ?", s.options.Now().UnixMilli(), job)
	})
	return stands, err
}

func addSignature(tx *writer, r *record.Record, row string, g record.Signature) error {
	if r.Signed == nil {
		r.Signed = map[string]record.Signature{}
	}
	r.Signed[row] = g
	return tx.exec("INSERT INTO signature VALUES (?, ?, ?, ?, ?, ?, ?)", r.Job, row, g.Who, g.At, g.Content, g.Key, g.Seal)
}

// signatures reads those of a job; nil for none.
func signatures(ctx context.Context, db queryer, job string) (map[string]record.Signature, error) {
	rows, err := db.QueryContext(ctx, "SELECT row, who, at, content, key, seal FROM signature WHERE job = ?", job)
	if err != nil {
		return nil, fmt.Errorf("reading signatures: %w", err)
	}
	defer rows.Close()
	var out map[string]record.Signature
	for rows.Next() {
		var row string
		var g record.Signature
		if err := rows.Scan(&row, &g.Who, &g.At, &g.Content, &g.Key, &g.Seal); err != nil {
			return nil, fmt.Errorf("reading signatures: %w", err)
		}
		if out == nil {
			out = map[string]record.Signature{}
		}
		out[row] = g
	}
	return out, rows.Err()
}
