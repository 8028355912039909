// Package assist answers somebody who writes a library: what may stand here, what a name means, where it is used, what a
// message offers. It answers from what is typed, saved or not, and knows no protocol: a language server and a page to write
// in ask the same questions.
package assist

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"matchmark/compile"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Desk is a library that somebody is writing. Its methods may be called from several goroutines.
type Desk struct {
	mu      sync.Mutex // guards the builder, which serves one call at a time
	builder *compile.Builder

	typing  sync.Mutex // guards what follows
	over    compile.Overlay
	changed []string // on disk, not looked at yet
	version int      // of the text, counted up by each change
	ended   func()   // ends the check that is running

	opened map[string]*document // what was worked out of files, of the version seen
	seen   int

	language atomic.Value // the say.Language of the library, for messages
}

// document is a file with what was worked out from it.
type document struct {
	file   *text.File
	opened *compile.Opened
	places []place
}

// NewDesk returns the desk of a library.
func NewDesk(library fs.FS) *Desk {
	return &Desk{builder: compile.NewBuilder(library, compile.Options{}), over: compile.Overlay{}, ended: func() {}}
}

// Type takes a file's text as it is typed, before it is saved.
func (d *Desk) Type(file string, content []byte) {
	d.typing.Lock()
	defer d.typing.Unlock()
	over := maps.Clone(d.over) // the builder holds the one before
	over[file] = content
	d.over = over
	d.version++
	d.ended()
}

// Close forgets what was typed in a file: what is saved counts.
func (d *Desk) Close(file string) {
	d.typing.Lock()
	defer d.typing.Unlock()
	over := maps.Clone(d.over)
	delete(over, file)
	d.over = over
	d.changed = append(d.changed, file)
	d.version++
	d.ended()
}

// Changed notes files that have changed on disk.
func (d *Desk) Changed(files ...string) {
	d.typing.Lock()
	defer d.typing.Unlock()
	d.changed = append(d.changed, files...)
	d.version++
	d.ended()
}

// typed takes what has changed, for one look at the library. A look that is cut short leaves nothing undone: the builder
// has taken notice by then.
func (d *Desk) typed() (over compile.Overlay, changed []string, version int) {
	d.typing.Lock()
	defer d.typing.Unlock()
	changed = d.changed
	d.changed = nil
	return d.over, changed, d.version
}

// look has the builder take notice of what was typed and saved. Somebody who asks waits for no check: one that runs is
// ended, and goes on from where it was when it is started again.
func (d *Desk) look() error {
	over, changed, version := d.typed()
	if version != d.seen {
		clear(d.opened)
		d.seen = version
	}
	if err := d.builder.Look(over, changed); err != nil {
		return fmt.Errorf("reading the library: %w", err)
	}
	d.language.Store(say.Translation(d.builder.Language()))
	return nil
}

// Language is the library's language, which messages are said in.
func (d *Desk) Language() say.Language {
	l, _ := d.language.Load().(say.Language)
	return l
}

// ErrOvertaken says that somebody typed on while a check ran.
var ErrOvertaken = errors.New("the text has changed meanwhile")

// ErrNoFile says that a file is none of the library's Markdown files, so that there is nothing to answer.
var ErrNoFile = errors.New("this is no Markdown file of the library")

// Check looks for faults in the whole library. Those of the files named first come first, to tell, as soon as they are
// known; then all of the library's. It ends with ErrOvertaken when something is typed or asked meanwhile.
func (d *Desk) Check(ctx context.Context, first []string, tell func(found []diagnostic.Diagnostic, whole bool)) error {
	looking, end := context.WithCancel(ctx)
	defer end()
	d.typing.Lock()
	d.ended = end
	d.typing.Unlock()
	for _, whole := range []bool{false, true} {
		log, err := d.check(looking, first, whole)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case looking.Err() != nil:
			return ErrOvertaken
		case err != nil:
			return err
		}
		tell(log.Sorted(), whole)
	}
	return nil
}

func (d *Desk) check(ctx context.Context, first []string, whole bool) (*diagnostic.Log, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.look(); err != nil {
		return nil, err
	}
	log := &diagnostic.Log{}
	if whole {
		return log, d.builder.CheckAll(ctx, log)
	}
	return log, d.builder.CheckFiles(ctx, first, log)
}

// on calls f with a file as it is typed now, joined with the others. A file that the library does not have, or that
// cannot be read, is an error.
func (d *Desk) on(file string, f func(*document)) error {
	d.typing.Lock()
	d.ended()
	d.typing.Unlock()
	return d.quietly(file, f)
}

// quietly is on for somebody who has the time to wait for a check.
func (d *Desk) quietly(file string, f func(*document)) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.look(); err != nil {
		return err
	}
	if !slices.Contains(d.builder.Files(), file) {
		return fmt.Errorf("%s: %w", file, ErrNoFile)
	}
	now := d.builder.Text(file)
	if doc := d.opened[file]; doc != nil {
		f(doc)
		return nil
	}
	doc := &document{file: now, opened: d.builder.Open(file)}
	doc.places = places(doc.opened)
	if d.opened == nil {
		d.opened = map[string]*document{}
	}
	d.opened[file] = doc
	f(doc)
	return nil
}
