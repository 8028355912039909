package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"matchmark/procedure/record"
)

// Person is somebody whose name the store holds.
type Person struct {
	// ID is the pseudonym that stands for the name everywhere else.
	ID   string `json:"id"`
	Name string `json:"name"`
	// Team and Own are the group and the school's own id, from the class list.
	Team   string `json:"team"`
	Own    string `json:"own"`
	Listed bool   `json:"listed"`
	// Trainer is true for whoever entered the board.
	Trainer bool `json:"trainer"`
	// Salt is what the pseudonym was drawn with.
	Salt string `json:"-"`
}

// folded is a name as it is compared: without surplus spaces and without regard to capitals.
func folded(name string) string { return strings.ToLower(plain(name)) }

// plain is a name without surplus spaces.
func plain(name string) string { return strings.Join(strings.Fields(name), " ") }

// newPerson draws a pseudonym for a name.
func newPerson(name string) Person {
	var salt [16]byte
	rand.Read(salt[:]) // never fails
	p := Person{Name: plain(name), Salt: hex.EncodeToString(salt[:])}
	p.ID = record.Pseudonym(p.Name, p.Salt)
	return p
}

func insertPerson(exec func(string, ...any) error, p Person, now int64) error {
	return exec("INSERT INTO person VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", p.ID, p.Name, p.Salt, folded(p.Name), p.Team, p.Own, p.Listed, p.Trainer, now)
}

const personColumns = "id, name, salt, team, own, listed, trainer"

func scanPerson(r *sql.Rows, p *Person) error {
	return r.Scan(&p.ID, &p.Name, &p.Salt, &p.Team, &p.Own, &p.Listed, &p.Trainer)
}

// personNamed finds the learner, or the trainer, of a name, and makes one where there is none.
func (w *writer) personNamed(name string, trainer bool, now int64) (Person, error) {
	found, err := rows(w.ctx, w.conn, "SELECT "+personColumns+" FROM person WHERE folded = ? AND trainer = ? ORDER BY listed DESC, at, id LIMIT 1", scanPerson, folded(name), trainer)
	if err != nil {
		return Person{}, fmt.Errorf("looking for a name: %w", err)
	}
	if len(found) > 0 {
		return found[0], nil
	}
	if !trainer {
		if err := w.mayGrow("person"); err != nil {
			return Person{}, err
		}
	}
	p := newPerson(name)
	p.Trainer = trainer
	w.people = true
	return p, insertPerson(w.exec, p, now)
}

// mostKnown is how many names, and how many tablets, a class may have: the board lists all of them.
const mostKnown = 20_000

// ErrCrowded means that there are as many names or tablets as there may be.
var ErrCrowded = errors.New("there are as many names and tablets as there may be")

// mayGrow refuses one more name or tablet when there are too many.
func (w *writer) mayGrow(table string) error {
	n, err := size(w.ctx, w.conn, "SELECT count(*) FROM "+table)
	if err == nil && n >= mostKnown {
		err = ErrCrowded
	}
	return err
}

// Trainer is the person behind a name that was given with the PIN.
func (s *Store) Trainer(ctx context.Context, name string) (p Person, err error) {
	err = s.do(ctx, func(tx *writer) error {
		p, err = tx.personNamed(name, true, s.now())
		return err
	})
	return p, err
}

// People lists all names, sorted by name.
func (s *Store) People(ctx context.Context) ([]Person, error) {
	found, err := rows(ctx, s.reading, "SELECT "+personColumns+" FROM person ORDER BY folded, team, own, id", scanPerson)
	if err != nil {
		return nil, fmt.Errorf("reading the names: %w", err)
	}
	return found, nil
}

// List puts names on the class list. A name that is on it already, with the same id of the school's or without one, is
// brought up to date. It returns how many came anew.
func (s *Store) List(ctx context.Context, class []Person) (fresh int, err error) {
	err = s.do(ctx, func(tx *writer) error {
		fresh = 0
		tx.people = true
		for _, p := range class {
			found, err := column(tx.ctx, tx.conn, "SELECT id FROM person WHERE folded = ?1 AND NOT trainer AND (own = ?2 OR own = '' OR ?2 = '') ORDER BY listed DESC, own = ?2 DESC, id LIMIT 1", folded(p.Name), p.Own)
			if err != nil {
				return fmt.Errorf("looking for a name: %w", err)
			}
			if len(found) > 0 {
				if err := tx.exec("UPDATE person SET team = ?, own = ?, listed = ? WHERE id = ?", p.Team, p.Own, true, found[0]); err != nil {
					return err
				}
				continue
			}
			made := newPerson(p.Name)
			made.Team, made.Own, made.Listed = p.Team, p.Own, true
			if err := insertPerson(tx.exec, made, s.now()); err != nil {
				return err
			}
			fresh++
		}
		return nil
	})
	return fresh, err
}

// names are all people by their pseudonyms.
func (s *Store) names(ctx context.Context) (map[string]Person, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.people != nil {
		return s.people, nil
	}
	all, err := s.People(ctx)
	if err != nil {
		return nil, err
	}
	s.people = make(map[string]Person, len(all))
	for _, p := range all {
		s.people[p.ID] = p
	}
	return s.people, nil
}

// NameOf is the name that a pseudonym stands for; empty once it was deleted.
func (s *Store) NameOf(ctx context.Context, id string) (string, error) {
	people, err := s.names(ctx)
	return people[id].Name, err
}
