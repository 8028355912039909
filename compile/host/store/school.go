package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"

	"matchmark/procedure/say"
)

// school is what the workshops of one database share.
type school struct {
	own, ownSchema string
	reading        *sql.DB

	mu       sync.Mutex
	accounts map[string]Account // by folded names; nil when they have to be read anew
	turn     int64
	renamed  int64         // counts how often names came, changed or went in one of the workshops
	changed  chan struct{} // closed when turn is raised
}

// forget has the accounts read anew.
func (s *school) forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.accounts = nil
}

// tell counts a change in one of the workshops; people says that it may be one of a name.
func (s *school) tell(people bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.turn++
	if people {
		s.renamed++
	}
	if s.changed != nil {
		close(s.changed)
	}
	s.changed = make(chan struct{})
}

// Several reports whether the store lies in a database of several workshops. Only there are there accounts.
func (s *Store) Several() bool { return s.db.several() != nil }

// Workshop is one of those that share a database.
type Workshop struct {
	Name string
	// Own is true for the one that the store is of.
	Own bool
	// Seen is when a host last served it, in milliseconds since 1970; 0 for never.
	Seen   int64
	schema string
}

// Workshops lists all workshops of the database by name; none in a database of one class.
func (s *Store) Workshops(ctx context.Context) ([]Workshop, error) {
	school := s.db.several()
	if school == nil {
		return nil, nil
	}
	found, err := rows(ctx, queryer(school.reading), "SELECT name, seen, id FROM matchmark.workshop ORDER BY folded", func(r *sql.Rows, w *Workshop) error {
		var id int64
		err := r.Scan(&w.Name, &w.Seen, &id)
		w.schema = fmt.Sprintf("%s_%d", commonSchema, id)
		w.Own = w.schema == school.ownSchema
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the workshops: %w", err)
	}
	return found, nil
}

// TurnOfAll is Turn for all workshops of the database.
func (s *Store) TurnOfAll() (int64, <-chan struct{}) {
	school := s.db.several()
	if school == nil {
		return s.Turn()
	}
	school.mu.Lock()
	defer school.mu.Unlock()
	if school.changed == nil {
		school.changed = make(chan struct{})
	}
	return school.turn, school.changed
}

// NamesOfAll is Names for all workshops of the database.
func (s *Store) NamesOfAll() int64 {
	school := s.db.several()
	if school == nil {
		return s.Names()
	}
	school.mu.Lock()
	defer school.mu.Unlock()
	return school.renamed
}

// Visit lets look into another workshop of the database. Nothing can be written there.
func (s *Store) Visit(ctx context.Context, w Workshop, look func(*Store) error) error {
	school := s.db.several()
	if school == nil {
		return ErrUnknown
	}
	conn, err := school.reading.Conn(ctx)
	if err != nil {
		return fmt.Errorf("looking into a workshop: %w", err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "SELECT set_config('search_path', $1, FALSE)", w.schema); err != nil {
		return fmt.Errorf("looking into a workshop: %w", err)
	}
	return look(&Store{options: s.options, db: s.db, reading: numbered{conn}})
}

// Role says what somebody may do who has an account.
type Role string

// The roles. Each may do what those before it may.
const (
	// TrainerRole works with the board of a workshop.
	TrainerRole Role = "trainer"
	// HeadRole sees the board over all workshops.
	HeadRole Role = "head"
	// AdministratorRole gives accounts and takes them.
	AdministratorRole Role = "administrator"
)

// Roles lists all roles.
var Roles = []Role{TrainerRole, HeadRole, AdministratorRole}

// Known reports whether a role is one.
func (r Role) Known() bool { return r.rank() > 0 }

// May reports whether a role may do what another one may.
func (r Role) May(least Role) bool { return r.Known() && r.rank() >= least.rank() }

func (r Role) rank() int {
	for i, x := range Roles {
		if x == r {
			return i + 1
		}
	}
	return 0
}

// Account is one of a trainer.
type Account struct {
	Number int64
	Name   string
	Role   Role
	// Password is its hash; another one ends all sessions.
	Password []byte
	// Changed is when role or password last changed, in milliseconds since 1970.
	Changed int64
}

var (
	// ErrName means that a name cannot be taken.
	ErrName = say.Error(say.That("the name cannot be taken"))
	// ErrTaken means that somebody has an account of that name.
	ErrTaken = errors.New("somebody has that name")
	// ErrLast means that it is the last administrator's account: nobody could give accounts any more.
	ErrLast = errors.New("the last administrator stays")
)

const accountColumns = "number, name, role, password, changed"

func scanAccount(r *sql.Rows, a *Account) error {
	return r.Scan(&a.Number, &a.Name, &a.Role, &a.Password, &a.Changed)
}

// Accounts lists all accounts by name; none in a database of one class.
func (s *Store) Accounts(ctx context.Context) ([]Account, error) {
	school := s.db.several()
	if school == nil {
		return nil, nil
	}
	found, err := rows(ctx, queryer(school.reading), "SELECT "+accountColumns+" FROM matchmark.account ORDER BY folded", scanAccount)
	if err != nil {
		return nil, fmt.Errorf("reading the accounts: %w", err)
	}
	return found, nil
}

// Account is the account of a name, or ErrUnknown. It is kept at hand, and read anew when one was changed on whichever host.
func (s *Store) Account(ctx context.Context, name string) (Account, error) {
	school := s.db.several()
	if school == nil {
		return Account{}, ErrUnknown
	}
	school.mu.Lock()
	defer school.mu.Unlock()
	if school.accounts == nil {
		all, err := s.Accounts(ctx)
		if err != nil {
			return Account{}, err
		}
		school.accounts = map[string]Account{}
		for _, a := range all {
			school.accounts[folded(a.Name)] = a
		}
	}
	a, there := school.accounts[folded(name)]
	if !there {
		return a, ErrUnknown
	}
	return a, nil
}

// PutAccount gives somebody an account, or with a number changes one: what is empty stays as it is. by is the pseudonym of who does it.
func (s *Store) PutAccount(ctx context.Context, by string, a Account) error {
	return s.changeAccounts(ctx, func(tx *writer) error {
		a.Name = plain(a.Name)
		if a.Number == 0 {
			if folded(a.Name) == "" || !a.Role.Known() || len(a.Password) == 0 {
				return ErrName
			}
			taken, err := column(tx.ctx, tx.conn, "SELECT name FROM matchmark.account WHERE folded = ?", folded(a.Name))
			switch {
			case err != nil:
				return fmt.Errorf("looking for an account: %w", err)
			case len(taken) > 0:
				return ErrTaken
			}
			var number int64
			if err := tx.conn.QueryRowContext(tx.ctx, "INSERT INTO matchmark.account (name, folded, role, password, changed) VALUES (?, ?, ?, ?, ?) RETURNING number",
				a.Name, folded(a.Name), string(a.Role), a.Password, s.now()).Scan(&number); err != nil {
				return fmt.Errorf("giving an account: %w", err)
			}
			return tx.note(s.now(), Step{Person: by, What: "gave-account", About: fmt.Sprint(number)})
		}
		found, err := rows(tx.ctx, tx.conn, "SELECT "+accountColumns+" FROM matchmark.account WHERE number = ?", scanAccount, a.Number)
		switch {
		case err != nil:
			return fmt.Errorf("looking for an account: %w", err)
		case len(found) == 0:
			return ErrUnknown
		}
		old := found[0]
		if a.Role == "" {
			a.Role = old.Role
		}
		if len(a.Password) == 0 {
			a.Password = old.Password
		}
		if !a.Role.Known() {
			return ErrName
		}
		if old.Role == AdministratorRole && a.Role != AdministratorRole {
			if err := tx.anotherAdministrator(a.Number); err != nil {
				return err
			}
		}
		if err := tx.exec("UPDATE matchmark.account SET role = ?, password = ?, changed = ? WHERE number = ?", string(a.Role), a.Password, s.now(), a.Number); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: by, What: "changed-account", About: fmt.Sprint(a.Number)})
	})
}

// RemoveAccount takes an account away. What its owner did stays, under the name that stands there.
func (s *Store) RemoveAccount(ctx context.Context, by string, number int64) error {
	return s.changeAccounts(ctx, func(tx *writer) error {
		if err := tx.anotherAdministrator(number); err != nil {
			return err
		}
		gone, err := column(tx.ctx, tx.conn, "DELETE FROM matchmark.account WHERE number = ? RETURNING name", number)
		switch {
		case err != nil:
			return fmt.Errorf("removing an account: %w", err)
		case len(gone) == 0:
			return ErrUnknown
		}
		tx.wrote = true
		return tx.note(s.now(), Step{Person: by, What: "removed-account", About: fmt.Sprint(number)})
	})
}

// anotherAdministrator returns ErrLast when there is no administrator but one.
func (w *writer) anotherAdministrator(but int64) error {
	others, err := size(w.ctx, w.conn, "SELECT count(*) FROM matchmark.account WHERE role = 'administrator' AND number <> ?", but)
	if err == nil && others == 0 {
		err = ErrLast
	}
	return err
}

// changeAccounts writes to the accounts, one host after another, and has all hosts read them anew.
func (s *Store) changeAccounts(ctx context.Context, do func(*writer) error) error {
	school := s.db.several()
	if school == nil {
		return ErrUnknown
	}
	err := s.do(ctx, func(tx *writer) error {
		if err := tx.exec("LOCK TABLE matchmark.account IN SHARE ROW EXCLUSIVE MODE"); err != nil {
			return err
		}
		if err := do(tx); err != nil {
			return err
		}
		return tx.exec("SELECT pg_notify(?, ?)", channel, strings.Join([]string{accountsChanged, school.ownSchema, "-"}, " "))
	})
	school.forget()
	return err
}

// changedElsewhere is called when somebody else has written to the class, or the database was away. people says that a name may have changed.
func (s *Store) changedElsewhere(people bool) {
	if people {
		if lost, err := readForgotten(context.Background(), s.reading); err == nil {
			s.mu.Lock()
			s.lost = lost
			s.mu.Unlock()
		}
	}
	s.tell(people)
}
