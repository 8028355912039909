// Package diagnostic holds what matchmark tells an author: one message type,
// the log that collects messages, and their plain-text and JSON forms.
//
// Stages add messages to a Log and never print. The command prints the log once.
package diagnostic

import (
	"cmp"
	"fmt"
	"slices"
	"sync"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Severity says what a message does to a compile.
type Severity int

const (
	// NotChecked says what the checks leave out because of errors.
	NotChecked Severity = iota - 1
	// Advice never stops a compile and is left out of the exit code.
	Advice
	// Warning is likely a mistake; the compile goes on.
	Warning
	// Error stops the compile: nothing is written.
	Error
)

// String returns the word that stands in the message.
func (s Severity) String() string {
	return severities[s-NotChecked].String()
}

// In is the severity in a language.
func (s Severity) In(l say.Language) string { return severities[s-NotChecked].In(l) }

var severities = [...]say.Text{say.That("not checked"), say.That("advice"), say.That("warning"), say.That("error")}

// Code names one kind of message for good. Codes are words, registered in a
// Rule each, and are never reused for another meaning.
type Code string

// Related is a second place that the message speaks of.
type Related struct {
	Span text.Span
	// Says says in a few words what this place has to do with the fault.
	Says say.Text
}

// Diagnostic is one message to an author.
type Diagnostic struct {
	// Code may be empty for a message on another file than a library's.
	Code     Code
	Severity Severity
	Span     text.Span
	// Place is where it is in a file whose bytes are not kept, for a message without a Span. A
	// line or column of 0 is not known.
	Place text.Position
	// Wrong is one line that says what is wrong.
	Wrong say.Text
	// Advice is one line that says what to do.
	Advice say.Text
	// See lists further places, most useful first.
	See []Related
	// Because is the message that this one follows from; nil for one that stands by itself.
	Because *Diagnostic
	// Fault is set when the message is about a fault of matchmark's own.
	Fault *Fault
	// Refitting is true for a fault of the refitting that is derived from the procedure.
	Refitting bool
	// Variants are the variants of the machine that have the fault; none when all have it.
	Variants []string
	// Fixes are ways to put it right, the likeliest first.
	Fixes []Fix
}

// Places makes the diagnostic with each of its places put through the function.
func (d Diagnostic) Places(other func(text.Span) text.Span) Diagnostic {
	d.Span = other(d.Span)
	d.See = slices.Clone(d.See)
	for i := range d.See {
		d.See[i].Span = other(d.See[i].Span)
	}
	d.Fixes = slices.Clone(d.Fixes)
	for i := range d.Fixes {
		f := &d.Fixes[i]
		f.Edits = slices.Clone(f.Edits)
		for j := range f.Edits {
			f.Edits[j].Span = other(f.Edits[j].Span)
		}
	}
	return d
}

// Says is the line that says what is wrong, on which way and for which variants.
func (d Diagnostic) Says() say.Text {
	out := d.Wrong
	if d.Refitting {
		out = say.That("in the refitting: %message", out)
	}
	if len(d.Variants) > 0 {
		out = say.That("%message (only on: %variants)", out, say.Each[say.Name](say.Commas, d.Variants))
	}
	return out
}

// At is where the message is; the zero Position for one that is about no place.
func (d Diagnostic) At() text.Position {
	if d.Span.Valid() {
		return d.Span.At()
	}
	return d.Place
}

// Faults is the error of a file that cannot be read: what is wrong with it, in the file's order.
type Faults []Diagnostic

// Error gives the first fault and how many there are.
func (f Faults) Error() string { return f.Says().String() }

// Says says the first fault and how many there are.
func (f Faults) Says() say.Text {
	at := f[0].At()
	out := say.That("line %line, column %column: %message", say.Count(at.Line), say.Count(at.Column), f[0].Says())
	if len(f) > 1 {
		out = say.That("%first (and %more more)", out, say.Count(len(f)-1))
	}
	return out
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

// Sorted returns the diagnostics by file, line and column, then code and message, each once. Of a steps file that several
// procedures take in, the same message may come from each of them: the one that is kept does not hang on which was checked first.
func (l *Log) Sorted() []Diagnostic {
	l.mu.Lock()
	defer l.mu.Unlock()
	out := slices.Clone(l.all)
	slices.SortStableFunc(out, func(a, b Diagnostic) int {
		return cmp.Or(compare(a, b), slices.CompareFunc(a.See, b.See, compareRelated))
	})
	return slices.CompactFunc(out, func(a, b Diagnostic) bool { return compare(a, b) == 0 })
}

// Link replaces the messages by what link makes of them, sorted.
func (l *Log) Link(link func([]Diagnostic) []Diagnostic) {
	linked := link(l.Sorted())
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all = linked
}

// Grouped puts the messages that follow from another one behind it. What they follow
// from is the first of each group; a message whose cause is not among them stands by itself.
func Grouped(all []Diagnostic) (groups [][]Diagnostic) {
	place := map[string]int{}
	key := func(d Diagnostic) string {
		return fmt.Sprint(name(d.Span), " ", d.Span.Start, " ", d.Code, " ", d.Says())
	}
	for _, d := range all {
		if d.Because == nil {
			place[key(d)] = len(groups)
			groups = append(groups, []Diagnostic{d})
		}
	}
	for _, d := range all {
		if d.Because == nil {
			continue
		}
		if at, there := place[key(*d.Because)]; there {
			groups[at] = append(groups[at], d)
		} else {
			groups = append(groups, []Diagnostic{d})
		}
	}
	slices.SortStableFunc(groups, func(a, b []Diagnostic) int { return cmp.Compare(last(a[0]), last(b[0])) })
	return groups
}

// last is 1 for what stands behind all that was found: what was not looked for.
func last(d Diagnostic) int {
	if d.Severity == NotChecked {
		return 1
	}
	return 0
}

// HasErrors reports whether any message is an error.
func (l *Log) HasErrors() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.ContainsFunc(l.all, func(d Diagnostic) bool { return d.Severity == Error })
}

func compare(a, b Diagnostic) int {
	if c := cmp.Or(
		cmp.Compare(name(a.Span), name(b.Span)),
		cmp.Compare(a.Span.Start, b.Span.Start),
		cmp.Compare(a.Code, b.Code),
	); c != 0 {
		return c
	}
	return cmp.Compare(a.Says().String(), b.Says().String())
}

func compareRelated(a, b Related) int {
	if c := cmp.Or(cmp.Compare(name(a.Span), name(b.Span)), cmp.Compare(a.Span.Start, b.Span.Start)); c != 0 {
		return c
	}
	return cmp.Compare(a.Says.String(), b.Says.String())
}

func name(s text.Span) string {
	if s.File == nil {
		return ""
	}
	return s.File.Name
}
