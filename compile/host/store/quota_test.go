package store

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// One tablet fills neither the class's room nor its list of names; what it handed in before stays, and other tablets go on.
func TestOneTabletEnds(t *testing.T) { both(t, oneTabletEnds) }

func oneTabletEnds(t *testing.T, at func(Options) *Store) {
	t.Helper()
	s := at(Options{})
	defer closeIt(t, s)
	greedy, other := ada(t, s), ben(t, s)
	full := func(what string, err error) {
		t.Helper()
		if !errors.Is(err, ErrTabletFull) {
			t.Errorf("one more %s: %v", what, err)
		}
	}
	take(t, s, newRecord(aJob))
	hash := strings.Repeat("ab", 32)
	r := newRecord(aJob)
	r.Photos = map[string]record.Photo{hash: {Type: record.PhotoType, Width: 1, Height: 1}}
	take(t, s, r)

	try := func(n int, name string) quiz.Response {
		return quiz.Response{Quiz: "fan-quiz", Learner: name, Try: n}
	}
	for n := range mostNamesOfOne {
		if err := s.TakeResult(t.Context(), greedy, try(n, fmt.Sprint("Name ", n))); err != nil {
			t.Fatal(err)
		}
	}
	full("name", s.TakeResult(t.Context(), greedy, try(1, "One more")))
	if people, err := s.People(t.Context()); err != nil || len(people) != mostNamesOfOne+2 {
		t.Errorf("%d names, %v", len(people), err)
	}
	writeIn(t, s, counting(mostNamesOfOne+1, mostTriesOfOne, "INSERT INTO result (hash, quiz, learner, received, body, tablet) SELECT 'h' || i, 'q', '', 1, ?, ? FROM n"), []byte("{}"), aTablet)
	full("try", s.TakeResult(t.Context(), greedy, try(2000, "")))
	if err := s.TakeResult(t.Context(), greedy, try(1, "Name 1")); err != nil {
		t.Errorf("one that it has handed in before: %v", err)
	}
	if err := s.TakeResult(t.Context(), other, try(1, "")); err != nil {
		t.Errorf("another tablet: %v", err)
	}

	writeIn(t, s, "INSERT INTO job VALUES ('big', 'p', '', 1, 1, ?, FALSE)", []byte("{}"))
	for n := range mostPhotosOfOne / MostJobPhotos {
		writeIn(t, s, "INSERT INTO photo VALUES ('big', ?, ?, ?)", fmt.Sprint(n), make([]byte, MostJobPhotos), aTablet)
	}
	full("photo", s.PutPhoto(t.Context(), greedy, aJob, hash, bytes.Repeat([]byte{1}, 100)))
	if err := s.Bind(t.Context(), "", other.Number, aJob); err != nil {
		t.Fatal(err)
	}
	if err := s.PutPhoto(t.Context(), other, aJob, hash, []byte{1}); err != nil {
		t.Errorf("another tablet's photo: %v", err)
	}

	writeIn(t, s, counting(2, mostJobsOfOne, "INSERT INTO job SELECT 'j' || i, 'p', '', 1, 1, ?, FALSE FROM n"), []byte("{}"))
	writeIn(t, s, "INSERT INTO access SELECT name, ?, 1 FROM job WHERE name LIKE 'j%'", aTablet)
	_, _, err := s.TakeRecord(t.Context(), greedy, newRecord(strings.Repeat("n", 26)), 0)
	full("job", err)
	take(t, s, newRecord(aJob)) // the one that it has goes on
}
