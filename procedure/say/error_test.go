package say

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
	"testing"
)

// What an error says can be said in a language as far as its words are ours or the system's usual ones; in English it is what it always was.
func TestWhy(t *testing.T) {
	full := errors.New("somebody else's words")
	german := Language{
		"the book is closed": "das Buch ist zu", "keeping %name": "beim Aufheben von %name", "%what: %cause": "%what – %cause",
		"permission denied": "keine Erlaubnis", "no space left on device": "kein Platz mehr",
	}
	for _, c := range []struct {
		err           error
		english, want string
	}{
		{Error(That("the book is closed")), "the book is closed", "das Buch ist zu"},
		{Because(That("keeping %name", Name("a")), syscall.ENOSPC), "keeping a: no space left on device", "beim Aufheben von a – kein Platz mehr"},
		{Because(That("keeping %name", Name("a")), full), "keeping a: somebody else's words", "beim Aufheben von a – somebody else's words"},
		{&fs.PathError{Op: "open", Path: "x", Err: syscall.EACCES}, "open x: permission denied", "open x – keine Erlaubnis"},
		{fmt.Errorf("around: %w", Error(That("the book is closed"))), "around: the book is closed", "around – das Buch ist zu"},
		{fmt.Errorf("%w, again", Error(That("the book is closed"))), "the book is closed, again", "the book is closed, again"},
		{syscall.EDOM, syscall.EDOM.Error(), syscall.EDOM.Error()},
		{full, "somebody else's words", "somebody else's words"},
		{os.ErrProcessDone, os.ErrProcessDone.Error(), os.ErrProcessDone.Error()},
	} {
		if got := Why(c.err).String(); got != c.english || c.err.Error() != c.english {
			t.Errorf("%v: English %q, want %q", c.err, got, c.english)
		}
		if got := Why(c.err).In(german); got != c.want {
			t.Errorf("%v: %q, want %q", c.err, got, c.want)
		}
	}
	cause := Because(That("the book is closed"), full)
	if !errors.Is(cause, full) {
		t.Error("the cause is not found")
	}
}
