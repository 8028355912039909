package store

import (
	"context"
	"fmt"
)

// Wording is the key of one wording of a quiz.
type Wording struct {
	Quiz, Edition string
	Key           []byte
}

// KeepWordings keeps those that are new.
func (s *Store) KeepWordings(ctx context.Context, all []Wording) error {
	return s.do(ctx, func(tx *writer) error {
		for _, w := range all {
			if err := tx.exec("INSERT INTO wording VALUES (?, ?, ?) ON CONFLICT DO NOTHING", w.Quiz, w.Edition, w.Key); err != nil {
				return fmt.Errorf("keeping a quiz's key: %w", err)
			}
		}
		return nil
	})
}

// Wordings returns all that were kept, by quiz and edition.
func (s *Store) Wordings(ctx context.Context) ([]Wording, error) {
	rows, err := s.reading.QueryContext(ctx, "SELECT quiz, edition, key FROM wording ORDER BY quiz, edition")
	if err != nil {
		return nil, fmt.Errorf("reading the keys of quizzes: %w", err)
	}
	defer rows.Close()
	var out []Wording
	for rows.Next() {
		var w Wording
		if err := rows.Scan(&w.Quiz, &w.Edition, &w.Key); err != nil {
			return nil, fmt.Errorf("reading the keys of quizzes: %w", err)
		}
		out = append(out, w)
	}
	return out, rows.Err()
}
