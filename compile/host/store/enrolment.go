package store

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/json"
	"fmt"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// takeNamesOut makes the fourth step: tablets prove who they are, names stand in one table alone, and nothing that was written down is ever
// overwritten. It brings what the versions before kept into the fourth one: names go into their table, and
// each entry of a record becomes the first of its kind. The tablets that wrote it are strangers until
// the trainer lets them in.
func takeNamesOut(ctx context.Context, tx *sql.Tx, step string, now int64) error {
	if _, err := tx.ExecContext(ctx, step); err != nil {
		return err
	}
	m := &mover{ctx: ctx, tx: tx, now: now, people: map[string]string{}}
	for _, step := range []func() error{m.jobs, m.signatures, m.results} {
		if err := step(); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, "DROP TABLE signature")
	return err
}

// mover moves names.
type mover struct {
	ctx    context.Context
	tx     *sql.Tx
	now    int64
	people map[string]string // ids by folded names
}

func (m *mover) exec(query string, args ...any) error {
	_, err := m.tx.ExecContext(m.ctx, query, args...)
	return err
}

// person is the pseudonym of a name.
func (m *mover) person(name string) (string, error) {
	if folded(name) == "" {
		return "", nil
	}
	if id, there := m.people[folded(name)]; there {
		return id, nil
	}
	p := newPerson(name)
	m.people[folded(name)] = p.ID
	return p.ID, insertPerson(m.exec, p, m.now)
}

// rows reads a whole query: while it is open nothing else can be done in the transaction.
func rows[T any](ctx context.Context, db queryer, query string, scan func(*sql.Rows, *T) error, args ...any) ([]T, error) {
	found, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer found.Close()
	var out []T
	for found.Next() {
		var x T
		if err := scan(found, &x); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, found.Err()
}

func (m *mover) jobs() error {
	names, err := column(m.ctx, m.tx, "SELECT name FROM job ORDER BY began, name")
	if err != nil {
		return fmt.Errorf("reading the records: %w", err)
	}
	for _, name := range names { // of all together there may be more than memory
		var changed int64
		var stored []byte
		if err := m.tx.QueryRowContext(m.ctx, "SELECT changed, record FROM job WHERE name = ?", name).Scan(&changed, &stored); err != nil {
			return fmt.Errorf("reading the records: %w", err)
		}
		r := new(record.Record)
		if err := json.Unmarshal(stored, r); err != nil {
			return fmt.Errorf("reading the records: %w", err)
		}
		var failed error
		update(r.Findings, func(f *record.Finding) {
			if !f.Withdrawn {
				f.FoundBy = f.By
			}
		})
		eachName(r, func(name *string) {
			id, err := m.person(*name)
			if err != nil {
				failed = err
			}
			*name = id
		})
		if failed != nil {
			return failed
		}
		r.Version = record.Version
		body, err := json.Marshal(r)
		if err != nil {
			return err
		}
		if err := m.exec("UPDATE job SET record = ? WHERE name = ?", body, name); err != nil {
			return err
		}
		for _, e := range entriesOf(r) {
			if err := insertEntry(m.exec, name, e, changed); err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *mover) signatures() error {
	type row struct {
		job, row string
		record.Signature
	}
	all, err := rows(m.ctx, m.tx, "SELECT job, row, who, at, content, key, seal FROM signature ORDER BY at", func(r *sql.Rows, x *row) error {
		return r.Scan(&x.job, &x.row, &x.Who, &x.At, &x.Content, &x.Key, &x.Seal)
	})
	if err != nil {
		return fmt.Errorf("reading signatures: %w", err)
	}
	for _, x := range all {
		if err := insertSeal(m.exec, x.job, x.row, x.Signature); err != nil {
			return err
		}
	}
	return nil
}

func (m *mover) results() error {
	hashes, err := column(m.ctx, m.tx, "SELECT hash FROM result")
	if err != nil || len(hashes) == 0 {
		return err
	}
	var seed []byte
	if err := m.tx.QueryRowContext(m.ctx, "SELECT value FROM setting WHERE name = 'key'").Scan(&seed); err != nil || len(seed) != ed25519.SeedSize {
		return fmt.Errorf("reading the host's key: %w", err)
	}
	for _, hash := range hashes {
		var body []byte
		if err := m.tx.QueryRowContext(m.ctx, "SELECT body FROM result WHERE hash = ?", hash).Scan(&body); err != nil {
			return fmt.Errorf("reading results: %w", err)
		}
		var response quiz.Response
		if err := json.Unmarshal(body, &response); err != nil {
			return fmt.Errorf("reading results: %w", err)
		}
		id, err := m.person(response.Learner)
		if err != nil {
			return err
		}
		response.Learner = ""
		if body, err = json.Marshal(response); err != nil {
			return err
		}
		if err := m.exec("UPDATE result SET hash = ?, learner = '', person = ?, body = ? WHERE hash = ?", resultName(seed, hash), id, body, hash); err != nil {
			return err
		}
	}
	return nil
}
