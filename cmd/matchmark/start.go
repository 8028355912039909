package main

import (
	"context"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"matchmark/compile/preview"
	"matchmark/compile/start"
	"matchmark/procedure/say"
)

// startCommand shows the start page.
type startCommand struct {
	Browser bool `negatable:"" default:"true" help:"Open the browser on the page. With --no-browser its address is only printed."`
}

// Help is shown below the command's one line.
func (*startCommand) Help() string {
	return `On the page you open a library, make a new one, look at the demo, and serve a class. A double click on the program does the same. The page is for this computer only. It ends by its button, by Ctrl-C, or 5 minutes after its window was closed, unless something is running.`
}

// Run serves the page until ctx ends or somebody quits.
func (m *startCommand) Run(ctx context.Context, c *console) error {
	listener, err := preview.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		return err
	}
	inside := func(ctx context.Context, args []string, out io.Writer) int {
		return run(ctx, args, &console{out: out, err: out})
	}
	server, err := start.New(inside, filepath.Join(orTemp(os.UserConfigDir()), "matchmark", "recent.json"), filepath.Join(orTemp(os.UserCacheDir()), "matchmark", "sites"))
	if err != nil {
		return err
	}
	at := server.Address(listener)
	c.print(say.That("The start page is at %address", say.Name(at)))
	if m.Browser {
		if err := openBrowser(ctx, at); err != nil {
			c.note(say.That("No browser could be opened (%cause). Open the address yourself.", say.Why(err)))
		}
	}
	return server.Serve(ctx, net.Listener(listener))
}

// orTemp is a folder of the user's, or that for temporary files where the system names none.
func orTemp(dir string, err error) string {
	if err != nil {
		return os.TempDir()
	}
	return dir
}

// openBrowser opens an address in the browser that the user has chosen.
func openBrowser(ctx context.Context, address string) error {
	command := []string{"xdg-open", address}
	switch runtime.GOOS {
	case "windows":
		command = []string{"rundll32", "url.dll,FileProtocolHandler", address}
	case "darwin":
		command = []string{"open", address}
	}
	browser := exec.CommandContext(context.WithoutCancel(ctx), command[0], command[1:]...)
	if err := browser.Start(); err != nil {
		return err
	}
	go browser.Wait() // so that it does not stay behind as a dead process
	return nil
}
