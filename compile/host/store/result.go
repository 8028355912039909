package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"matchmark/procedure/quiz"
)

// Result is a try of a quiz.
type Result struct {
	// Hash names the result.
	Hash string
	// Received is when the host got it first, in milliseconds since 1970.
	Received int64
	// Body is the response as JSON, written in one way whatever the tablet's way was, with the names that stand for it now.
	Body     []byte
	Response quiz.Response
}

// resultName is what a try goes by: a keyed hash of the hash of all that the tablet sent, the name among it, so that
// it comes in once and the name of who was deleted cannot be guessed from it.
func resultName(key []byte, hash string) string {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte("result of a quiz\n" + hash))
	return hex.EncodeToString(mac.Sum(nil))
}

// TakeResult keeps a try of a quiz, as one of the tablet's learner; the same one again is no second one. A name
// that was typed and is another's is kept beside that.
func (s *Store) TakeResult(ctx context.Context, from Tablet, r quiz.Response) error {
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(body)
	hash, name := resultName(s.key.Seed(), hex.EncodeToString(sum[:])), r.Learner
	r.Learner = ""
	if body, err = json.Marshal(r); err != nil {
		return err
	}
	people, err := s.names(ctx)
	if err != nil {
		return err
	}
	return s.do(ctx, func(tx *writer) error {
		there, err := column(tx.ctx, tx.conn, "SELECT hash FROM result WHERE hash = ?", hash)
		switch {
		case err != nil:
			return fmt.Errorf("keeping a result: %w", err)
		case len(there) > 0:
			return nil
		case tx.full:
			return ErrFull
		}
		if err := tx.mayKeep(from.Name, "SELECT count(*) FROM result WHERE tablet = ?", 1, mostTriesOfOne); err != nil {
			return err
		}
		typed := ""
		if folded(name) != "" && folded(name) != folded(people[from.Person].Name) && !s.isForgotten(name) {
			other, err := tx.personNamed(name, false, s.now())
			if err != nil {
				return err
			}
			typed = other.ID
			if err := tx.mayKeep(from.Name, "SELECT count(DISTINCT typed) FROM result WHERE tablet = ?", 1, mostNamesOfOne); err != nil {
				return err
			}
		}
		again, err := column(tx.ctx, tx.conn, "SELECT hash FROM result WHERE tablet = ? AND typed = ? AND person = ? AND body = ?", from.Name, typed, from.Person, body)
		if err != nil {
			return fmt.Errorf("keeping a result: %w", err)
		}
		if len(again) > 0 { // it came with another class, under another hash
			return nil
		}
		return tx.exec("INSERT INTO result (hash, quiz, learner, received, body, tablet, person, typed) VALUES (?, ?, '', ?, ?, ?, ?, ?)",
			hash, r.Quiz, s.now(), body, from.Name, from.Person, typed)
	})
}

// Results returns the tries of a quiz, or of all with "", received at or after a time in milliseconds since 1970. The learner
// is the one of the tablet; where another name was typed, both.
func (s *Store) Results(ctx context.Context, quiz string, since int64) ([]Result, error) {
	var out []Result
	err := s.EachResult(ctx, quiz, since, func(r Result) { out = append(out, r) })
	return out, err
}

// EachResult hands out what Results lists, one after another.
func (s *Store) EachResult(ctx context.Context, quiz string, since int64, each func(Result)) error {
	which, args := ofQuiz(quiz, since)
	return s.eachResult(ctx, each, which+" ORDER BY received, hash", args...)
}

// NewestResults hands out the newest tries of a quiz, or of all with "", received at or after a time; so many of them at most, the newest first.
func (s *Store) NewestResults(ctx context.Context, quiz string, since int64, most int, each func(Result)) error {
	which, args := ofQuiz(quiz, since)
	return s.eachResult(ctx, each, which+" ORDER BY received DESC, hash LIMIT ?", append(args, most)...)
}

// ofQuiz is the condition on tries of a quiz, or of all with "", each of which has an index.
func ofQuiz(quiz string, since int64) (which string, args []any) {
	if quiz == "" {
		return "WHERE received >= ?", []any{since}
	}
	return "WHERE quiz = ? AND received >= ?", []any{quiz, since}
}

func (s *Store) eachResult(ctx context.Context, each func(Result), which string, args ...any) error {
	people, err := s.names(ctx)
	if err != nil {
		return err
	}
	rows, err := s.reading.QueryContext(ctx, "SELECT hash, received, body, person, typed FROM result "+which, args...)
	if err != nil {
		return fmt.Errorf("reading results: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var r Result
		var person, typed string
		if err := rows.Scan(&r.Hash, &r.Received, &r.Body, &person, &typed); err != nil {
			return fmt.Errorf("reading results: %w", err)
		}
		if err := json.Unmarshal(r.Body, &r.Response); err != nil {
			return fmt.Errorf("reading results: %w", err)
		}
		r.Response.Learner = people[person].Name
		if other := people[typed].Name; other != "" {
			r.Response.Learner = plain(other + " / " + r.Response.Learner)
		}
		if r.Body, err = json.Marshal(r.Response); err != nil {
			return err
		}
		each(r)
	}
	return rows.Err()
}
