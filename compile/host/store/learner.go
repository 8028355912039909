package store

import (
	"bufio"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"matchmark/procedure/record"
)

// Learner is somebody whose name is in the store.
type Learner struct {
	Person
	// Jobs and Results are how many are the person's; assessments count as results.
	Jobs    int `json:"jobs"`
	Results int `json:"results"`
}

// Learners lists all people, sorted by name.
func (s *Store) Learners(ctx context.Context) ([]Learner, error) {
	people, err := s.People(ctx)
	if err != nil {
		return nil, err
	}
	var out []Learner
	for _, p := range people {
		l := Learner{Person: p}
		if err := s.reading.QueryRowContext(ctx, `SELECT (SELECT count(DISTINCT job) FROM entry WHERE person = ?1), (SELECT count(*) FROM result WHERE person = ?1 OR typed = ?1) + (SELECT count(*) FROM assessment WHERE person = ?1)`, p.ID).Scan(&l.Jobs, &l.Results); err != nil {
			return nil, fmt.Errorf("counting what a learner has: %w", err)
		}
		out = append(out, l)
	}
	return out, nil
}

// Export is all that the store has of a person, as WriteExport writes it.
type Export struct {
	Name    string            `json:"name"`
	Team    string            `json:"group,omitempty"`
	Own     string            `json:"id,omitempty"`
	Results []json.RawMessage `json:"results"`
	// Assessments are what observers saw of the person.
	Assessments []json.RawMessage `json:"assessments"`
	// Entries are all that the person wrote down, job by job, in the order in which it came.
	Entries []ExportedEntry `json:"entries"`
}

// ExportedEntry is one thing that a person wrote down. It holds nothing of anybody else.
type ExportedEntry struct {
	Job     string          `json:"job"`
	Machine string          `json:"machine"`
	Part    string          `json:"part"`
	Key     string          `json:"key"`
	At      int64           `json:"at"`
	Claimed int64           `json:"claimed"`
	Entry   json.RawMessage `json:"entry"`
}

// WriteExport writes all that is a person's as JSON; ErrUnknown for nobody, before anything is written. It reads one job after
// another: of all together there may be more than memory.
func (s *Store) WriteExport(ctx context.Context, id string, to io.Writer) error {
	people, err := s.names(ctx)
	if err != nil {
		return err
	}
	p, there := people[id]
	if !there {
		return ErrUnknown
	}
	head, err := json.Marshal(Export{Name: p.Name, Team: p.Team, Own: p.Own, Results: []json.RawMessage{}, Assessments: []json.RawMessage{}, Entries: []ExportedEntry{}})
	if err != nil {
		return err
	}
	out := &arrays{to: bufio.NewWriter(to)}
	out.text(strings.TrimSuffix(string(head), `[],"assessments":[],"entries":[]}`) + "[")
	if err := s.exportResults(ctx, p, out); err != nil {
		return err
	}
	out.text(`],"assessments":[`)
	out.begun = false
	if err := s.exportAssessments(ctx, p, out); err != nil {
		return err
	}
	out.text(`],"entries":[`)
	out.begun = false
	jobs, err := column(ctx, s.reading, "SELECT job FROM entry WHERE person = ? GROUP BY job ORDER BY min(seq)", id)
	if err != nil {
		return fmt.Errorf("reading what was written down: %w", err)
	}
	for _, job := range jobs {
		written, err := rows(ctx, s.reading, `SELECT entry.job, machine, part, key, at, claimed, body FROM entry JOIN summary ON summary.job = entry.job WHERE entry.job = ? AND entry.person = ? ORDER BY seq`,
			func(r *sql.Rows, x *ExportedEntry) error {
				return r.Scan(&x.Job, &x.Machine, &x.Part, &x.Key, &x.At, &x.Claimed, (*[]byte)(&x.Entry))
			}, job, id)
		if err != nil {
			return fmt.Errorf("reading what was written down: %w", err)
		}
		for _, x := range written {
			out.add(x)
		}
	}
	out.text("]}\n")
	return errors.Join(out.err, out.to.Flush())
}

func (s *Store) exportResults(ctx context.Context, p Person, out *arrays) error {
	hashes, err := column(ctx, s.reading, "SELECT hash FROM result WHERE person = ?1 AND typed = '' OR typed = ?1 ORDER BY received, hash", p.ID)
	if err != nil {
		return fmt.Errorf("reading results: %w", err)
	}
	for _, hash := range hashes {
		if err := s.eachResult(ctx, func(r Result) {
			r.Response.Learner = p.Name
			out.add(r.Response)
		}, "WHERE hash = ?", hash); err != nil {
			return err
		}
	}
	return nil
}

// arrays writes what is in arrays of JSON one after another.
type arrays struct {
	to    *bufio.Writer
	begun bool // the array has something in it
	err   error
}

func (a *arrays) text(s string) {
	if _, err := a.to.WriteString(s); err != nil && a.err == nil {
		a.err = err
	}
}

func (a *arrays) add(value any) {
	body, err := json.Marshal(value)
	if err != nil && a.err == nil {
		a.err = err
	}
	if a.begun {
		a.text(",")
	}
	a.begun = true
	a.text(string(body))
}

// Forget deletes a person: the name and the results. Findings and ticks stay, under a pseudonym that
// leads to nobody. No tablet brings the name back: the host takes names from enrolments alone. It returns how many results
// and jobs were the person's, and whether the log beside the database is free of the name too (see EmptyLog); ErrUnknown for nobody.
func (s *Store) Forget(ctx context.Context, by, id string) (changed Learner, clean bool, err error) {
	err = s.do(ctx, func(tx *writer) error {
		changed, err = s.forget(tx, by, id)
		return err
	})
	if err != nil {
		return Learner{}, false, err
	}
	s.mu.Lock()
	s.lost[s.nameKey(changed.Name)] = s.now()
	s.mu.Unlock()
	clean, err = s.EmptyLog(ctx) // secure_delete has emptied the pages in the file
	return changed, clean, err
}

func (s *Store) forget(tx *writer, by, id string) (Learner, error) {
	found, err := rows(tx.ctx, tx.conn, "SELECT "+personColumns+" FROM person WHERE id = ?", scanPerson, id)
	if err != nil {
		return Learner{}, fmt.Errorf("looking for a name: %w", err)
	}
	if len(found) == 0 {
		return Learner{}, ErrUnknown
	}
	out, now := Learner{Person: found[0]}, s.now()
	tx.people = true
	if err := tx.conn.QueryRowContext(tx.ctx, "SELECT (SELECT count(DISTINCT job) FROM entry WHERE person = ?1), (SELECT count(*) FROM result WHERE person = ?1 AND typed = '' OR typed = ?1) + (SELECT count(*) FROM assessment WHERE person = ?1)", id).Scan(&out.Jobs, &out.Results); err != nil {
		return Learner{}, fmt.Errorf("counting what a learner has: %w", err)
	}
	for _, step := range []struct {
		query string
		args  []any
	}{
		{"INSERT INTO forgotten VALUES (?, ?) ON CONFLICT (hash) DO UPDATE SET at = excluded.at", []any{s.nameHash(out.Name), now}},
		{"DELETE FROM result WHERE person = ?1 AND typed = '' OR typed = ?1", []any{id}},
		{"UPDATE result SET person = '' WHERE person = ?", []any{id}},
		{"DELETE FROM assessment WHERE person = ?", []any{id}},
		{"UPDATE assessment SET observer = '' WHERE observer = ?", []any{id}},
		{"UPDATE tablet SET person = '' WHERE person = ?", []any{id}},
		{"DELETE FROM person WHERE id = ?", []any{id}},
	} {
		if err := tx.exec(step.query, step.args...); err != nil {
			return Learner{}, err
		}
	}
	if err := blankTexts(tx, out.Name); err != nil {
		return Learner{}, err
	}
	return out, tx.note(now, Step{Person: by, What: "deleted-name"})
}

// blankTexts takes a name out of what was typed as a signature, and out of signatures of the first form, which hold the name
// itself. It reads one after another: of all together there may be more than memory.
func blankTexts(tx *writer, name string) error {
	for _, kept := range []struct {
		list, read, write string
		clean             func(body []byte) ([]byte, error)
	}{
		{"SELECT name FROM job", "SELECT record FROM job WHERE name = ?", "UPDATE job SET record = ? WHERE name = ?", func(body []byte) ([]byte, error) {
			return cleaned(body, func(r *record.Record) (has bool) {
				update(r.Confirmed, func(c *record.Confirmation) { has = cut(&c.Text, name) || has })
				return has
			})
		}},
		{"SELECT seq FROM entry WHERE part = 'confirmed'", "SELECT body FROM entry WHERE seq = ?", "UPDATE entry SET body = ? WHERE seq = ?", func(body []byte) ([]byte, error) {
			return cleaned(body, func(c *record.Confirmation) bool { return cut(&c.Text, name) })
		}},
		{"SELECT seq FROM seal", "SELECT body FROM seal WHERE seq = ?", "UPDATE seal SET body = ? WHERE seq = ?", func(body []byte) ([]byte, error) {
			return cleaned(body, func(g *record.Signature) bool { return g.Form < record.SealedForm && cut(&g.Who, name) })
		}},
	} {
		keys, err := column(tx.ctx, tx.conn, kept.list)
		if err != nil {
			return fmt.Errorf("looking for a name: %w", err)
		}
		for _, key := range keys {
			var body []byte
			if err := tx.conn.QueryRowContext(tx.ctx, kept.read, key).Scan(&body); err != nil {
				return fmt.Errorf("looking for a name: %w", err)
			}
			fresh, err := kept.clean(body)
			if err != nil {
				return fmt.Errorf("looking for a name: %w", err)
			}
			if fresh == nil {
				continue
			}
			if err := tx.exec(kept.write, fresh, key); err != nil {
				return err
			}
		}
	}
	return nil
}

// cut empties a text that is a name, and reports whether it was.
func cut(text *string, name string) bool {
	if *text == "" || folded(*text) != folded(name) {
		return false
	}
	*text = ""
	return true
}

// cleaned is JSON after a change; nil when there was nothing to change.
func cleaned[T any](body []byte, change func(*T) bool) ([]byte, error) {
	var value T
	if err := json.Unmarshal(body, &value); err != nil {
		return nil, err
	}
	if !change(&value) {
		return nil, nil
	}
	return json.Marshal(value)
}

// forgotten is the keyed hash of a folded name.
type forgotten [sha256.Size]byte

// nameKey hashes a name with the host's secret, so that the list of who was deleted names nobody.
func (s *Store) nameKey(name string) forgotten {
	mac := hmac.New(sha256.New, s.key.Seed())
	mac.Write([]byte("deleted learner\n" + folded(name)))
	return forgotten(mac.Sum(nil))
}

func (s *Store) nameHash(name string) []byte { key := s.nameKey(name); return key[:] }

// isForgotten reports whether a name was deleted.
func (s *Store) isForgotten(name string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.lost) == 0 {
		return false
	}
	_, there := s.lost[s.nameKey(name)]
	return there
}

func readForgotten(ctx context.Context, db queryer) (map[forgotten]int64, error) {
	rows, err := db.QueryContext(ctx, "SELECT hash, at FROM forgotten")
	if err != nil {
		return nil, fmt.Errorf("reading who was deleted: %w", err)
	}
	defer rows.Close()
	out := map[forgotten]int64{}
	for rows.Next() {
		var hash []byte
		var at int64
		if err := rows.Scan(&hash, &at); err != nil {
			return nil, fmt.Errorf("reading who was deleted: %w", err)
		}
		var key forgotten
		copy(key[:], hash)
		out[key] = at
	}
	return out, rows.Err()
}
