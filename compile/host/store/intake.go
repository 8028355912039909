package store

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"matchmark/procedure/record"
)

// clockSlack is how far a tablet's clock may be off without being set right, in milliseconds: the way over the network takes time.
const clockSlack = 2000

// intake takes a tablet's record into what the store has of the job. A tablet speaks for itself
// alone: what it says that others wrote is passed over, since they bring it themselves; only of a tablet that is
// in no class, such as one whose file was opened here, does it bring what is not there yet, under its own name.
type intake struct {
	tx    *writer
	from  Tablet
	now   int64
	shift int64 // what the tablet's clock lacks
	have  *record.Record
	// enrolled says of names whether tablets of the class go by them.
	enrolled map[string]bool
	fresh    []entry
}

// right sets a tablet's time right. Nothing was written down later than now.
func (in *intake) right(at int64) int64 {
	if max(in.shift, -in.shift) > clockSlack {
		at += in.shift
	}
	return min(max(at, 0), in.now)
}

// own says whether a tablet may bring something that has the name of a tablet on it.
func (in *intake) own(tablet string, there bool) (bool, error) {
	if tablet == in.from.Name || there {
		return tablet == in.from.Name, nil
	}
	known, asked := in.enrolled[tablet]
	if !asked {
		if err := in.tx.conn.QueryRowContext(in.tx.ctx, "SELECT EXISTS (SELECT 1 FROM tablet WHERE name = ?)", tablet).Scan(&known); err != nil {
			return false, fmt.Errorf("looking for a tablet: %w", err)
		}
		in.enrolled[tablet] = known
	}
	return !known, nil
}

// all takes each part of a record.
func (in *intake) all(r *record.Record) (err error) {
	have := in.have
	machine, err := takePart(in, machinePart, map[string]record.Entry[string]{"": have.Machine}, map[string]record.Entry[string]{"": r.Machine}, nil)
	if err != nil {
		return err
	}
	have.Machine = machine[""]
	if have.Passed, err = takePart(in, passedPart, have.Passed, r.Passed, nil); err != nil {
		return err
	}
	if have.Ticks, err = takePart(in, ticksPart, have.Ticks, r.Ticks, nil); err != nil {
		return err
	}
	if have.Confirmed, err = takePart(in, confirmedPart, have.Confirmed, r.Confirmed, nil); err != nil {
		return err
	}
	if have.Measured, err = takePart(in, measuredPart, have.Measured, r.Measured, nil); err != nil {
		return err
	}
	if have.Findings, err = takePart(in, findingsPart, have.Findings, r.Findings, in.finding); err != nil {
		return err
	}
	if have.Repairs, err = takePart(in, repairsPart, have.Repairs, r.Repairs, nil); err != nil {
		return err
	}
	in.place(r)
	if err := in.work(r); err != nil {
		return err
	}
	for name, p := range r.Photos {
		if _, there := have.Photos[name]; !there {
			p.Data = ""
			have.Photos = put(have.Photos, name, p)
		}
	}
	return nil
}

// takePart takes one part of a record. check may look at a state and change or refuse it; old is nil for the first.
func takePart[T any, P stamped[T]](in *intake, part string, have, brought map[string]T, check func(key string, old, fresh P) (bool, error)) (map[string]T, error) {
	for _, key := range slices.Sorted(maps.Keys(brought)) {
		fresh := brought[key]
		old, there := have[key]
		if there && P(&old).Stamped().Tablet == "" {
			there = false // the machine of a job that begins
		}
		stamp := P(&fresh).Stamped()
		if own, err := in.own(stamp.Tablet, there); err != nil {
			return nil, err
		} else if !own {
			continue
		}
		claimed := stamp.At
		*stamp = record.Stamp{At: in.right(claimed), Tablet: in.from.Name, By: in.from.Person}
		var before P
		if there {
			before = &old
		}
		if check != nil {
			if may, err := check(key, before, &fresh); err != nil || !may {
				if err != nil {
					return nil, err
				}
				continue
			}
		}
		if there {
			stands, known, err := in.follows(part, key, claimed, before.Stamped(), stamp, same[T, P](old, fresh))
			if err != nil {
				return nil, err
			}
			if known {
				continue
			}
			in.add(part, key, claimed, *stamp, fresh)
			if !stands {
				continue
			}
		} else {
			in.add(part, key, claimed, *stamp, fresh)
		}
		have = put(have, key, fresh)
	}
	return have, nil
}

func (in *intake) add(part, key string, claimed int64, s record.Stamp, body any) {
	in.fresh = append(in.fresh, entry{part, key, s.Tablet, s.By, claimed, s.At, body})
}

// follows says whether a state takes the place of another: the later one does, by times that were set right. What
// this tablet has brought before, or what changes nothing, is known.
func (in *intake) follows(part, key string, claimed int64, old, fresh *record.Stamp, same bool) (stands, known bool, err error) {
	if same {
		return false, true, nil
	}
	if err := in.tx.conn.QueryRowContext(in.tx.ctx, "SELECT EXISTS (SELECT 1 FROM entry WHERE job = ? AND part = ? AND key = ? AND tablet = ? AND ? IN (claimed, stood))",
		in.have.Job, part, key, in.from.Name, claimed).Scan(&known); err != nil {
		return false, false, fmt.Errorf("looking at what was written down: %w", err)
	}
	if known {
		return false, true, nil
	}
	if fresh.At < old.At && old.Tablet != fresh.Tablet {
		return false, false, nil
	}
	fresh.At = max(fresh.At, old.At+1)
	return true, false, nil
}

// same reports whether two states differ in nothing but when and by whom they were written down.
func same[T any, P stamped[T]](a, b T) bool {
	*P(&a).Stamped(), *P(&b).Stamped() = record.Stamp{}, record.Stamp{}
	return reflect.DeepEqual(a, b)
}

// finding lets only the finder change a finding or take it back; one that a measured value made, whoever measures again. While
// it stops the work, nobody but the trainer lets the work go on: it stays what it is, whatever else is written on it.
func (in *intake) finding(key string, old, fresh *record.Finding) (bool, error) {
	if old == nil {
		fresh.Found, fresh.FoundBy = in.right(fresh.Found), in.from.Person
		return true, nil
	}
	fresh.Found, fresh.FoundBy = old.Found, old.FoundBy
	if in.have.Stopped(key) {
		fresh.Severity, fresh.Withdrawn = record.StopsWork, false
	}
	if strings.HasPrefix(key, "m-") || old.FoundBy != "" && old.FoundBy == in.from.Person {
		return true, nil
	}
	first, err := column(in.tx.ctx, in.tx.conn, "SELECT tablet FROM entry WHERE job = ? AND part = ? AND key = ? ORDER BY seq LIMIT 1", in.have.Job, findingsPart, key)
	if err != nil {
		return false, fmt.Errorf("looking at what was written down: %w", err)
	}
	return len(first) == 1 && first[0] == in.from.Name, nil
}

// place takes where the tablet stands.
func (in *intake) place(r *record.Record) {
	have := in.have
	t, there := r.Tablets[in.from.Name]
	if !there {
		return
	}
	old, had := have.Tablets[in.from.Name]
	t.Stamp = record.Stamp{At: in.right(t.At), Tablet: in.from.Name, By: in.from.Person}
	t.Learner = in.from.Person
	if had && t.At < old.At {
		return
	}
	have.Tablets = put(have.Tablets, in.from.Name, t)
}

// work takes the spells of work. Of one the longer state stands.
func (in *intake) work(r *record.Record) error {
	have := in.have
	for key, spell := range r.Work {
		_, _, tablet, _, ok := record.SplitWork(key)
		own, err := in.own(tablet, false)
		if err != nil {
			return err
		}
		if !ok || !own {
			continue
		}
		if tablet != in.from.Name {
			key = strings.Replace(key, "@"+tablet+"@", "@"+in.from.Name+"@", 1)
		}
		if old, there := have.Work[key]; !there || spell.To > old.To {
			have.Work = put(have.Work, key, spell)
		}
	}
	return nil
}

func put[T any](m map[string]T, key string, value T) map[string]T {
	if m == nil {
		m = map[string]T{}
	}
	m[key] = value
	return m
}
