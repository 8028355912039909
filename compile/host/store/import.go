package store

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
	"matchmark/procedure/say"
)

// Imported counts what an import brought in that was not there.
type Imported struct{ Jobs, Entries, Photos, Results, Names, Tablets, Deleted int }

// Import takes in what another store holds of a class, such as one that ran on its own while the network was away. What is there already, because
// it was brought in before or the tablets sent it to both, comes in no second time; what was deleted on either side stays deleted. The
// other store is read and not changed. After an error, the same import goes on where it ended.
func (s *Store) Import(ctx context.Context, by string, from *Store) (out Imported, err error) {
	in := &importing{Store: s, from: from, ids: map[string]string{}}
	for _, step := range []func(context.Context) error{in.people, in.tablets, in.deletions, in.jobs, in.results, in.assessments, in.rest} {
		if err := step(ctx); err != nil {
			return in.out, say.Because(say.That("bringing in a class"), err)
		}
	}
	if in.out == (Imported{}) {
		return in.out, nil
	}
	return in.out, s.Note(ctx, Step{Person: by, What: "imported", About: fmt.Sprintf("%d/%d/%d", in.out.Jobs, in.out.Results, in.out.Names)})
}

// importing is one import.
type importing struct {
	*Store
	from *Store
	// ids are the pseudonyms by which people go here who go by others there; "" for who was deleted.
	ids  map[string]string
	lost []string // names that were deleted here since
	out  Imported
}

// namedAt is a person with the time at which the name came.
type namedAt struct {
	Person
	at int64
}

func (in *importing) allPeople(ctx context.Context, db queryer) ([]namedAt, error) {
	return rows(ctx, db, "SELECT "+personColumns+", at FROM person ORDER BY at, id", func(r *sql.Rows, p *namedAt) error {
		return r.Scan(&p.ID, &p.Name, &p.Salt, &p.Team, &p.Own, &p.Listed, &p.Trainer, &p.at)
	})
}

// people finds out who is who. A learner of the same name, and of the same id of the school's where both have one, is the same; whoever has signed
// keeps the pseudonym that the seal is over. Whoever was deleted here since does not come back.
func (in *importing) people(ctx context.Context) error {
	theirs, err := in.allPeople(ctx, in.from.reading)
	if err != nil {
		return err
	}
	signed, err := signers(ctx, in.from.reading)
	if err != nil {
		return err
	}
	return in.do(ctx, func(tx *writer) error {
		ids, names, lost := map[string]string{}, 0, []string(nil)
		for _, p := range theirs {
			if here, err := column(tx.ctx, tx.conn, "SELECT id FROM person WHERE id = ?", p.ID); err != nil || len(here) > 0 {
				if err != nil {
					return err
				}
				continue
			}
			if deleted, there := in.forgottenAt(p.Name); there && deleted >= p.at {
				ids[p.ID] = ""
				lost = append(lost, p.Name)
				continue
			}
			if !signed[p.ID] {
				same, err := column(tx.ctx, tx.conn, "SELECT id FROM person WHERE folded = ?1 AND trainer = ?2 AND (own = ?3 OR own = '' OR ?3 = '') ORDER BY own = ?3 DESC, listed DESC, at, id LIMIT 1", folded(p.Name), p.Trainer, p.Own)
				if err != nil {
					return err
				}
				if len(same) > 0 {
					ids[p.ID] = same[0]
					continue
				}
			}
			if err := insertPerson(tx.exec, p.Person, p.at); err != nil {
				return err
			}
			tx.people = true
			names++
		}
		in.ids, in.out.Names, in.lost = ids, names, lost
		return nil
	})
}

// forgottenAt is when a name was deleted here.
func (s *Store) forgottenAt(name string) (at int64, there bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	at, there = s.lost[s.nameKey(name)]
	return at, there
}

// id is the pseudonym by which somebody goes here; empty for who was deleted.
func (in *importing) id(theirs string) string {
	if here, other := in.ids[theirs]; other {
		return here
	}
	return theirs
}

// body is JSON with the pseudonyms by which people go here. Whoever was deleted keeps the other one, which leads to nobody.
func (in *importing) body(of []byte) []byte {
	for _, theirs := range slices.Sorted(maps.Keys(in.ids)) {
		if here := in.ids[theirs]; here != "" {
			of = bytes.ReplaceAll(of, []byte(theirs), []byte(here))
		}
	}
	return of
}

// tablets brings in those that are not there. One that is there keeps the secret that it has here: it joins anew when it has another by now.
func (in *importing) tablets(ctx context.Context) error {
	type kept struct {
		Tablet
		secret []byte
	}
	theirs, err := rows(ctx, in.from.reading, "SELECT "+tabletColumns+", secret FROM tablet ORDER BY number", func(r *sql.Rows, t *kept) error {
		return r.Scan(&t.Number, &t.Name, &t.Person, &t.Machine, &t.State, &t.Enrolled, &t.Seen, &t.secret)
	})
	if err != nil {
		return err
	}
	return in.do(ctx, func(tx *writer) error {
		in.out.Tablets = 0
		for _, t := range theirs {
			here, err := column(tx.ctx, tx.conn, "SELECT name FROM tablet WHERE name = ?", t.Name)
			if err != nil {
				return err
			}
			if len(here) > 0 {
				continue
			}
			if err := tx.exec("INSERT INTO tablet (name, secret, person, machine, state, enrolled, seen) VALUES (?, ?, ?, ?, ?, ?, ?)", t.Name, t.secret, in.id(t.Person), t.Machine, string(t.State), t.Enrolled, t.Seen); err != nil {
				return err
			}
			in.out.Tablets++
		}
		return nil
	})
}

// deletions carries over what was deleted there: jobs that have not changed here since, and people whose names came here before.
func (in *importing) deletions(ctx context.Context) error {
	type gone struct {
		job string
		at  int64
	}
	jobs, err := rows(ctx, in.from.reading, "SELECT job, at FROM gone ORDER BY job", func(r *sql.Rows, g *gone) error { return r.Scan(&g.job, &g.at) })
	if err != nil {
		return err
	}
	here, err := in.allPeople(ctx, in.reading)
	if err != nil {
		return err
	}
	deleted := 0
	if err := in.do(ctx, func(tx *writer) error {
		deleted = 0
		for _, g := range jobs {
			old, err := column(tx.ctx, tx.conn, "SELECT name FROM job WHERE name = ? AND changed <= ?", g.job, g.at)
			if err != nil {
				return err
			}
			for _, job := range old {
				if err := tx.exec("DELETE FROM job WHERE name = ?", job); err != nil {
					return err
				}
				deleted++
			}
			there, err := column(tx.ctx, tx.conn, "SELECT name FROM job WHERE name = ?", g.job)
			if err != nil {
				return err
			}
			if len(there) > 0 {
				continue // it was worked on here since
			}
			if err := tx.exec("INSERT INTO gone VALUES (?, ?) ON CONFLICT DO NOTHING", g.job, g.at); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	for _, p := range here {
		at, there := in.from.forgottenAt(p.Name)
		if !there || p.at > at || p.Trainer {
			continue
		}
		if _, _, err := in.Forget(ctx, "", p.ID); err != nil && !errors.Is(err, ErrUnknown) {
			return err
		}
		deleted++
	}
	in.out.Deleted = deleted
	return nil
}

// jobs brings in one job after another: of all together there may be more than memory.
func (in *importing) jobs(ctx context.Context) error {
	names, err := column(ctx, in.from.reading, "SELECT name FROM job ORDER BY began, name")
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := in.job(ctx, name); err != nil {
			return fmt.Errorf("job %s: %w", name, err)
		}
	}
	return nil
}

// wholeJob is all that the other store has of a job but its photos.
type wholeJob struct {
	began, changed int64
	void           bool
	record         *record.Record
	entries        []Written
	stood          []int64 // of the entries
	seals          []seal
	access         []access
}

type seal struct {
	row  string
	body []byte
}

type access struct {
	tablet string
	at     int64
}

func (in *importing) read(ctx context.Context, name string) (j wholeJob, err error) {
	var body []byte
	if err := in.from.reading.QueryRowContext(ctx, "SELECT began, changed, void, record FROM job WHERE name = ?", name).Scan(&j.began, &j.changed, &j.void, &body); err != nil {
		return j, err
	}
	j.record = new(record.Record)
	if err := json.Unmarshal(in.body(body), j.record); err != nil {
		return j, err
	}
	if j.entries, err = in.from.History(ctx, name); err != nil {
		return j, err
	}
	if j.stood, err = rows(ctx, in.from.reading, "SELECT stood FROM entry WHERE job = ? ORDER BY seq", func(r *sql.Rows, at *int64) error { return r.Scan(at) }, name); err != nil {
		return j, err
	}
	if j.seals, err = rows(ctx, in.from.reading, "SELECT row, body FROM seal WHERE job = ? ORDER BY seq", func(r *sql.Rows, x *seal) error { return r.Scan(&x.row, &x.body) }, name); err != nil {
		return j, err
	}
	j.access, err = rows(ctx, in.from.reading, "SELECT tablet, at FROM access WHERE job = ? ORDER BY tablet", func(r *sql.Rows, x *access) error { return r.Scan(&x.tablet, &x.at) }, name)
	return j, err
}

func (in *importing) job(ctx context.Context, name string) error {
	theirs, err := in.read(ctx, name)
	if err != nil {
		return err
	}
	fresh, entries, gone := false, 0, false
	if err := in.do(ctx, func(tx *writer) error {
		fresh, entries, gone = false, 0, false
		deleted, err := column(tx.ctx, tx.conn, "SELECT job FROM gone WHERE job = ?", name)
		if err != nil {
			return err
		}
		if gone = len(deleted) > 0; gone {
			return nil
		}
		fresh, entries, err = in.put(tx, name, theirs)
		return err
	}); err != nil || gone {
		return err
	}
	if fresh {
		in.out.Jobs++
	}
	in.out.Entries += entries
	return in.photos(ctx, name)
}

// put brings a job together with what is there of it. Every entry is one only once.
func (in *importing) put(tx *writer, name string, theirs wholeJob) (fresh bool, entries int, err error) {
	have, stored, err := readRecord(tx.ctx, tx.conn, name)
	merged := theirs.record
	switch fresh = errors.Is(err, ErrUnknown); {
	case fresh:
	case err != nil:
		return false, 0, err
	default:
		if err := have.Fits(theirs.record); err != nil {
			return false, 0, err
		}
		merged = record.Merge(have, theirs.record)
	}
	merged.Signed = nil // kept apart
	body, err := json.Marshal(merged)
	if err != nil {
		return false, 0, err
	}
	if string(body) != string(stored) {
		if tx.full {
			return false, 0, ErrFull
		}
		if err := tx.exec(`INSERT INTO job (name, procedure, variant, began, changed, record, void) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (name) DO UPDATE SET changed = CASE WHEN job.changed < excluded.changed THEN excluded.changed ELSE job.changed END, record = excluded.record`,
			name, merged.Procedure, merged.Variant, theirs.began, theirs.changed, body, theirs.void); err != nil {
			return false, 0, err
		}
		if err := tx.summarize(merged); err != nil {
			return false, 0, err
		}
	}
	for i, e := range theirs.entries {
		var known bool
		if err := tx.conn.QueryRowContext(tx.ctx, "SELECT EXISTS (SELECT 1 FROM entry WHERE job = ? AND part = ? AND key = ? AND tablet = ? AND (? IN (claimed, stood) OR ? IN (claimed, stood)))", name, e.Part, e.Key, e.Tablet, e.Claimed, theirs.stood[i]).Scan(&known); err != nil {
			return false, 0, err
		}
		if known {
			continue
		}
		person := in.id(e.Person)
		if person == "" {
			person = e.Person // it leads to nobody
		}
		if err := tx.exec("INSERT INTO entry (job, part, key, tablet, person, claimed, stood, at, body) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
			name, e.Part, e.Key, e.Tablet, person, e.Claimed, theirs.stood[i], e.At, in.body(e.Body)); err != nil {
			return false, 0, err
		}
		entries++
	}
	for _, x := range theirs.seals {
		known, err := column(tx.ctx, tx.conn, "SELECT row FROM seal WHERE job = ? AND row = ? AND body = ?", name, x.row, x.body)
		if err != nil {
			return false, 0, err
		}
		if len(known) == 0 {
			if err := tx.exec("INSERT INTO seal (job, row, body) VALUES (?, ?, ?)", name, x.row, x.body); err != nil {
				return false, 0, err
			}
		}
	}
	for _, x := range theirs.access {
		if err := tx.exec("INSERT INTO access VALUES (?, ?, ?) ON CONFLICT DO NOTHING", name, x.tablet, x.at); err != nil {
			return false, 0, err
		}
	}
	return fresh, entries, nil
}

// photos brings in the photos of a job, one after another.
func (in *importing) photos(ctx context.Context, job string) error {
	hashes, err := column(ctx, in.from.reading, "SELECT hash FROM photo WHERE job = ? ORDER BY hash", job)
	if err != nil {
		return err
	}
	there, err := in.Photos(ctx, job)
	if err != nil {
		return err
	}
	for _, hash := range hashes {
		if there[hash] {
			continue
		}
		var data []byte
		var tablet string
		if err := in.from.reading.QueryRowContext(ctx, "SELECT data, tablet FROM photo WHERE job = ? AND hash = ?", job, hash).Scan(&data, &tablet); err != nil {
			return err
		}
		if err := in.do(ctx, func(tx *writer) error {
			if tx.full {
				return ErrFull
			}
			return tx.exec("INSERT INTO photo (job, hash, data, tablet) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", job, hash, data, tablet)
		}); err != nil {
			return err
		}
		in.out.Photos++
	}
	return nil
}

// results brings in tries of quizzes. A try goes by a hash that is this store's own, so that a tablet that sends it here too brings no second one.
func (in *importing) results(ctx context.Context) error {
	hashes, err := column(ctx, in.from.reading, "SELECT hash FROM result ORDER BY received, hash")
	if err != nil {
		return err
	}
	for _, hash := range hashes {
		if err := in.result(ctx, hash); err != nil {
			return err
		}
	}
	return nil
}

func (in *importing) result(ctx context.Context, theirs string) error {
	var quizID, tablet, person, typed string
	var received int64
	var body []byte
	if err := in.from.reading.QueryRowContext(ctx, "SELECT quiz, received, body, tablet, person, typed FROM result WHERE hash = ?", theirs).Scan(&quizID, &received, &body, &tablet, &person, &typed); err != nil {
		return err
	}
	owner := person
	if typed != "" {
		owner = typed
	}
	here, renamed := in.ids[owner]
	if renamed && here == "" {
		return nil // it went with its name
	}
	name, err := in.from.NameOf(ctx, owner)
	if err != nil {
		return err
	}
	var response quiz.Response
	if err := json.Unmarshal(body, &response); err != nil {
		return err
	}
	response.Learner = name
	sent, err := json.Marshal(response)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(sent)
	hash := resultName(in.key.Seed(), hex.EncodeToString(sum[:]))
	if hmac.Equal(in.key.Seed(), in.from.key.Seed()) {
		hash = theirs
	}
	fresh := false
	if err := in.do(ctx, func(tx *writer) error {
		fresh = false
		known, err := column(tx.ctx, tx.conn, "SELECT hash FROM result WHERE hash = ?", hash)
		if err != nil || len(known) > 0 {
			return err
		}
		if known, err = column(tx.ctx, tx.conn, "SELECT hash FROM result WHERE tablet = ? AND typed = ? AND person = ? AND body = ?", tablet, in.id(typed), in.id(person), body); err != nil || len(known) > 0 {
			return err
		}
		if tx.full {
			return ErrFull
		}
		fresh = true
		return tx.exec("INSERT INTO result (hash, quiz, learner, received, body, tablet, person, typed) VALUES (?, ?, '', ?, ?, ?, ?, ?)", hash, quizID, received, body, tablet, in.id(person), in.id(typed))
	}); err != nil {
		return err
	}
	if fresh {
		in.out.Results++
	}
	return nil
}

// assessments brings in what observers saw of learners. It counts with the results.
func (in *importing) assessments(ctx context.Context) error {
	hashes, err := column(ctx, in.from.reading, "SELECT hash FROM assessment ORDER BY received, hash")
	if err != nil {
		return err
	}
	for _, hash := range hashes {
		var procedure, person, observer string
		var received int64
		var body []byte
		if err := in.from.reading.QueryRowContext(ctx, "SELECT procedure, received, body, person, observer FROM assessment WHERE hash = ?", hash).Scan(&procedure, &received, &body, &person, &observer); err != nil {
			return err
		}
		owner := in.id(person)
		if owner == "" {
			continue // it went with its name
		}
		fresh := false
		if err := in.do(ctx, func(tx *writer) (err error) {
			if tx.full {
				return ErrFull
			}
			fresh, err = tx.keepAssessment(procedure, received, body, owner, in.id(observer))
			return err
		}); err != nil {
			return err
		}
		if fresh {
			in.out.Results++
		}
	}
	return nil
}

// rest brings in the keys of quizzes and the trail, and takes names out of texts that were deleted here since.
func (in *importing) rest(ctx context.Context) error {
	for _, name := range in.lost {
		if err := in.do(ctx, func(tx *writer) error { return blankTexts(tx, name) }); err != nil {
			return err
		}
	}
	wordings, err := in.from.Wordings(ctx)
	if err != nil {
		return err
	}
	if err := in.KeepWordings(ctx, wordings); err != nil {
		return err
	}
	steps, err := in.from.Trail(ctx, 1<<31)
	if err != nil {
		return err
	}
	slices.Reverse(steps) // the first one first
	return in.do(ctx, func(tx *writer) error {
		for _, x := range steps {
			who := in.id(x.Person)
			known, err := column(tx.ctx, tx.conn, "SELECT what FROM trail WHERE at = ? AND person = ? AND tablet = ? AND what = ? AND job = ? AND about = ?", x.At, who, x.Tablet, x.What, x.Job, x.About)
			if err != nil {
				return err
			}
			if len(known) > 0 {
				continue
			}
			x.Person = who
			if err := tx.note(x.At, x); err != nil {
				return err
			}
		}
		return nil
	})
}
