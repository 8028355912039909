package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"matchmark/procedure/record"
)

// Sign signs a row of a job's record: make is handed the record, with names, and gives
// the signature. A row that is signed, and whose signature holds for the record as it is, stays as it is; one
// that was signed for another machine is signed again. It returns the signature that
// stands, ErrUnknown when there is no such job, or ErrVoid.
func (s *Store) Sign(ctx context.Context, job, row string, make func(*record.Record) (record.Signature, error)) (stands record.Signature, err error) {
	people, err := s.names(ctx)
	if err != nil {
		return stands, err
	}
	err = s.do(ctx, func(tx *writer) error {
		r, _, err := readRecord(tx.ctx, tx.conn, job)
		if err != nil {
			return err
		}
		if void, err := column(tx.ctx, tx.conn, "SELECT name FROM job WHERE name = ? AND void", job); err != nil {
			return fmt.Errorf("looking for a job: %w", err)
		} else if len(void) > 0 {
			return ErrVoid
		}
		if r.Signed, err = seals(tx.ctx, tx.conn, job); err != nil {
			return err
		}
		named(r, people, everybody)
		var there bool
		if stands, there = r.Signed[row]; there && record.Verify(r, row, stands) {
			return nil
		}
		if stands, err = make(r); err != nil {
			return err
		}
		if err := insertSeal(tx.exec, job, row, stands); err != nil {
			return err
		}
		if err := tx.note(s.now(), Step{Person: stands.Who, What: "signed", Job: job, About: row}); err != nil {
			return err
		}
		return tx.exec("UPDATE job SET changed = ? WHERE name = ?", s.now(), job)
	})
	return stands, err
}

// insertSeal keeps a signature; those before it stay. The name of who signed stands in its own table.
func insertSeal(exec func(string, ...any) error, job, row string, g record.Signature) error {
	g.Name, g.Salt = "", ""
	body, err := json.Marshal(g)
	if err != nil {
		return err
	}
	return exec("INSERT INTO seal (job, row, body) VALUES (?, ?, ?)", job, row, body)
}

// seals reads the signatures of a job, of each row the last; nil for none.
func seals(ctx context.Context, db queryer, job string) (map[string]record.Signature, error) {
	type sealed struct {
		row  string
		body []byte
	}
	found, err := rows(ctx, db, "SELECT row, body FROM seal WHERE job = ? ORDER BY seq", func(r *sql.Rows, x *sealed) error { return r.Scan(&x.row, &x.body) }, job)
	if err != nil {
		return nil, fmt.Errorf("reading signatures: %w", err)
	}
	var out map[string]record.Signature
	for _, x := range found {
		var g record.Signature
		if err := json.Unmarshal(x.body, &g); err != nil {
			return nil, fmt.Errorf("reading signatures: %w", err)
		}
		out = put(out, x.row, g)
	}
	return out, nil
}
