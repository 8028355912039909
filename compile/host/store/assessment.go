package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"matchmark/procedure/assessment"
)

// Assessment is a practical assessment of a learner's, with the names that stand for its people now.
type Assessment struct {
	Hash string
	// Received is when the host got it first, in milliseconds since 1970.
	Received int64
	*assessment.Assessment
}

// mostAssessments is how many assessments a learner may have: what is more is a fault of whoever sends them.
const mostAssessments = 1_000

// TakeAssessment keeps what a trainer saw of a learner, who must be known by name; ErrUnknown for nobody. The same one again is no second one.
func (s *Store) TakeAssessment(ctx context.Context, by string, a assessment.Assessment) error {
	learner := folded(a.Learner)
	a.Learner, a.Observer = "", "" // the names stand beside it, so that they can go
	body, err := json.Marshal(a)
	if err != nil {
		return err
	}
	now := s.now()
	return s.do(ctx, func(tx *writer) error {
		people, err := column(tx.ctx, tx.conn, "SELECT id FROM person WHERE folded = ? AND NOT trainer ORDER BY listed DESC, at, id LIMIT 1", learner)
		switch {
		case err != nil:
			return fmt.Errorf("looking for a name: %w", err)
		case learner == "" || len(people) == 0:
			return ErrUnknown
		case tx.full:
			return ErrFull
		}
		if err := tx.mayKeep(people[0], "SELECT count(*) FROM assessment WHERE person = ?", 1, mostAssessments); err != nil {
			return err
		}
		if _, err := tx.keepAssessment(a.Procedure, now, body, people[0], by); err != nil {
			return err
		}
		return tx.note(now, Step{Person: by, What: "assessed", About: a.Procedure})
	})
}

// keepAssessment keeps one; fresh is false when it is there already.
func (w *writer) keepAssessment(procedure string, received int64, body []byte, person, observer string) (fresh bool, err error) {
	sum := sha256.Sum256(append([]byte(person+"\n"), body...))
	hash := hex.EncodeToString(sum[:])
	there, err := column(w.ctx, w.conn, "SELECT hash FROM assessment WHERE hash = ?", hash)
	if err != nil || len(there) > 0 {
		return false, err
	}
	return true, w.exec("INSERT INTO assessment VALUES (?, ?, ?, ?, ?, ?)", hash, procedure, received, body, person, observer)
}

// Assessments lists all that are kept, the first one first.
func (s *Store) Assessments(ctx context.Context) ([]Assessment, error) {
	return s.assessments(ctx, "ORDER BY received, hash")
}

// Assessment returns one; ErrUnknown for none.
func (s *Store) Assessment(ctx context.Context, hash string) (Assessment, error) {
	found, err := s.assessments(ctx, "WHERE hash = ?", hash)
	if err == nil && len(found) == 0 {
		err = ErrUnknown
	}
	if err != nil {
		return Assessment{}, err
	}
	return found[0], nil
}

func (s *Store) assessments(ctx context.Context, which string, args ...any) ([]Assessment, error) {
	people, err := s.names(ctx)
	if err != nil {
		return nil, err
	}
	out, err := rows(ctx, s.reading, "SELECT hash, received, body, person, observer FROM assessment "+which, func(r *sql.Rows, a *Assessment) error {
		var body []byte
		var person, observer string
		if err := r.Scan(&a.Hash, &a.Received, &body, &person, &observer); err != nil {
			return err
		}
		a.Assessment = new(assessment.Assessment)
		if err := json.Unmarshal(body, a.Assessment); err != nil {
			return err
		}
		a.Learner, a.Observer = people[person].Name, people[observer].Name
		return nil
	}, args...)
	if err != nil {
		return nil, fmt.Errorf("reading assessments: %w", err)
	}
	return out, nil
}

// exportAssessments writes what observers saw of a person.
func (s *Store) exportAssessments(ctx context.Context, p Person, out *arrays) error {
	all, err := s.assessments(ctx, "WHERE person = ? ORDER BY received, hash", p.ID)
	for _, a := range all {
		a.Observer = "" // nothing of anybody else
		out.add(a.Assessment)
	}
	return err
}
