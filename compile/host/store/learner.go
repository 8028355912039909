package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"matchmark/procedure/record"
)

// Learner is somebody whose name is in the store.
type Learner struct {
	Name string `json:"name"`
	// Jobs and Results are how many hold the name.
	Jobs    int `json:"jobs"`
	Results int `json:"results"`
}

// folded is a name as it is compared: without surplus spaces and without regard to capitals.
func folded(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Learners lists all names, sorted.
func (s *Store) Learners(ctx context.Context) ([]Learner, error) {
	jobs, err := s.Jobs(ctx, 0)
	if err != nil {
		return nil, err
	}
	results, err := s.Results(ctx, "", 0)
	if err != nil {
		return nil, err
	}
	found := map[string]*Learner{}
	of := func(name string) *Learner {
		l := found[folded(name)]
		if l == nil {
			l = &Learner{Name: strings.Join(strings.Fields(name), " ")}
			found[folded(name)] = l
		}
		return l
	}
	for _, job := range jobs {
		names := map[string]string{}
		eachName(job.Record, func(name *string, _ int64) { names[folded(*name)] = *name })
		delete(names, "")
		for _, name := range names {
			of(name).Jobs++
		}
	}
	for _, r := range results {
		if folded(r.Response.Learner) != "" {
			of(r.Response.Learner).Results++
		}
	}
	var out []Learner
	for _, key := range slices.Sorted(maps.Keys(found)) {
		out = append(out, *found[key])
	}
	return out, nil
}

// Export is all that the store has of a learner.
type Export struct {
	Name    string            `json:"name"`
	Results []json.RawMessage `json:"results"`
	// Records are those of the jobs that the learner wrote on, whole, without photos.
	Records []*record.Record `json:"records"`
}

// Export gathers all that has a learner's name; both lists are empty for nobody.
func (s *Store) Export(ctx context.Context, name string) (*Export, error) {
	out := &Export{Name: strings.Join(strings.Fields(name), " "), Results: []json.RawMessage{}, Records: []*record.Record{}}
	jobs, err := s.Jobs(ctx, 0)
	if err != nil {
		return nil, err
	}
	for _, job := range jobs {
		if names(job.Record, name) {
			out.Records = append(out.Records, job.Record)
		}
	}
	results, err := s.results(ctx, "SELECT hash, received, body FROM result WHERE learner = ? ORDER BY received, hash", folded(name))
	for _, r := range results {
		out.Results = append(out.Results, r.Body)
	}
	return out, err
}

// Forget deletes a learner: the results, and the name wherever a record has it.
// Findings and ticks stay, without a name. What a tablet still has of the time
// before does not bring the name back. It returns how many results and jobs were changed.
func (s *Store) Forget(ctx context.Context, name string) (changed Learner, err error) {
	name, now := strings.Join(strings.Fields(name), " "), s.options.Now().UnixMilli()
	err = s.do(ctx, func(tx *writer) error {
		changed = Learner{Name: name}
		if err := tx.exec("INSERT INTO forgotten VALUES (?, ?) ON CONFLICT (hash) DO UPDATE SET at = excluded.at", s.nameHash(name), now); err != nil {
			return err
		}
		gone, err := tx.conn.ExecContext(tx.ctx, "DELETE FROM result WHERE learner = ?", folded(name))
		if err != nil {
			return fmt.Errorf("deleting results: %w", err)
		}
		n, err := gone.RowsAffected()
		if err != nil {
			return err
		}
		changed.Results = int(n)
		changed.Jobs, err = blankJobs(tx, name, now)
		return err
	})
	if err != nil {
		return Learner{}, err
	}
	s.mu.Lock()
	s.lost[s.nameKey(name)] = now
	s.mu.Unlock()
	// The log still holds the pages as they were; secure_delete has emptied them in the file.
	_, err = s.writing.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return changed, err
}

// blankJobs takes a name out of all records and returns how many had it.
func blankJobs(tx *writer, name string, now int64) (changed int, err error) {
	jobs, err := tx.jobsNaming(name)
	if err != nil {
		return 0, err
	}
	for _, r := range jobs {
		blank(r, func(n string, _ int64) bool { return folded(n) == folded(name) })
		body, err := json.Marshal(r)
		if err != nil {
			return 0, err
		}
		if err := tx.exec("UPDATE job SET record = ?, changed = ? WHERE name = ?", body, now, r.Job); err != nil {
			return 0, err
		}
	}
	return len(jobs), nil
}

// jobsNaming reads the records that hold a name.
func (w *writer) jobsNaming(name string) ([]*record.Record, error) {
	rows, err := w.conn.QueryContext(w.ctx, "SELECT record FROM job")
	if err != nil {
		return nil, fmt.Errorf("reading the records: %w", err)
	}
	defer rows.Close()
	var out []*record.Record
	for rows.Next() {
		var body []byte
		if err := rows.Scan(&body); err != nil {
			return nil, fmt.Errorf("reading the records: %w", err)
		}
		r := new(record.Record)
		if err := json.Unmarshal(body, r); err != nil {
			return nil, fmt.Errorf("reading the records: %w", err)
		}
		if names(r, name) {
			out = append(out, r)
		}
	}
	return out, rows.Err()
}

// names reports whether a record holds a name.
func names(r *record.Record, name string) (has bool) {
	look := func(n *string, _ int64) { has = has || *n != "" && folded(*n) == folded(name) }
	eachName(r, look)
	eachSigned(r, look)
	return has
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

// isForgotten reports whether something that was written at a time under a name is from before the name was deleted.
func (s *Store) isForgotten(name string, at int64) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.lost) == 0 || folded(name) == "" {
		return false
	}
	until, there := s.lost[s.nameKey(name)]
	return there && at <= until
}

// blankForgotten takes the names of deleted learners out of a record that a tablet sends.
func (s *Store) blankForgotten(r *record.Record) { blank(r, s.isForgotten) }

func readForgotten(ctx context.Context, db *sql.DB) (map[forgotten]int64, error) {
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
