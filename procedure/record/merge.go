package record

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"

	"matchmark/procedure/say"
)

// Merge brings two records of one job together, as FORMAT.md says. It changes
// neither of them. The result does not depend on the order, and merging what is
// merged already changes nothing, so that records may come in any order and any
// number of times.
func Merge(a, b *Record) *Record {
	later := a
	if cmp.Or(cmp.Compare(a.Edition, b.Edition), cmp.Compare(a.Content, b.Content)) < 0 {
		later = b
	}
	named := a
	if cmp.Or(cmp.Compare(a.Procedure, b.Procedure), cmp.Compare(a.Variant, b.Variant)) < 0 {
		named = b
	}
	out := &Record{
		Format: Format, Version: max(a.Version, b.Version),
		Job: min(a.Job, b.Job), Procedure: named.Procedure, Variant: named.Variant,
		Edition: later.Edition, Content: later.Content,
		Machine:   latest(a.Machine, b.Machine),
		Tablets:   union(a.Tablets, b.Tablets, latest),
		Passed:    union(a.Passed, b.Passed, latest),
		Ticks:     union(a.Ticks, b.Ticks, latest),
		Work:      union(a.Work, b.Work, longest),
		Confirmed: union(a.Confirmed, b.Confirmed, latest),
		Signed:    union(a.Signed, b.Signed, newest),
		Measured:  union(a.Measured, b.Measured, latest),
		Findings:  union(a.Findings, b.Findings, latest),
		Repairs:   union(a.Repairs, b.Repairs, latest),
		Photos:    union(a.Photos, b.Photos, fullest),
	}
	if out.Tablets == nil {
		out.Tablets = map[string]Tablet{}
	}
	return out
}

// union has the keys of both maps; of a key that is in both, the one that choose says.
func union[T any](a, b map[string]T, choose func(a, b T) T) map[string]T {
	if len(a)+len(b) == 0 {
		return nil
	}
	out := make(map[string]T, max(len(a), len(b)))
	for key, x := range a {
		out[key] = x
	}
	for key, y := range b {
		if x, both := out[key]; both {
			y = choose(x, y)
		}
		out[key] = y
	}
	return out
}

// stamp makes everything that carries a Stamp a stamped value.
func (s Stamp) stamp() Stamp { return s }

// latest is the entry with the later stamp; at equal time and tablet the one whose
// canonical JSON is larger.
func latest[T interface{ stamp() Stamp }](a, b T) T {
	x, y := a.stamp(), b.stamp()
	return first(cmp.Or(cmp.Compare(x.At, y.At), cmp.Compare(x.Tablet, y.Tablet)), a, b)
}

// longest is the spell of work that ends later.
func longest(a, b Interval) Interval { return first(cmp.Compare(a.To, b.To), a, b) }

// newest is the signature that was given later: only the host signs, and it signs again when
// the first signature has come to stand for another machine.
func newest(a, b Signature) Signature { return first(cmp.Compare(a.At, b.At), a, b) }

// fullest is the photo that has its data.
func fullest(a, b Photo) Photo {
	return first(cmp.Compare(min(len(a.Data), 1), min(len(b.Data), 1)), a, b)
}

// first is what comes out ahead by a comparison; of equals it is the larger.
func first[T any](by int, a, b T) T {
	switch {
	case by > 0:
		return a
	case by < 0:
		return b
	}
	return larger(a, b)
}

// larger is the value whose canonical JSON is larger, byte by byte.
func larger[T any](a, b T) T {
	x, errX := canonical(a)
	y, errY := canonical(b)
	if errX != nil || errY != nil {
		panic(fmt.Sprintf("an entry of a job record has no JSON: %v", errors.Join(errX, errY))) // plain fields always have
	}
	if bytes.Compare(x, y) < 0 {
		return b
	}
	return a
}

// OtherJobError says that two records are not of one job.
type OtherJobError struct {
	// Procedure is true when they are not even of one procedure and variant, so that nothing brings them together.
	Procedure bool
	problem   say.Text
}

// Error says what is different.
func (e *OtherJobError) Error() string { return e.problem.String() }

// Says says what is different.
func (e *OtherJobError) Says() say.Text { return e.problem }

// Fits reports whether other is a record of the same job as r; the error is an *OtherJobError.
func (r *Record) Fits(other *Record) error {
	switch {
	case r.Procedure != other.Procedure:
		return &OtherJobError{true, say.That("one record is of the procedure %one, the other of %other", say.Quoted(r.Procedure), say.Quoted(other.Procedure))}
	case r.Variant != other.Variant:
		return &OtherJobError{true, say.That("one record is of the variant %one, the other of %other", say.Quoted(r.Variant), say.Quoted(other.Variant))}
	case r.Job != other.Job:
		return &OtherJobError{false, say.That("one record is of the job %one, the other of %other", say.Name(r.Job), say.Name(other.Job))}
	}
	return nil
}

// Full returns an error when a record has more entries than Read takes; two records
// that are both within the bounds may be beyond them together.
func (r *Record) Full() error {
	for _, m := range []struct {
		name    string
		n, most int
	}{
		{"tablets", len(r.Tablets), MostTablets}, {"passed steps", len(r.Passed), MostEntries}, {"ticks", len(r.Ticks), MostEntries},
		{"spells of work", len(r.Work), MostEntries}, {"confirmations", len(r.Confirmed), MostEntries}, {"signatures", len(r.Signed), MostEntries},
		{"measured values", len(r.Measured), MostEntries}, {"findings", len(r.Findings), MostFindings}, {"repairs", len(r.Repairs), MostFindings},
		{"photos", len(r.Photos), MostPhotos},
	} {
		if m.n > m.most {
			return fmt.Errorf("the record has %d %s, and %d are the most", m.n, m.name, m.most)
		}
	}
	return nil
}
