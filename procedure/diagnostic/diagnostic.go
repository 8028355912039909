// Package diagnostic holds what matchmark tells an author: one message type,
// the log that collects messages, and their plain-text and JSON forms.
//
// Stages add messages to a Log and never print. The command prints the log once.
package diagnostic

import (
	"cmp"
	"slices"
	"sync"

	"matchmark/procedure/text"
)

// Severity says what a message does to a compile.
type Severity int

const (
	// Advice never stops a compile and is left out of the exit code.
	Advice Severity = iota
	// Warning is likely a mistake; the compile goes on.
	Warning
	// Error stops the compile: nothing is written.
	Error
)

// String returns the word that stands in the message.
func (s Severity) String() string {
	return [...]string{"advice", "warning", "error"}[s]
}

// Code names one kind of message for good. Codes are words, registered in a
// Rule each, and are never reused for another meaning.
type Code string

// Related is a second place that the message speaks of.
type Related struct {
	Span text.Span
	// Why says in a few words what this place has to do with the fault.
	Why string
}

// Diagnostic is one message to an author.
type Diagnostic struct {
	Code     Code
	Severity Severity
	Span     text.Span
	// Message is one line that says what is wrong.
	Message string
	// Do is one line that says what to do.
	Do string
	// See lists further places, most useful first.
	See []Related
}

// Log collects diagnostics from any number of goroutines.
type Log struct {
	mu      sync.Mutex
	all     []Diagnostic
	allowed []Allowed
}

// Add records a diagnostic.
func (l *Log) Add(d Diagnostic) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all = append(l.all, d)
}

// Sorted returns the diagnostics by file, line and column, then code and message, each once.
func (l *Log) Sorted() []Diagnostic {
	l.mu.Lock()
	defer l.mu.Unlock()
	out := slices.Clone(l.all)
	slices.SortStableFunc(out, compare)
	return slices.CompactFunc(out, func(a, b Diagnostic) bool { return compare(a, b) == 0 })
}

// HasErrors reports whether any message is an error.
func (l *Log) HasErrors() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.ContainsFunc(l.all, func(d Diagnostic) bool { return d.Severity == Error })
}

func compare(a, b Diagnostic) int {
	return cmp.Or(
		cmp.Compare(name(a.Span), name(b.Span)),
		cmp.Compare(a.Span.Start, b.Span.Start),
		cmp.Compare(a.Code, b.Code),
		cmp.Compare(a.Message, b.Message),
	)
}

func name(s text.Span) string {
	if s.File == nil {
		return ""
	}
	return s.File.Name
}
