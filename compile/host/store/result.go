package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"matchmark/procedure/quiz"
)

// Result is a try of a quiz.
type Result struct {
	// Hash names the result: the SHA-256 of its body.
	Hash string
	// Received is when the host got it first, in milliseconds since 1970.
	Received int64
	// Body is the response as JSON, written in one way whatever the tablet's way was.
	Body     []byte
	Response quiz.Response
}

// ErrForgotten means that the learner whose result it is was deleted after the try.
var ErrForgotten = fmt.Errorf("the learner was deleted")

// TakeResult keeps a try of a quiz; the same one again is no second one.
func (s *Store) TakeResult(ctx context.Context, r quiz.Response) error {
	body, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if finished, err := time.Parse(time.RFC3339, r.Finished); err == nil && s.isForgotten(r.Learner, finished.UnixMilli()) {
		return ErrForgotten
	}
	sum := sha256.Sum256(body)
	hash := hex.EncodeToString(sum[:])
	return s.do(ctx, func(tx *writer) error {
		var there bool
		if err := tx.conn.QueryRowContext(tx.ctx, "SELECT EXISTS (SELECT 1 FROM result WHERE hash = ?)", hash).Scan(&there); err != nil {
			return fmt.Errorf("keeping a result: %w", err)
		}
		switch {
		case there:
			return nil
		case tx.full:
			return ErrFull
		}
		return tx.exec("INSERT INTO result VALUES (?, ?, ?, ?, ?)", hash, r.Quiz, folded(r.Learner), s.options.Now().UnixMilli(), body)
	})
}

// Results returns the tries of a quiz, or of all with "", received at or after a time in milliseconds since 1970.
func (s *Store) Results(ctx context.Context, quiz string, since int64) ([]Result, error) {
	return s.results(ctx, "SELECT hash, received, body FROM result WHERE (quiz = ?1 OR ?1 = '') AND received >= ?2 ORDER BY received, hash", quiz, since)
}

func (s *Store) results(ctx context.Context, query string, args ...any) ([]Result, error) {
	rows, err := s.reading.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("reading results: %w", err)
	}
	defer rows.Close()
	var out []Result
	for rows.Next() {
		var r Result
		if err := rows.Scan(&r.Hash, &r.Received, &r.Body); err != nil {
			return nil, fmt.Errorf("reading results: %w", err)
		}
		if err := json.Unmarshal(r.Body, &r.Response); err != nil {
			return nil, fmt.Errorf("reading results: %w", err)
		}
		out = append(out, r)
	}
	return out, rows.Err()
}
