package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime/debug"
	"time"

	"matchmark/compile"
	"matchmark/compile/preview"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// workshop is a library that is being written, with what watch keeps of it from
// one save to the next.
type workshop struct {
	*watchCommand
	server *preview.Server // nil when no site is shown

	builder *compile.Builder
	folder  fs.FileInfo // the library's folder; nil for the demo
	closeIt func() error
}

// enter opens the library, or keeps it open while its folder is the same one.
func (w *workshop) enter(c *console) error {
	var folder fs.FileInfo
	if w.Library != "" {
		folder, _ = os.Stat(w.Library) // open says what is wrong
	}
	if w.builder != nil && (w.Library == "" || folder != nil && os.SameFile(folder, w.folder)) {
		return nil
	}
	files, closeIt, err := w.open()
	if err != nil {
		return err
	}
	w.leave()
	w.folder, w.closeIt = folder, closeIt
	w.builder = compile.NewBuilder(files, compile.Options{Cache: w.cache(), LeaveOutAdvice: true, Trace: c.buildTrace()})
	return nil
}

// leave closes the library and forgets what was kept of it.
func (w *workshop) leave() {
	if w.closeIt != nil {
		w.closeIt()
	}
	w.builder, w.closeIt = nil, nil
}

// again compiles after a save. What stands in the way is shown in the page too.
func (w *workshop) again(ctx context.Context, c *console, change preview.Change) error {
	outcome, err := w.compile(ctx, c, change)
	if err != nil {
		outcome.Failure = c.in(asFailure(err).problem)
	}
	if w.server != nil {
		err = errors.Join(err, w.server.Show(outcome))
	}
	return err
}

// compile compiles what has changed and prints how it went. The error is not the library's.
// A fault of matchmark's own comes back as an error too: the next save may mend it.
func (w *workshop) compile(ctx context.Context, c *console, change preview.Change) (outcome preview.Outcome, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			w.leave() // it may be half done
			err = newOwnFault(cause, debug.Stack())
		}
	}()
	if err := w.enter(c); err != nil {
		return outcome, err
	}
	shown := c.startProgress()
	defer shown.stop()
	update := compile.Change{Names: change.Names, All: change.All, Progress: shown.set}
	if w.server != nil {
		update.During = w.server.Hold
	}
	var log diagnostic.Log
	sum, err := w.builder.Update(ctx, w.Output, update, &log)
	shown.stop()
	outcome.Diagnostics, outcome.Written, outcome.Language = faults(log.Sorted()), err == nil, w.language(c)
	if err != nil && !errors.Is(err, compile.ErrDiagnostics) {
		return outcome, err
	}
	if err := w.messages(c, outcome.Diagnostics); err != nil {
		return outcome, err
	}
	if fault := libraryErrors(outcome.Diagnostics); fault != compile.ErrDiagnostics {
		c.tell(fault)
	}
	how := say.That("%counts. The site stays as it was.", count(outcome.Diagnostics))
	if outcome.Written {
		how = written(sum)
	}
	fmt.Fprintf(c.out, "%s  %s\n", time.Now().Format("15:04:05"), how.In(outcome.Language))
	return outcome, nil
}
