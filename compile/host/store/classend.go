package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
)

// endSetting is when the class was ended last.
const endSetting = "ended"

// EndClass notes that the class is over: tablets that are in it empty themselves as soon as the host has all that they have.
func (s *Store) EndClass(ctx context.Context, by string) error {
	now := s.now()
	return s.do(ctx, func(tx *writer) error {
		if err := tx.exec("INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value", endSetting, binary.BigEndian.AppendUint64(nil, uint64(now))); err != nil {
			return err
		}
		return tx.note(now, Step{Person: by, What: "ended"})
	})
}

// Ended is when the class was ended last, in milliseconds since 1970; 0 when it never was.
func (s *Store) Ended(ctx context.Context) (int64, error) {
	value, err := s.Setting(ctx, endSetting)
	if errors.Is(err, ErrUnknown) || err == nil && len(value) != 8 {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	return int64(binary.BigEndian.Uint64(value)), nil
}

// Leave takes a tablet out of the class that has emptied what it kept under an address of the host's.
func (s *Store) Leave(ctx context.Context, t Tablet, address string) error {
	return s.do(ctx, func(tx *writer) error {
		if err := tx.exec("UPDATE tablet SET state = 'left' WHERE name = ?", t.Name); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: t.Person, Tablet: t.Name, What: emptied, About: address})
	})
}

// Moved notes that a tablet has taken what it keeps from one address of the host's to another. A browser lets no page reach what lies under another
// address: under the old one it stays until a page from there empties it.
func (s *Store) Moved(ctx context.Context, t Tablet, from string) error {
	return s.do(ctx, func(tx *writer) error {
		return tx.note(s.now(), Step{Person: t.Person, Tablet: t.Name, What: moved, About: from})
	})
}

// The words of the trail that LeftBehind reads.
const moved, emptied = "moved", "emptied"

// Remnant is what a tablet keeps under an address of the host's from which it has moved.
type Remnant struct {
	Number  int    `json:"number"`
	Address string `json:"address"`
}

// LeftBehind lists what tablets keep under addresses from which they have moved, as far as nobody has emptied it since. A
// tablet that was taken out of the class is among them: no page empties it any more.
func (s *Store) LeftBehind(ctx context.Context) ([]Remnant, error) {
	found, err := rows(ctx, s.reading, `SELECT DISTINCT tablet.number, m.about FROM trail m JOIN tablet ON tablet.name = m.tablet WHERE m.what = ?1
		AND NOT EXISTS (SELECT 1 FROM trail e WHERE e.what = ?2 AND e.tablet = m.tablet AND e.about = m.about AND e.seq > m.seq) ORDER BY 1, 2`,
		func(r *sql.Rows, x *Remnant) error { return r.Scan(&x.Number, &x.Address) }, moved, emptied)
	if err != nil {
		return nil, fmt.Errorf("looking for what tablets left behind: %w", err)
	}
	return found, nil
}
