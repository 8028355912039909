package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"matchmark/procedure/record"
	"matchmark/procedure/say"
)

// Retention says how long what is kept. 0 months keep for ever.
type Retention struct {
	// Class is how many months after its last entry a job is kept with its photos, and how long after it came a try of a quiz that was not passed.
	Class int
	// Valid is how many months a passed quiz counts as evidence, and Evidence how many months it is kept after that.
	Valid, Evidence int
}

// Expired counts what was deleted because its time had come.
type Expired struct{ Jobs, Results, Names, Copies int }

// Expire deletes what is older than it may be: jobs, tries, copies, and names that nothing is left of. passed says which
// tries were passed.
func (s *Store) Expire(ctx context.Context, keep Retention, passed func(Result) bool) (out Expired, err error) {
	if keep.Class <= 0 {
		return out, nil
	}
	now := s.options.Now()
	class := now.AddDate(0, -keep.Class, 0)
	evidence := now.AddDate(0, -keep.Valid-keep.Evidence, 0)
	var old []string
	if err := s.EachResult(ctx, "", 0, func(r Result) {
		received := time.UnixMilli(r.Received)
		if received.Before(class) && (received.Before(evidence) && keep.Valid > 0 || !passed(r)) {
			old = append(old, r.Hash)
		}
	}); err != nil {
		return out, err
	}
	observed, err := s.oldAssessments(ctx, class, evidence, keep.Valid > 0)
	if err != nil {
		return out, err
	}
	err = s.do(ctx, func(tx *writer) error {
		out = Expired{Results: len(old) + len(observed)}
		for _, hash := range old {
			if err := tx.exec("DELETE FROM result WHERE hash = ?", hash); err != nil {
				return err
			}
		}
		for _, hash := range observed {
			if err := tx.exec("DELETE FROM assessment WHERE hash = ?", hash); err != nil {
				return err
			}
		}
		jobs, err := column(tx.ctx, tx.conn, "SELECT name FROM job WHERE changed < ? ORDER BY name", class.UnixMilli())
		if err != nil {
			return say.Because(say.That("looking for old jobs"), err)
		}
		out.Jobs = len(jobs)
		for _, job := range jobs {
			if err := tx.exec("DELETE FROM job WHERE name = ?", job); err != nil {
				return err
			}
			if err := tx.exec("INSERT INTO gone VALUES (?, ?) ON CONFLICT (job) DO UPDATE SET at = excluded.at", job, now.UnixMilli()); err != nil {
				return err
			}
		}
		for _, query := range []string{"DELETE FROM trail WHERE at < ?", "DELETE FROM tablet WHERE enrolled < ?1 AND seen < ?1"} {
			if err := tx.exec(query, class.UnixMilli()); err != nil {
				return err
			}
		}
		idle, err := idlePeople(tx, class.UnixMilli())
		if err != nil {
			return err
		}
		out.Names = len(idle)
		for _, id := range idle {
			tx.people = true
			if err := tx.exec("DELETE FROM person WHERE id = ?", id); err != nil {
				return err
			}
		}
		if out != (Expired{}) {
			return tx.note(now.UnixMilli(), Step{What: "expired", About: fmt.Sprintf("%d/%d/%d", out.Jobs, out.Results, out.Names)})
		}
		return nil
	})
	if err != nil {
		return Expired{}, err
	}
	if c := s.db.copier(); c != nil {
		if out.Copies, err = c.removeOld(class); err != nil {
			return out, say.Because(say.That("removing old copies"), err)
		}
	}
	if out.Jobs+out.Results+out.Names > 0 {
		_, err = s.EmptyLog(ctx)
	}
	return out, err
}

// oldAssessments lists those whose time has come: of one that shows something it ends with that of evidence, if that ends at all.
func (s *Store) oldAssessments(ctx context.Context, class, evidence time.Time, ends bool) (hashes []string, err error) {
	all, err := s.assessments(ctx, "WHERE received < ? ORDER BY received, hash", class.UnixMilli())
	for _, a := range all {
		if ends && time.UnixMilli(a.Received).Before(evidence) || !a.Shows() {
			hashes = append(hashes, a.Hash)
		}
	}
	return hashes, err
}

// idlePeople lists names from before a time that nothing is left of: no entry, no try, no signature, no tablet.
func idlePeople(tx *writer, before int64) ([]string, error) {
	idle, err := column(tx.ctx, tx.conn, `SELECT id FROM person WHERE at < ?
		AND NOT EXISTS (SELECT 1 FROM entry WHERE person = id) AND NOT EXISTS (SELECT 1 FROM result WHERE person = id OR typed = id)
		AND NOT EXISTS (SELECT 1 FROM assessment WHERE person = id OR observer = id)
		AND NOT EXISTS (SELECT 1 FROM tablet WHERE person = id) AND NOT EXISTS (SELECT 1 FROM trail WHERE person = id) ORDER BY id`, before)
	if err != nil {
		return nil, say.Because(say.That("looking for names that nothing is left of"), err)
	}
	if len(idle) == 0 {
		return nil, nil
	}
	signed, err := signers(tx.ctx, tx.conn)
	if err != nil {
		return nil, say.Because(say.That("looking for names that nothing is left of"), err)
	}
	return slices.DeleteFunc(idle, func(id string) bool { return signed[id] }), nil
}

// signers are those whose signatures are kept, by the pseudonym that a seal is over.
func signers(ctx context.Context, db queryer) (map[string]bool, error) {
	signed := map[string]bool{}
	_, err := rows(ctx, db, "SELECT body FROM seal", func(r *sql.Rows, _ *struct{}) error {
		var body []byte
		var g record.Signature
		if err := r.Scan(&body); err != nil {
			return err
		}
		err := json.Unmarshal(body, &g)
		signed[g.Who] = true
		return err
	})
	return signed, err
}
