package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"matchmark/compile"
	"matchmark/compile/host"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

// dataFlag says where the class's data lies.
type dataFlag struct {
	Data string `placeholder:"DIR" help:"Folder for what the class hands in. It is a folder for data of your own when not given."`
}

// folder is the data folder as an absolute path.
func (f dataFlag) folder() (string, error) {
	if f.Data == "" {
		dir, err := host.DefaultFolder()
		return dir, ofHost(err)
	}
	return filepath.Abs(f.Data)
}

// keepFlag says how many backups are kept.
type keepFlag struct {
	Keep int `default:"10" placeholder:"N" help:"How many backups are kept; the oldest go first, and 0 keeps all. It is 10 when not given."`
}

// serveCommand serves a class.
type serveCommand struct {
	libraryArgument
	dataFlag
	keepFlag
	Network bool     `help:"Let other computers and tablets on the local network in. Without, only this computer can open the pages."`
	HTTP    string   `name:"http" default:"8080" placeholder:"PORT" help:"Port for plain HTTP; 0 takes a free one, \"off\" none. It is 8080 when not given."`
	HTTPS   string   `name:"https" default:"8443" placeholder:"PORT" help:"Port for HTTPS; 0 takes a free one, \"off\" none. It is 8443 when not given."`
	Name    []string `placeholder:"NAME" help:"A further name by which tablets reach this computer, such as one of a router; may be given several times."`
	SetPIN  bool     `name:"set-pin" help:"Ask for a new PIN of the trainer's before anything else."`
	Space   int      `default:"4" placeholder:"GB" help:"How much room the class's data may take; 0 for no limit. It is 4 GB when not given."`
}

// Help is shown below the command's one line.
func (*serveCommand) Help() string {
	return `Tablets open one of the addresses that it prints. What learners write down, photos and quiz results come to this computer by themselves; what is written while the network is away comes later, once. The trainer opens the board, enters the PIN, sees who is where, and signs hold points.

At the first start it makes up a PIN and shows it once. Over HTTPS, pages open again without network; how a tablet comes to trust this computer's own certificate is on the page /trust/. Without that, plain HTTP does all the rest; but others on the network could then read along, the PIN too, so open the board on this computer itself or over HTTPS.

Names of learners stay in the data folder. A backup is made at every start; "matchmark backup" makes one while it runs, "matchmark restore" gets one back.`
}

// Run serves until ctx ends.
func (m *serveCommand) Run(ctx context.Context, c *console) error {
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := m.checkOptions(); err != nil {
		return err
	}
	dir, err := m.folder()
	if err != nil {
		return err
	}
	if err := host.Apart(dir, m.Library, "the library"); err != nil {
		return ofHost(err)
	}
	lock, err := host.Lock(dir)
	if err != nil {
		return ofHost(err)
	}
	defer lock.Close()
	kept, err := store.Open(ctx, dir, store.Options{MostBytes: int64(m.Space) << 30})
	if err != nil {
		return ofHost(err)
	}
	defer kept.Close()
	if err := m.pin(ctx, c, kept); err != nil {
		return err
	}
	lib, err := m.compile(ctx, c, filepath.Join(dir, "site"))
	if err != nil {
		return err
	}
	backup, err := store.Backup(ctx, dir, m.Keep, time.Now())
	if err != nil {
		return ofHost(err)
	}
	return m.serve(ctx, c, dir, kept, lib, backup)
}

// pin sees to it that there is a PIN.
func (m *serveCommand) pin(ctx context.Context, c *console, kept *store.Store) error {
	has, err := host.HasPIN(ctx, kept)
	switch {
	case err != nil:
		return err
	case m.SetPIN:
		fmt.Fprintf(c.out, "The new PIN, at least %d characters: ", pin.Shortest)
		line, err := bufio.NewReader(os.Stdin).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return fmt.Errorf("reading the PIN: %w", err)
		}
		chosen := strings.TrimRight(line, "\r\n")
		if why := pin.Check(chosen); why != "" {
			return &failure{code: exitUsage, problem: "the PIN was not set: " + why, do: "start with --set-pin again"}
		}
		fmt.Fprintln(c.out)
		return host.SetPIN(ctx, kept, chosen)
	case has:
		return nil
	}
	drawn := pin.Random()
	if err := host.SetPIN(ctx, kept, drawn); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The trainer's PIN is %s. Write it down: it is not shown again. Set one of your own with --set-pin.\n", drawn)
	return nil
}

// compile makes the site and returns the library as the site has it.
func (m *serveCommand) compile(ctx context.Context, c *console, site string) (*procedure.Library, error) {
	files, closeIt, err := m.open()
	if err != nil {
		return nil, err
	}
	defer closeIt()
	shown := c.startProgress()
	defer shown.stop()
	var log diagnostic.Log
	sum, err := compile.Site(ctx, files, site, &log, compile.Options{LeaveOutAdvice: true, Progress: shown.set})
	shown.stop()
	all := faults(log.Sorted())
	if err := messages(c.err, c.errColour, all); err != nil {
		return nil, err
	}
	switch {
	case errors.Is(err, compile.ErrDiagnostics):
		fmt.Fprintf(c.err, "\n%s. The class was not started.\n%s\n", count(all), explainHint)
		return nil, err
	case err != nil:
		return nil, err
	}
	m.demoHint(c)
	fmt.Fprintln(c.out, written(sum))
	var unshown diagnostic.Log // the compile has shown all
	lib, err := library.Load(files, &unshown)
	if err != nil {
		return nil, err
	}
	if err := compile.MakeQuestions(lib); err != nil {
		return nil, err
	}
	lib, err = compile.WaysBack(lib)
	if err != nil {
		return nil, &compile.InternalError{Err: err}
	}
	return lib, nil
}

// serve opens the ports and answers until ctx ends.
func (m *serveCommand) serve(ctx context.Context, c *console, dir string, kept *store.Store, lib *procedure.Library, backup string) error {
	watcher := trust.NewWatcher(func() trust.Identity { return trust.Here(m.Name) }, time.Now)
	d := doors{network: m.Network, watcher: watcher}
	defer d.close()
	if err := d.open(ctx, m.HTTP, m.HTTPS, filepath.Join(dir, "trust")); err != nil {
		return ofHost(err)
	}
	h, err := host.New(host.Config{
		Library: lib, Site: filepath.Join(dir, "site"), Folder: dir, Store: kept, Keep: m.Keep, Authority: d.authority, Watcher: watcher,
		Reach: d.addresses, Now: time.Now, Log: func(message string) { fmt.Fprintf(c.err, "%s  %s\n", time.Now().Format("15:04:05"), message) },
	})
	if err != nil {
		return err
	}
	defer h.Close()
	d.tell(c)
	fmt.Fprintf(c.out, "\nThe class's data lies in %s\nA backup was made: %s\nPress Ctrl-C to end.\n", dir, filepath.Base(backup))
	return host.Serve(ctx, h, d.listeners)
}

// ofHost makes a failure of what the class host says about folders, databases and ports.
func ofHost(err error) error {
	var folder *host.FolderError
	var database *store.RefusedError
	switch {
	case errors.As(err, &folder):
		return &failure{code: exitWorld, problem: folder.Problem, do: folder.Do}
	case errors.As(err, &database):
		return &failure{code: exitWorld, problem: database.Error(), do: wayBack(database)}
	}
	return err
}

// wayBack says how to get on from a database that was refused.
func wayBack(e *store.RefusedError) string {
	data := "--data " + typed(filepath.Dir(e.File))
	switch {
	case e.Why == store.Newer:
		return "start the matchmark that made it, or a later one"
	case e.Backup != "":
		return fmt.Sprintf("the last sound backup is %s; get it back with: matchmark restore %s (what is there now is kept beside it)", filepath.Base(e.Backup), data)
	case e.Why == store.Foreign:
		return "name another folder with --data"
	}
	return "there is no backup; keep a copy of the file for somebody who can repair it, move it out of the folder, and start anew"
}

// checkOptions looks at ports and names before anything is made.
func (m *serveCommand) checkOptions() error {
	if m.Space < 0 {
		return &failure{code: exitUsage, problem: fmt.Sprintf("--space: %d GB is no room", m.Space), do: "write a number such as 4, or 0 for no limit"}
	}
	for _, name := range m.Name {
		if !trust.IsName(name) {
			return &failure{code: exitUsage, problem: fmt.Sprintf("--name: %q is no name of a computer", name), do: "write it as in an address, such as workshop.lan, without http:// and port"}
		}
	}
	_, noPlain, err := port("--http", m.HTTP)
	if err != nil {
		return err
	}
	_, noSecure, err := port("--https", m.HTTPS)
	if err == nil && noPlain && noSecure {
		return &failure{code: exitUsage, problem: "--http and --https are both off", do: "leave one of them on"}
	}
	return err
}

// port reads a port; 0 is one that is free, and off none.
func port(option, text string) (number int, off bool, err error) {
	if text == "off" {
		return 0, true, nil
	}
	number, err = strconv.Atoi(text)
	if err != nil || number < 0 || number > 65535 {
		return 0, false, &failure{code: exitUsage, problem: fmt.Sprintf("%s: %q is no port", option, text), do: `write a number up to 65535, 0 for a free one, or "off"`}
	}
	return number, false, nil
}
