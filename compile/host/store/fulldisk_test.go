package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"matchmark/compile/smalldisk"
	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// TestFullDisk fills the disk under the database of a class, and sends on: what was taken
// before stays, what comes now is refused as long as there is no room, and taken when there is.
func TestFullDisk(t *testing.T) {
	disk := smalldisk.Mount(t, "8m")
	s := open(t, filepath.Join(disk, "class"), Options{})
	defer func() { closeIt(t, s) }()
	job := func(i int) *record.Record {
		r := newRecord(fmt.Sprintf("%026d", i))
		r.Ticks["fan-off/1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: int64(i), Tablet: aTablet}}
		return r
	}
	take(t, s, job(0))

	empty := smalldisk.Fill(t, disk)
	refused := -1
	for i := 1; i < 1000 && refused < 0; i++ { // some fit into room that the database has already
		switch _, _, err := s.TakeRecord(t.Context(), ada(t, s), job(i), 0); {
		case errors.Is(err, ErrFull):
			refused = i
		case err != nil:
			t.Fatalf("record %d: %v", i, err)
		}
	}
	if refused < 0 {
		t.Fatal("a full disk took 1,000 records")
	}
	if err := s.TakeResult(t.Context(), ada(t, s), quiz.Response{Quiz: "q"}); err != nil && !errors.Is(err, ErrFull) {
		t.Errorf("a result: %v", err)
	}
	for i := range refused {
		if r, err := s.Record(t.Context(), job(i).Job); err != nil || len(r.Ticks) != 1 {
			t.Errorf("record %d, taken while there was room: %v", i, err)
		}
	}

	closeIt(t, s)
	empty()
	empty = smalldisk.Fill(t, disk) // closing has made room
	// Nothing that happens for want of room is taken for damage.
	if _, err := Open(t.Context(), filepath.Join(disk, "class"), Options{}); !errors.Is(err, ErrFull) {
		t.Errorf("opening it again: %v", err)
	}
	if _, err := Backup(t.Context(), filepath.Join(disk, "class"), 10, time.Now()); !errors.Is(err, ErrFull) {
		t.Errorf("a backup: %v", err)
	}

	empty()
	s = open(t, filepath.Join(disk, "class"), Options{}) // looks at its integrity
	take(t, s, job(refused))
	if _, err := s.Record(t.Context(), job(refused).Job); err != nil {
		t.Errorf("the record that was refused at first: %v", err)
	}
}
