// Package mend puts right in a library's files what can be put right without
// asking: it carries out the safe fixes of the messages, checks again, and goes on
// until none is left. It writes nothing; package rewrite does.
package mend

import (
	"context"
	"io/fs"
	"maps"
	"slices"

	"matchmark/compile"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// Outcome is what became of a library.
type Outcome struct {
	// Procedures is how many there are, and Log holds what is left.
	Procedures int
	Log        *diagnostic.Log
	// Fixed are the faults that were put right, at the places where they stood then.
	Fixed []diagnostic.Diagnostic
	// Files are the changed files, by name.
	Files []rewrite.File
}

// mostRounds ends what would never end: a fix that brings the fault of another one.
// A misspelt block holds misspelt attributes, which hold misspelt names; deeper it does not go.
const mostRounds = 10

// Library reads and checks a library, and puts right what is safe. The error is the
// world's, such as a folder that cannot be read.
func Library(files fs.FS) (*Outcome, error) {
	builder := compile.NewBuilder(files, compile.Options{})
	over := compile.Overlay{}
	changed := map[string]rewrite.File{}
	var fixed []diagnostic.Diagnostic
	for round := 0; ; round++ {
		var log diagnostic.Log
		if err := builder.Check(context.Background(), maps.Clone(over), nil, &log); err != nil {
			return nil, err
		}
		found, edits := safe(log.Sorted())
		if len(edits) == 0 || round == mostRounds {
			return &Outcome{Procedures: builder.Procedures(), Log: &log, Fixed: fixed, Files: byName(changed)}, nil
		}
		made, err := rewrite.Make(edits)
		if err != nil {
			return nil, err
		}
		for _, f := range made {
			over[f.Old.Name] = f.Source
			if before, ok := changed[f.Old.Name]; ok {
				f.Old = before.Old
			}
			changed[f.Old.Name] = f
		}
		fixed = append(fixed, found...)
	}
}

// byName lists the changed files, by name.
func byName(changed map[string]rewrite.File) (out []rewrite.File) {
	for _, name := range slices.Sorted(maps.Keys(changed)) {
		out = append(out, changed[name])
	}
	return out
}

// safe picks the safe fixes that do not get in each other's way, with the messages that they answer.
func safe(all []diagnostic.Diagnostic) (fixed []diagnostic.Diagnostic, edits []rewrite.Edit) {
	byFile := map[*text.File][]rewrite.Edit{}
	for _, d := range all {
		fix := d.SafeFix()
		if fix == nil {
			continue
		}
		var more []rewrite.Edit
		free := true
		for _, e := range fix.Edits {
			switch taken := byFile[e.Span.File]; {
			case slices.Contains(taken, e): // another message asks for the same
			case slices.ContainsFunc(taken, func(t rewrite.Edit) bool { return touch(t.Span, e.Span) }):
				free = false
			default:
				more = append(more, e)
			}
		}
		if !free {
			continue // the next round says whether it is still to be done
		}
		fixed = append(fixed, d)
		for _, e := range more {
			byFile[e.Span.File] = append(byFile[e.Span.File], e)
		}
		edits = append(edits, more...)
	}
	return fixed, edits
}

// touch reports whether two places of a file overlap or meet.
func touch(a, b text.Span) bool { return a.Start <= b.End && b.Start <= a.End }
