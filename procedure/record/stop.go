package record

import (
	"cmp"
	"strings"
)

// StopKey is where Confirmed and Signed hold what became of a finding that stops the work: in Confirmed what was written on a tablet in the
// trainer's name, which proves nothing, in Signed that the trainer has looked and lets the work go on.
func StopKey(finding string) string { return "stop/" + finding }

// SplitStop takes the finding's name out of such a key; ok is false for any other text.
func SplitStop(key string) (finding string, ok bool) { return strings.CutPrefix(key, "stop/") }

// Text is what a trainer looks at who lets the work go on: what was found, a line each. A finding that says something else by now has not
// been looked at.
func (f *Finding) Text() string {
	return strings.Join([]string{cmp.Or(f.Name, f.Other), string(f.Kind), f.Words, f.Repair}, "\n")
}

// Stopped reports whether a finding stops the work: it says so, nobody has taken it back, and no signature at a class host lets the work go on.
func (r *Record) Stopped(finding string) bool {
	f, there := r.Findings[finding]
	if !there || f.Severity != StopsWork || f.Withdrawn {
		return false
	}
	key := StopKey(finding)
	s, signed := r.Signed[key]
	return !signed || !Verify(r, key, s)
}
