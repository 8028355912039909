package say

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"io/fs"
	"strings"
	"syscall"
)

// said is an error whose words are a text: what is wrong, and behind it its cause, which may be nil.
type said struct {
	text  Text
	cause error
	// known is an error that this one is too.
	known error
}

// Error makes an error of a text.
func Error(text Text) error { return &said{text: text} }

// Because makes an error of a text and of what caused it.
func Because(text Text, cause error) error { return &said{text: text, cause: cause} }

// Behind makes an error of a known one, which it is too, and of what more there is to say.
func Behind(known, cause error) error { return &said{text: Why(known), cause: cause, known: known} }

// Says returns what is wrong.
func (s *said) Says() Text {
	if s.cause == nil {
		return s.text
	}
	return That("%what: %cause", s.text, Why(s.cause))
}

// Error returns what is wrong, in English.
func (s *said) Error() string { return s.Says().String() }

// Unwrap returns the cause and what else the error is.
func (s *said) Unwrap() (all []error) {
	for _, err := range []error{s.known, s.cause} {
		if err != nil {
			all = append(all, err)
		}
	}
	return all
}

// system are what the system says most.
var system = []struct {
	is   error
	says Text
}{
	{fs.ErrNotExist, That("no such file or directory")},
	{fs.ErrPermission, That("permission denied")},
	{fs.ErrExist, That("file exists")},
	{syscall.ENOSPC, That("no space left on device")},
	{syscall.EROFS, That("read-only file system")},
	{syscall.EISDIR, That("is a directory")},
	{syscall.ENOTDIR, That("not a directory")},
	{syscall.ENAMETOOLONG, That("file name too long")},
	{syscall.EADDRINUSE, That("address already in use")},
	{syscall.ECONNREFUSED, That("connection refused")},
}

// readers are what readers of tables and JSON say most; none of their words is for people.
var readers = []struct {
	is   func(error) bool
	says Text
}{
	{func(err error) bool { return err == csv.ErrBareQuote }, That("a quotation mark stands in a cell that does not begin with one")},
	{func(err error) bool { return err == csv.ErrQuote }, That("a quotation mark is missing, or there is one too many")},
	{isA[*json.SyntaxError], That("the text breaks off, or is no JSON")},
	{isA[*json.UnmarshalTypeError], That("a value is of the wrong kind")},
}

func isA[E error](err error) bool {
	_, is := err.(E)
	return is
}

// Why is what an error says: its own words where it has a text, what the system and readers say most, and else the words of
// another program as they came. What stands around another error is kept.
func Why(err error) Text {
	for _, r := range readers {
		if r.is(err) {
			return r.says
		}
	}
	switch e := err.(type) {
	case interface{ Says() Text }:
		return e.Says()
	case syscall.Errno:
		for _, s := range system {
			if errors.Is(e, s.is) {
				return s.says
			}
		}
	case interface{ Unwrap() error }:
		if around, is := strings.CutSuffix(err.Error(), ": "+text(e.Unwrap())); is {
			return That("%what: %cause", Foreign(around), Why(e.Unwrap()))
		}
	}
	if LeadsOut(err) {
		return That("it leads out of the library")
	}
	return That("%cause", Foreign(err.Error()))
}

// LeadsOut reports whether an error says that a path, or a link on it, leads out of the folder that may be read.
func LeadsOut(err error) bool {
	return err != nil && strings.HasSuffix(err.Error(), "path escapes from parent") // os.Root has no value for it
}

// text is what an error says in English; of no error it is what nothing ends in.
func text(err error) string {
	if err == nil {
		return "\x00"
	}
	return err.Error()
}
