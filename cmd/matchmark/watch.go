package main

import (
	"context"
	"errors"
	"fmt"
	"net"

	"matchmark/compile/output"
	"matchmark/compile/preview"
	"matchmark/compile/writing"
	"matchmark/procedure/say"
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
	if err := m.apart(m.Output); err != nil {
		return err
	}
	tradeMemoryForTime()
	// Watching starts before the first compile, so that no save falls between the two.
	changes, err := m.changes(ctx)
	if err != nil {
		return err
	}
	server, listener, err := m.listen(ctx)
	if err != nil {
		return err
	}
	w := &workshop{watchCommand: m, server: server}
	defer w.leave()
	outcome, err := w.compile(ctx, c, preview.Change{All: true})
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
		c.print(say.That("The site is at %address until you press Ctrl-C.", say.Name(fmt.Sprintf("http://%s/", listener.Addr()))))
		if m.Library != "" {
			c.print(say.That("Write in it at %address", say.Name(fmt.Sprintf("http://%s%s", listener.Addr(), writing.Path))))
		}
	}
	m.demoHint(c)
	for {
		select {
		case err := <-served:
			return err
		case change, open := <-changes:
			if !open {
				return <-served // ctx has ended
			}
			if server != nil {
				server.Noticed(change)
			}
			c.tell(errors.Join(change.Err, w.again(ctx, c, change)))
		}
	}
}

// listen opens the address, unless none is wanted.
func (m *watchCommand) listen(ctx context.Context) (*preview.Server, net.Listener, error) {
	if m.Serve == "off" {
		return nil, nil, nil
	}
	address, err := preview.CheckAddress(m.Serve)
	if err != nil {
		var wrong *output.Fault
		errors.As(err, &wrong)
		return nil, nil, &failure{code: exitUsage, problem: say.That("--serve: %problem", wrong.Problem), do: wrong.Do}
	}
	server, err := preview.NewServer(m.Output)
	if err != nil {
		return nil, nil, err
	}
	if m.Library != "" {
		if err := server.WriteIn(m.Library); err != nil {
			return nil, nil, err
		}
	}
	listener, err := preview.Listen(ctx, address)
	return server, listener, err
}

// changes watches the library. The demo never changes.
func (m *watchCommand) changes(ctx context.Context) (<-chan preview.Change, error) {
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
