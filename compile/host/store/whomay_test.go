package store

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"matchmark/procedure/record"
)

const (
	found    = "ffffffffffffffffffffffffff"
	aRow     = "out/fan-off--remove-1"
	aPicture = "abababababababababababababababababababababababababababababababab"
)

type mayWrite struct {
	part                  string // of the record, and what kind of entry
	set, change, withdraw string
	do                    [3]func(r *record.Record, s record.Stamp) // the three, as a tablet writes them
	probe                 func(r *record.Record) any
}

// whoMay says of every part of a record who may set an entry that is not there, change it, and take it back: the tablet that it is "own" to, or
// a "mate", another tablet on the same job. Nobody does it in another's name, but for the "nameless", which say nothing of anybody, nor on a job that it is not on. What stands beside no name, the trainer alone
// does: on the board, or by a code from it.
var whoMay = []mayWrite{
	{"Machine", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Machine = record.Entry[string]{Value: []string{"No. 4", "No. 7", ""}[n], Stamp: s}
	}),
		func(r *record.Record) any { return r.Machine.Value }},
	{"Tablets", "own", "own", "own", three(func(r *record.Record, s record.Stamp, n int) {
		r.Tablets = map[string]record.Tablet{s.Tablet: {Phase: record.Removal, Step: []string{"fan-off", "fan-on", ""}[n], Stamp: s}}
	}), func(r *record.Record) any { return r.Tablets[aTablet].Step }},
	{"Passed", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Passed = map[string]record.Entry[bool]{"out/fan-off": {Value: n == 0, Stamp: s}}
	}), func(r *record.Record) any { return r.Passed["out/fan-off"].Value }},
	{"Ticks", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Ticks = map[string]record.Entry[bool]{aRow: {Value: n == 0, Stamp: s}}
	}), func(r *record.Record) any { return r.Ticks[aRow].Value }},
	{"Work", "own", "own", "", three(func(r *record.Record, s record.Stamp, n int) {
		r.Work = map[string]record.Interval{"out/fan-off@" + s.Tablet + "@1": {From: 1, To: []int64{10, 20, 1}[n]}}
	}), func(r *record.Record) any { return r.Work["out/fan-off@"+aTablet+"@1"].To }},
	{"Confirmed", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Confirmed = map[string]record.Confirmation{"out/lift--confirm": {Given: n < 2, Text: []string{"a", "b", ""}[n], Stamp: s}}
	}), func(r *record.Record) any { c := r.Confirmed["out/lift--confirm"]; return fmt.Sprint(c.Given, c.Text) }},
	{"Signed", "", "", "", three(func(r *record.Record, s record.Stamp, n int) {}), func(r *record.Record) any { return len(r.Signed) }},
	{"Measured", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Measured = map[string]record.Measurement{aRow: {Look: "width", Value: []string{"11", "12", ""}[n], Stamp: s}}
	}), func(r *record.Record) any { return r.Measured[aRow].Value }},
	{"Findings", "own mate", "own", "own", findingOf(found, record.BeforeRefit), stateOfFinding(found)},
	{"Findings of a measured value", "own mate", "own mate", "own mate", findingOf("m-"+aRow, record.BeforeRefit), stateOfFinding("m-" + aRow)},
	{"Findings that stop the work", "own mate", "", "", findingOf(found, record.StopsWork), severityOf(found)},
	{"Findings of a measured value that stop the work", "own mate", "", "", findingOf("m-"+aRow, record.StopsWork), severityOf("m-" + aRow)},
	{"Repairs", "own mate", "own mate", "own mate", three(func(r *record.Record, s record.Stamp, n int) {
		r.Repairs = map[string]record.Repair{found: {Done: n < 2, Note: []string{"a", "b", ""}[n], Stamp: s}}
	}), func(r *record.Record) any { x := r.Repairs[found]; return fmt.Sprint(x.Done, x.Note) }},
	{"Photos", "own mate nameless", "", "", three(func(r *record.Record, s record.Stamp, n int) {
		r.Photos = map[string]record.Photo{aPicture: {Type: record.PhotoType, Width: 4 + n, Height: 4}}
	}), func(r *record.Record) any { return r.Photos[aPicture].Width }},
	{"Job, Procedure and Variant", "", "", "", three(func(r *record.Record, s record.Stamp, n int) {}), func(r *record.Record) any { return r.Procedure + r.Variant }},
	// Of two the higher stands; a signature has those that it was given for.
	{"Edition and Content", "", "own mate nameless", "", three(func(r *record.Record, s record.Stamp, n int) { r.Edition = []string{"1", "2", "0"}[n] }), func(r *record.Record) any { return r.Edition }},
}

func three(do func(*record.Record, record.Stamp, int)) (out [3]func(*record.Record, record.Stamp)) {
	for n := range out {
		out[n] = func(r *record.Record, s record.Stamp) { do(r, s, n) }
	}
	return out
}

// findingOf writes a finding down, lets it count for less, and takes it back.
func findingOf(name string, severity record.Severity) [3]func(*record.Record, record.Stamp) {
	return three(func(r *record.Record, s record.Stamp, n int) {
		f := record.Finding{Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Worn, Severity: severity, Withdrawn: n == 2, Found: 5, Stamp: s}
		if n > 0 {
			f.Severity = record.Watch
		}
		r.Findings = map[string]record.Finding{name: f}
	})
}

func severityOf(name string) func(*record.Record) any {
	return func(r *record.Record) any { return r.Findings[name].Severity }
}

func stateOfFinding(name string) func(*record.Record) any {
	return func(r *record.Record) any { f := r.Findings[name]; return fmt.Sprint(f.Severity, f.Withdrawn) }
}

func TestWhoMayWriteWhat(t *testing.T) { both(t, whoMayWriteWhat) }

func whoMayWriteWhat(t *testing.T, at func(Options) *Store) {
	t.Helper()
	fields := reflect.TypeFor[record.Record]()
	for i := range fields.NumField() {
		name := fields.Field(i).Name
		if !slices.ContainsFunc(whoMay, func(x mayWrite) bool { return strings.Contains(x.part, name) }) && name != "Format" && name != "Version" {
			t.Errorf("nothing says who may write %s", name)
		}
	}
	now := int64(1_790_000_000_000)
	s := at(Options{Now: func() time.Time { return time.UnixMilli(now) }})
	defer closeIt(t, s)
	own, mate, stranger := ada(t, s), ben(t, s), tabletOf(t, s, strings.Repeat("c", 26), "Cem Kaya")
	jobs := 0
	for _, row := range whoMay {
		for n, allowed := range []string{row.set, row.change, row.withdraw} {
			for _, who := range []struct {
				name   string
				from   Tablet
				tablet string // in whose name
			}{{"own", own, own.Name}, {"mate", mate, mate.Name}, {"nameless", mate, own.Name}, {"a tablet of another job", stranger, stranger.Name}} {
				jobs++
				job := fmt.Sprintf("job%023d", jobs)
				base := newRecord(job)
				base.Machine.Value, base.Tablets = "", map[string]record.Tablet{}
				if n > 0 {
					row.do[0](base, record.Stamp{At: now - 9_000, Tablet: own.Name})
				}
				takeFrom(t, s, own, base)
				if err := s.Bind(t.Context(), "", mate.Number, job); err != nil {
					t.Fatal(err)
				}
				before, err := s.Record(t.Context(), job)
				if err != nil {
					t.Fatal(err)
				}
				now += 1_000
				r := newRecord(job)
				r.Machine, r.Tablets = before.Machine, map[string]record.Tablet{}
				row.do[n](r, record.Stamp{At: now - 500, Tablet: who.tablet})
				if _, _, err := s.TakeRecord(t.Context(), who.from, r, now); err != nil && !(who.from == stranger && errors.Is(err, ErrNotYours)) {
					t.Fatal(err)
				}
				after, err := s.Record(t.Context(), job)
				if err != nil {
					t.Fatal(err)
				}
				what := []string{"set", "change", "take back"}[n]
				if got, want := row.probe(after) != row.probe(before), slices.Contains(strings.Fields(allowed), who.name); got != want {
					t.Errorf("%s: %s may %s it: %t, want %t (%v, then %v)", row.part, who.name, what, got, want, row.probe(before), row.probe(after))
				}
			}
		}
	}
}
