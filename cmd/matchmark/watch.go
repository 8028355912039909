package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"matchmark/compile"
	"matchmark/compile/preview"
	"matchmark/procedure/diagnostic"
)

// watchCommand makes the site again at every save.
type watchCommand struct {
	libraryArgument
	outputFlag
	cacheFlags
	Serve string `default:"127.0.0.1:8017" placeholder:"ADDRESS" help:"Where the browser finds the site, on this computer only: a port or an address; 0 takes a free port, \"off\" shows no site. It is 127.0.0.1:8017 when not given."`
}

// Help is shown below the command's one line.
func (*watchCommand) Help() string {
	return `Open the address that it prints. The page loads again after every save. When the library has errors, the page keeps showing the last good site and lists the errors with file, line and column. Ctrl-C ends it; the site stays in its folder.`
}

// Run watches until ctx ends.
func (m *watchCommand) Run(ctx context.Context, c *console) error {
	tradeMemoryForTime()
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	server, listener, err := m.listen(ctx)
	if err != nil {
		return err
	}
	// Watching starts before the first compile, so that no save falls between the two.
	changes, err := m.changes(ctx)
	if err != nil {
		return err
	}
	outcome, err := m.compile(ctx, c)
	if err != nil {
		return err // what stands in the way now will stand in the way of every save
	}
	served := make(chan error, 1)
	if server == nil {
		context.AfterFunc(ctx, func() { served <- nil })
	} else {
		if err := server.Show(outcome); err != nil {
			return err
		}
		go func() { served <- server.Serve(ctx, listener) }()
		fmt.Fprintf(c.out, "The site is at http://%s/ until you press Ctrl-C.\n", listener.Addr())
	}
	m.demoHint(c)
	for {
		select {
		case err := <-served:
			return err
		case problem, open := <-changes:
			if !open {
				return <-served // ctx has ended
			}
			c.tell(errors.Join(problem, m.again(ctx, c, server)))
		}
	}
}

// again compiles after a save. What stands in the way is shown in the page too.
func (m *watchCommand) again(ctx context.Context, c *console, server *preview.Server) error {
	outcome, err := m.compile(ctx, c)
	if err != nil {
		outcome.Failure = asFailure(err).problem
	}
	if server != nil {
		err = errors.Join(err, server.Show(outcome))
	}
	return err
}

// listen opens the address, unless none is wanted.
func (m *watchCommand) listen(ctx context.Context) (*preview.Server, net.Listener, error) {
	if m.Serve == "off" {
		return nil, nil, nil
	}
	address, err := preview.CheckAddress(m.Serve)
	if err != nil {
		var wrong *preview.AddressError
		errors.As(err, &wrong)
		return nil, nil, &failure{code: exitUsage, problem: "--serve: " + wrong.Problem, do: wrong.Do}
	}
	server, err := preview.NewServer(m.Output)
	if err != nil {
		return nil, nil, err
	}
	if m.Library != "" {
		server.MoveBalloonsIn(m.Library)
	}
	listener, err := preview.Listen(ctx, address)
	return server, listener, err
}

// changes watches the library. The demo never changes.
func (m *watchCommand) changes(ctx context.Context) (<-chan error, error) {
	if m.Library == "" {
		return nil, nil
	}
	_, closeIt, err := m.open()
	if err != nil {
		return nil, err
	}
	closeIt()
	return preview.Changes(ctx, m.Library, m.Output)
}

// compile compiles once and prints how it went. The error is not the library's.
// A fault of matchmark's own comes back as an error too: the next save may mend it.
func (m *watchCommand) compile(ctx context.Context, c *console) (outcome preview.Outcome, err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = newOwnFault(cause, debug.Stack())
		}
	}()
	files, closeIt, err := m.open()
	if err != nil {
		return outcome, err
	}
	defer closeIt()
	shown := c.startProgress()
	defer shown.stop()
	var log diagnostic.Log
	sum, err := compile.Site(ctx, files, m.Output, &log, compile.Options{Cache: m.cache(), Progress: shown.set})
	shown.stop()
	outcome.Diagnostics, outcome.Written = faults(log.Sorted()), err == nil
	if err != nil && !errors.Is(err, compile.ErrDiagnostics) {
		return outcome, err
	}
	if err := messages(c.err, c.errColour, outcome.Diagnostics); err != nil {
		return outcome, err
	}
	how := count(outcome.Diagnostics) + ". The site stays as it was."
	if outcome.Written {
		how = written(sum)
	}
	fmt.Fprintf(c.out, "%s  %s\n", time.Now().Format("15:04:05"), how)
	return outcome, nil
}
