package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"database/sql"
	"errors"
	"fmt"
)

// TabletState says whether a tablet is in the class.
type TabletState string

// The states of a tablet.
const (
	// In: it is in the class.
	In TabletState = "in"
	// Asks: it goes by the name of somebody who has a tablet already, and waits for the trainer.
	Asks TabletState = "asks"
	// Emptied: the class has ended, and it has emptied itself. It may still bring what it keeps under another address of the host, and empty that.
	Emptied TabletState = "left"
	// Out: its secret counts no more.
	Out TabletState = "out"
)

// Tablet is one that was enrolled.
type Tablet struct {
	// Number is what people call it, Name what records call it.
	Number int
	Name   string
	// Person is the pseudonym of its learner; empty once the name was deleted.
	Person  string
	Machine string
	State   TabletState
	// Enrolled and Seen are milliseconds since 1970.
	Enrolled, Seen int64
}

const tabletColumns = "number, name, person, machine, state, enrolled, seen"

func scanTablet(r *sql.Rows, t *Tablet) error {
	return r.Scan(&t.Number, &t.Name, &t.Person, &t.Machine, &t.State, &t.Enrolled, &t.Seen)
}

// ErrStranger means that no tablet of the class has that name with that secret.
var ErrStranger = errors.New("the tablet is not in the class")

// ErrNotYours means that a tablet may not write on a job: others do, and the trainer has not let it in.
var ErrNotYours = errors.New("the job is not one of this tablet's")

// Claim is what a tablet says when it joins.
type Claim struct {
	// Tablet is the name that it goes by so far; another one is given when there is none or when it is taken.
	Tablet string
	// Person is somebody on the class list, or empty; then Name counts.
	Person, Name string
	Machine      string
	// Job is a job that it was invited to; may be empty.
	Job string
}

// Enrol lets a tablet into the class and gives it a secret of its own, which is kept as a hash. One that goes by the
// name of somebody with a tablet in the class waits until the trainer has looked. The error is ErrUnknown without a name, or ErrCrowded.
func (s *Store) Enrol(ctx context.Context, claim Claim) (t Tablet, secret string, err error) {
	secret = rand.Text() + rand.Text() // 260 bits
	err = s.do(ctx, func(tx *writer) error {
		t, err = s.enrol(tx, claim, secret)
		return err
	})
	return t, secret, err
}

func (s *Store) enrol(tx *writer, claim Claim, secret string) (Tablet, error) {
	if err := tx.mayGrow("tablet"); err != nil {
		return Tablet{}, err
	}
	now := s.now()
	t := Tablet{Name: claim.Tablet, Machine: claim.Machine, State: In, Enrolled: now, Seen: now}
	switch found, err := rows(tx.ctx, tx.conn, "SELECT "+personColumns+" FROM person WHERE id = ? AND NOT trainer", scanPerson, claim.Person); {
	case err != nil:
		return Tablet{}, fmt.Errorf("looking for a name: %w", err)
	case len(found) > 0:
		t.Person = found[0].ID
	case folded(claim.Name) != "":
		p, err := tx.personNamed(claim.Name, false, now)
		if err != nil {
			return Tablet{}, err
		}
		t.Person = p.ID
	default:
		return Tablet{}, ErrUnknown
	}
	taken, err := column(tx.ctx, tx.conn, "SELECT name FROM tablet WHERE name = ?", claim.Tablet)
	if err != nil {
		return Tablet{}, fmt.Errorf("enrolling a tablet: %w", err)
	}
	if len(taken) > 0 || claim.Tablet == "" || claim.Tablet == HostTablet {
		t.Name = randomName()
	}
	double, err := column(tx.ctx, tx.conn, "SELECT name FROM tablet WHERE person = ? AND state = ?", t.Person, In)
	if err != nil {
		return Tablet{}, fmt.Errorf("enrolling a tablet: %w", err)
	}
	if len(double) > 0 {
		t.State = Asks
	}
	if err := tx.exec("INSERT INTO tablet (name, secret, person, machine, state, enrolled, seen) VALUES (?, ?, ?, ?, ?, ?, ?)", t.Name, secretHash(secret), t.Person, t.Machine, t.State, now, now); err != nil {
		return Tablet{}, err
	}
	if err := tx.conn.QueryRowContext(tx.ctx, "SELECT number FROM tablet WHERE name = ?", t.Name).Scan(&t.Number); err != nil {
		return Tablet{}, fmt.Errorf("enrolling a tablet: %w", err)
	}
	if err := tx.note(now, Step{Person: t.Person, Tablet: t.Name, What: "joined"}); err != nil {
		return Tablet{}, err
	}
	if claim.Job != "" {
		return t, tx.grant(claim.Job, t.Name, now)
	}
	return t, nil
}

// randomName draws 26 characters out of 0-9 and a-z, as tablets do.
func randomName() string {
	const letters = "0123456789abcdefghijklmnopqrstuvwxyz"
	var out, draw [26]byte
	for i := 0; i < len(out); {
		rand.Read(draw[:]) // never fails
		for _, b := range draw {
			if b < 252 && i < len(out) { // the largest multiple of 36 in a byte
				out[i] = letters[b%36]
				i++
			}
		}
	}
	return string(out[:])
}

func secretHash(secret string) []byte {
	sum := sha256.Sum256([]byte(secret))
	return sum[:]
}

// seenEvery is how often it is written down that a tablet was there, in milliseconds.
const seenEvery = 60_000

// Tablet returns the tablet of that name, when the secret is its own; else ErrStranger.
func (s *Store) Tablet(ctx context.Context, name, secret string) (Tablet, error) {
	var t Tablet
	var hash []byte
	err := s.reading.QueryRowContext(ctx, "SELECT "+tabletColumns+", secret FROM tablet WHERE name = ? AND state != ?", name, Out).
		Scan(&t.Number, &t.Name, &t.Person, &t.Machine, &t.State, &t.Enrolled, &t.Seen, &hash)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return Tablet{}, ErrStranger
	case err != nil:
		return Tablet{}, fmt.Errorf("looking for a tablet: %w", err)
	case subtle.ConstantTimeCompare(hash, secretHash(secret)) != 1:
		return Tablet{}, ErrStranger
	}
	return t, nil
}

// Seen notes that a tablet was there, now and then.
func (s *Store) Seen(ctx context.Context, t Tablet) error {
	now := s.now()
	if now-t.Seen < seenEvery {
		return nil
	}
	return s.do(ctx, func(tx *writer) error { return tx.exec("UPDATE tablet SET seen = ? WHERE name = ?", now, t.Name) })
}

// Tablets lists all that are in the class or ask to be, by number.
func (s *Store) Tablets(ctx context.Context) ([]Tablet, error) {
	found, err := rows(ctx, s.reading, "SELECT "+tabletColumns+" FROM tablet WHERE state IN ('in', 'asks') ORDER BY number", scanTablet)
	if err != nil {
		return nil, fmt.Errorf("reading the tablets: %w", err)
	}
	return found, nil
}

func (w *writer) tablet(number int) (Tablet, error) {
	found, err := rows(w.ctx, w.conn, "SELECT "+tabletColumns+" FROM tablet WHERE number = ? AND state != 'out'", scanTablet, number)
	switch {
	case err != nil:
		return Tablet{}, fmt.Errorf("looking for a tablet: %w", err)
	case len(found) == 0:
		return Tablet{}, ErrUnknown
	}
	return found[0], nil
}

// Admit lets a tablet in that asks to go by a learner's name. In place of the learner's other tablets it
// gets their jobs, and they are out; otherwise it stands beside them.
func (s *Store) Admit(ctx context.Context, by string, number int, inPlace bool) error {
	return s.do(ctx, func(tx *writer) error {
		t, err := tx.tablet(number)
		if err != nil {
			return err
		}
		if inPlace && t.Person != "" {
			if err := tx.exec("INSERT INTO access SELECT a.job, CAST(? AS TEXT), CAST(? AS BIGINT) FROM access a JOIN tablet o ON o.name = a.tablet WHERE o.person = ? AND o.name != ? AND o.state = 'in' ON CONFLICT DO NOTHING", t.Name, s.now(), t.Person, t.Name); err != nil {
				return err
			}
			if err := tx.exec("UPDATE tablet SET state = 'out' WHERE person = ? AND name != ?", t.Person, t.Name); err != nil {
				return err
			}
		}
		if err := tx.exec("UPDATE tablet SET state = 'in' WHERE number = ?", number); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: by, Tablet: t.Name, What: "admitted", About: fmt.Sprint(t.Number)})
	})
}

// Dismiss takes a tablet out of the class: its secret counts no more. What it wrote stays.
func (s *Store) Dismiss(ctx context.Context, by string, number int) error {
	return s.do(ctx, func(tx *writer) error {
		t, err := tx.tablet(number)
		if err != nil {
			return err
		}
		for _, query := range []string{"UPDATE tablet SET state = 'out' WHERE name = ?", "DELETE FROM access WHERE tablet = ?", "DELETE FROM ask WHERE tablet = ?"} {
			if err := tx.exec(query, t.Name); err != nil {
				return err
			}
		}
		return tx.note(s.now(), Step{Person: by, Tablet: t.Name, What: "dismissed", About: fmt.Sprint(t.Number)})
	})
}

// grant gives a tablet a job.
func (w *writer) grant(job, tablet string, now int64) error {
	var there bool
	if err := w.conn.QueryRowContext(w.ctx, "SELECT EXISTS (SELECT 1 FROM job WHERE name = ?)", job).Scan(&there); err != nil {
		return fmt.Errorf("looking for a job: %w", err)
	}
	if !there {
		return ErrUnknown
	}
	if err := w.exec("DELETE FROM ask WHERE job = ? AND tablet = ?", job, tablet); err != nil {
		return err
	}
	return w.exec("INSERT INTO access VALUES (?, ?, ?) ON CONFLICT DO NOTHING", job, tablet, now)
}

// Bind puts a tablet on a job, in the trainer's name.
func (s *Store) Bind(ctx context.Context, by string, number int, job string) error {
	return s.do(ctx, func(tx *writer) error {
		t, err := tx.tablet(number)
		if err != nil {
			return err
		}
		if err := tx.grant(job, t.Name, s.now()); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: by, Tablet: t.Name, What: "bound", Job: job, About: fmt.Sprint(t.Number)})
	})
}

// Join puts a tablet on a job that it was invited to.
func (s *Store) Join(ctx context.Context, t Tablet, job string) error {
	return s.do(ctx, func(tx *writer) error {
		if err := tx.grant(job, t.Name, s.now()); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: t.Person, Tablet: t.Name, What: "joined-job", Job: job})
	})
}

// Ask notes that a tablet has work on a job that is not its own, for the trainer to decide.
func (s *Store) Ask(ctx context.Context, t Tablet, job string) error {
	return s.do(ctx, func(tx *writer) error {
		asked, err := column(tx.ctx, tx.conn, "SELECT job FROM ask WHERE job = ? AND tablet = ?", job, t.Name)
		if err != nil || len(asked) > 0 {
			return err
		}
		return tx.exec("INSERT INTO ask VALUES (?, ?, ?)", job, t.Name, s.now())
	})
}

// Refuse answers such a tablet that it stays out of the job.
func (s *Store) Refuse(ctx context.Context, by string, number int, job string) error {
	return s.do(ctx, func(tx *writer) error {
		t, err := tx.tablet(number)
		if err != nil {
			return err
		}
		if err := tx.exec("DELETE FROM ask WHERE job = ? AND tablet = ?", job, t.Name); err != nil {
			return err
		}
		return tx.note(s.now(), Step{Person: by, Tablet: t.Name, What: "kept-out", Job: job, About: fmt.Sprint(t.Number)})
	})
}

// Asking is a tablet that has work on a job that is not its own.
type Asking struct {
	Job, Machine string
	Number       int
	At           int64
}

// Asking lists those tablets, the longest waiting first.
func (s *Store) Asking(ctx context.Context) ([]Asking, error) {
	found, err := rows(ctx, s.reading, "SELECT ask.job, summary.machine, tablet.number, ask.at FROM ask JOIN tablet ON tablet.name = ask.tablet JOIN summary ON summary.job = ask.job WHERE tablet.state != 'out' ORDER BY ask.at, ask.job, ask.tablet",
		func(r *sql.Rows, a *Asking) error { return r.Scan(&a.Job, &a.Machine, &a.Number, &a.At) })
	if err != nil {
		return nil, fmt.Errorf("reading who asks: %w", err)
	}
	return found, nil
}

// May reports whether a tablet writes on a job.
func (s *Store) May(ctx context.Context, tablet, job string) (bool, error) {
	return may(ctx, s.reading, tablet, job)
}

func may(ctx context.Context, db queryer, tablet, job string) (yes bool, err error) {
	if err := db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM access WHERE job = ? AND tablet = ?)", job, tablet).Scan(&yes); err != nil {
		return false, fmt.Errorf("looking for a tablet's jobs: %w", err)
	}
	return yes, nil
}

// JobsOf lists the jobs that a tablet writes on, the one that changed last first.
func (s *Store) JobsOf(ctx context.Context, t Tablet) ([]Summary, error) {
	return s.summaries(ctx, listed+"JOIN access ON access.job = job.name WHERE access.tablet = ? AND NOT void ORDER BY changed DESC, name LIMIT 20", t.Name)
}

// TabletNumbers are the numbers of all tablets that ever were in the class, by their names.
func (s *Store) TabletNumbers(ctx context.Context) (map[string]int, error) {
	found, err := rows(ctx, s.reading, "SELECT "+tabletColumns+" FROM tablet", scanTablet)
	if err != nil {
		return nil, fmt.Errorf("reading the tablets: %w", err)
	}
	out := map[string]int{}
	for _, t := range found {
		out[t.Name] = t.Number
	}
	return out, nil
}
