package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/compile"
	"matchmark/compile/host"
	"matchmark/compile/host/datafolder"
	"matchmark/compile/host/listen"
	"matchmark/compile/host/localname"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// dataFlag says where the class's data lies.
type dataFlag struct {
	Data string `placeholder:"DIR" help:"Folder for what the class hands in. Default: your user data folder."`
}

// folder is the data folder as an absolute path.
func (f dataFlag) folder() (string, error) {
	if f.Data == "" {
		dir, err := datafolder.Default()
		return dir, ofHost(err)
	}
	return filepath.Abs(f.Data)
}

// databaseFlag names a database of several workshops, and the one there that is meant. The address may hold a password, which belongs into the environment.
type databaseFlag struct {
	Database string `env:"MATCHMARK_DATABASE" placeholder:"URL" help:"PostgreSQL database of several workshops, as postgres://USER@HOST/NAME. Put an address with a password into the variable MATCHMARK_DATABASE instead. Without it, the class lies in the data folder."`
	Workshop string `placeholder:"NAME" help:"With --database: name of this workshop in it. A new name makes a new workshop."`
}

// check wants both or none.
func (f databaseFlag) check() error {
	if f.Workshop != "" && f.Database == "" {
		return &failure{code: exitUsage, problem: say.That("--workshop belongs to a database of several workshops"), do: say.That("name the database with --database, or leave --workshop out")}
	}
	if f.Database != "" && strings.TrimSpace(f.Workshop) == "" {
		return &failure{code: exitUsage, problem: say.That("the database has several workshops, and none is named"), do: say.That("name this one, such as --workshop \"Workshop 1\"")}
	}
	return nil
}

// keepFlag says how many backups are kept.
type keepFlag struct {
	Keep int `default:"10" placeholder:"N" help:"Number of backups to keep; the oldest are deleted first, 0 keeps all. Default: 10."`
}

// serveCommand serves a class.
type serveCommand struct {
	libraryArgument
	dataFlag
	databaseFlag
	keepFlag
	Network bool     `help:"Accept other computers and tablets on the local network. Without it, only this computer can open the pages."`
	HTTP    string   `name:"http" default:"8080" placeholder:"PORT" help:"Port for plain HTTP; 0 takes a free one, \"off\" none. It is 8080 when not given."`
	HTTPS   string   `name:"https" default:"8443" placeholder:"PORT" help:"Port for HTTPS; 0 takes a free one, \"off\" none. It is 8443 when not given."`
	Name    []string `placeholder:"NAME" help:"A further name by which tablets reach this computer, such as one of a router; may be given several times."`
	Local   string   `default:"matchmark" placeholder:"NAME" help:"Name on the local network: tablets find this computer as NAME.local also when its address changes; \"off\" for none. It is matchmark when not given."`
	NewCert bool     `name:"new-certificate" help:"Make a new certificate for HTTPS, such as after a move to another network. Each tablet has to trust it anew."`
	SetPIN  bool     `name:"set-pin" help:"Set a new trainer PIN before starting."`
	SetPass string   `name:"set-password" placeholder:"NAME" help:"With --database: set a new password for an account before starting."`
	Retain  int      `default:"12" placeholder:"MONTHS" help:"Months to keep jobs, photos and quiz results after their last entry; 0 for ever. Default: 12."`
	Valid   int      `default:"24" placeholder:"MONTHS" help:"Months for which a passed quiz is evidence of competence. It is kept one year longer. Default: 24."`
	Memory  int      `placeholder:"MB" help:"Memory limit of the class host in MB. Default: 512, or half of the memory of a smaller computer."`
	Space   int      `default:"4" placeholder:"GB" help:"Space limit for class data in GB; 0 for no limit. Default: 4."`
}

// Help is shown below the command's one line.
func (*serveCommand) Help() string {
	return `Tablets open one of the addresses that it prints. What learners write down, photos and quiz results come to this computer by themselves; what is written while the network is away comes later, once. The trainer opens the board, enters the PIN, sees who is where, and signs hold points.

At the first start it makes up a PIN and shows it once. Over HTTPS, pages open again without network; how a tablet comes to trust this computer's own certificate is on the page /trust/. Without that, plain HTTP does all the rest, but for the board: others on the network can read along there, so it opens on this computer itself, and from the network over HTTPS alone.

Names of learners stay in the data folder. A backup is made at every start; "matchmark backup" makes one while it runs, "matchmark restore" gets one back.

With --database, several hosts work on one PostgreSQL database (15 is tested), each with a library and a class of its own. Trainers sign in by name and password; at the first start it makes up the first administrator's password and shows it once. While the database is away, pages are served and tablets keep what they write. When that lasts, serve the class without --database, and bring it in afterwards with "matchmark import". The database's backups are made by whoever runs it. Connect straight to the database or through a pooler in session mode.`
}

// Run serves until ctx ends.
func (m *serveCommand) Run(ctx context.Context, c *console) error {
	if err := m.checkOptions(); err != nil {
		return err
	}
	_, closeIt, err := m.open() // before a class is begun for a library that is not there
	if err != nil {
		return err
	}
	closeIt()
	dir, err := m.folder()
	if err != nil {
		return err
	}
	if err := datafolder.Apart(dir, m.Library, say.That("the library")); err != nil {
		return ofHost(err)
	}
	lock, err := datafolder.Lock(dir)
	if err != nil {
		return ofHost(err)
	}
	defer lock.Close()
	listen.LimitMemory(m.memory())
	kept, err := store.Open(ctx, dir, store.Options{MostBytes: int64(m.Space) << 30, Database: m.Database, Workshop: m.Workshop})
	if err != nil {
		return ofHost(err)
	}
	defer kept.Close()
	tellFound(c, kept.Found())
	if kept.Several() && store.Holds(dir) {
		c.warn(say.That("matchmark: %folder also holds a class that ran without the database. Bring it in with: matchmark import", say.Name(dir)))
	}
	letIn := m.pin
	if kept.Several() {
		letIn = m.accounts
	}
	if err := letIn(ctx, c, kept); err != nil {
		return ofHost(err)
	}
	lib, err := m.compile(ctx, c, filepath.Join(dir, "site"))
	if err != nil {
		return err
	}
	return m.serve(ctx, c, dir, kept, lib)
}

// memory is how many bytes the host may take.
func (m *serveCommand) memory() int64 {
	if m.Memory == 0 {
		return listen.MemoryHere()
	}
	return int64(m.Memory) << 20
}

// tellFound says what is to be known about how the class ended the last time.
func tellFound(c *console, found store.Found) {
	if found.Earlier {
		c.warn(say.That("matchmark: the database is behind what this host has seen of it, as after a backup was brought back. Tablets send again what they still have; nothing is counted twice."))
		return
	}
	if !found.Unclean {
		return
	}
	c.warn(say.That("matchmark: the class was not ended properly the last time. Tablets send again what they still have; nothing is counted twice."))
	if found.Damage != nil {
		c.warn(say.That("matchmark: %damage. What was handed in last may be missing until the tablets have sent it again: open a page of the class on each of them.", say.Why(found.Damage)))
	}
	if found.Kept != "" {
		c.warn(say.That("  see: %folder holds what is left of it", say.Name(found.Kept)))
	}
}

// pin sees to it that there is a PIN.
func (m *serveCommand) pin(ctx context.Context, c *console, kept *store.Store) error {
	has, err := host.HasPIN(ctx, kept)
	switch {
	case err != nil:
		return err
	case m.SetPIN:
		fmt.Fprint(c.out, c.in(say.That("The new PIN, at least %count characters: ", say.Count(pin.Shortest))))
		chosen, err := readSecret(ctx, os.Stdin)
		if err != nil {
			return err
		}
		fmt.Fprintln(c.out)
		if why := pin.Check(chosen); why != nil {
			return &failure{code: exitUsage, problem: say.That("the PIN was not set: %why", say.Why(why)), do: say.That("start with --set-pin again")}
		}
		return host.SetPIN(ctx, kept, chosen)
	case has:
		return nil
	}
	drawn := pin.Random()
	if err := host.SetPIN(ctx, kept, drawn); err != nil {
		return err
	}
	c.print(say.That("The trainer's PIN is %pin. Write it down: it is not shown again. Set one of your own with --set-pin.", say.Name(drawn)))
	return nil
}

// firstName is that of the account that there is at the first start.
const firstName = "Administrator"

// accounts sees to it that somebody can sign in.
func (m *serveCommand) accounts(ctx context.Context, c *console, kept *store.Store) error {
	if m.SetPass != "" {
		return m.setPassword(ctx, c, kept)
	}
	all, err := kept.Accounts(ctx)
	if err != nil || len(all) > 0 {
		return err
	}
	drawn := pin.RandomPassword()
	err = kept.PutAccount(ctx, "", store.Account{Name: firstName, Role: store.AdministratorRole, Password: pin.Hash(drawn)})
	if errors.Is(err, store.ErrTaken) {
		return nil // another host was here at the same moment
	}
	if err == nil {
		c.print(say.That("The first account is %name with the password %password. Write it down: it is not shown again. Change it on the board, and give trainers accounts of their own there.", say.Name(firstName), say.Name(drawn)))
	}
	return err
}

// setPassword sets the password of an account.
func (m *serveCommand) setPassword(ctx context.Context, c *console, kept *store.Store) error {
	account, err := kept.Account(ctx, m.SetPass)
	if errors.Is(err, store.ErrUnknown) {
		return &failure{code: exitUsage, problem: say.That("nobody has an account called %name", say.Quoted(m.SetPass)), do: say.That("check the name")}
	}
	if err != nil {
		return err
	}
	fmt.Fprint(c.out, c.in(say.That("The new password of %name, at least %count characters: ", say.Name(account.Name), say.Count(pin.ShortestPassword))))
	chosen, err := readSecret(ctx, os.Stdin)
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out)
	if why := pin.CheckPassword(chosen); why != nil {
		return &failure{code: exitUsage, problem: say.That("the password was not set: %why", say.Why(why)), do: say.That("start with --set-password again")}
	}
	return kept.PutAccount(ctx, "", store.Account{Number: account.Number, Password: pin.Hash(chosen)})
}

// named reports whether the host has a name of its own on the local network.
func (m *serveCommand) named() bool { return m.Network && m.Local != "off" }

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
	if err := m.messages(c, all); err != nil {
		return nil, err
	}
	switch {
	case errors.Is(err, compile.ErrDiagnostics):
		m.counted(c, all, say.That("The class was not started."))
		return nil, libraryErrors(all)
	case err != nil:
		return nil, err
	}
	m.demoHint(c)
	c.print(written(sum))
	lib, err := compile.Model(files)
	if err != nil {
		return nil, err
	}
	if err := compile.MakeQuestions(lib); err != nil {
		return nil, err
	}
	lib, err = compile.DeriveRefittings(lib)
	if err != nil {
		return nil, &compile.InternalError{Err: err}
	}
	return lib, nil
}

// serve opens the ports and answers until ctx ends.
func (m *serveCommand) serve(ctx context.Context, c *console, dir string, kept *store.Store, lib *procedure.Library) error {
	names := m.Name
	if m.named() {
		names = append(slices.Clone(names), m.Local+localname.Domain)
	}
	watcher := trust.NewWatcher(func() trust.Identity { return trust.Here(names) }, time.Now)
	d := doors{network: m.Network, watcher: watcher, anew: m.NewCert}
	if m.named() {
		d.name = m.Local + localname.Domain
		if err := localname.Announce(ctx, m.Local); err != nil {
			d.name = ""
			c.warn(say.Why(err))
		}
	}
	defer d.close()
	if err := d.open(ctx, m.HTTP, m.HTTPS, filepath.Join(dir, "trust")); err != nil {
		return ofHost(err)
	}
	ports, err := datafolder.ReadPorts(ctx, kept)
	if err != nil {
		return err
	}
	if err := datafolder.KeepPorts(ctx, kept, d.former(ctx, ports)); err != nil {
		return err
	}
	h, err := host.New(host.Config{
		Library: lib, Site: filepath.Join(dir, "site"), Folder: dir, Store: kept, Keep: m.Keep, Retention: store.Retention{Class: m.Retain, Valid: m.Valid, Evidence: 12},
		Memory: m.memory(), Authority: d.authority, Watcher: watcher,
		Reach: d.addresses, Now: time.Now, Log: func(message string) { fmt.Fprintf(c.err, "%s  %s\n", time.Now().Format("15:04:05"), message) },
	})
	if err != nil {
		return err
	}
	defer h.Close()
	if err := h.Expire(ctx); err != nil {
		return ofHost(err)
	}
	where := say.That("\nThe class's data lies in %folder", say.Name(dir))
	backup := ""
	if kept.CopiesItself() {
		// What is deleted for its age is in no backup from here on.
		made, err := kept.Backup(ctx, m.Keep)
		if err != nil {
			return ofHost(err)
		}
		backup = c.in(say.That("A backup was made: %file", say.Name(filepath.Base(made)))) + "\n"
	} else {
		where = say.That("\nThe class's data lies in the database, as the workshop %name; whoever runs the database makes its backups", say.Quoted(strings.Join(strings.Fields(m.Workshop), " ")))
	}
	d.tell(c)
	c.print(where)
	fmt.Fprint(c.out, backup)
	c.print(say.That("Press Ctrl-C to end."))
	go expireDaily(ctx, c, h)
	return listen.Serve(ctx, h, d.listeners)
}

// expireDaily deletes what is older than it may be, for a host that is left running.
func expireDaily(ctx context.Context, c *console, h *host.Host) {
	day := time.NewTicker(24 * time.Hour)
	defer day.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-day.C:
			if err := h.Expire(ctx); err != nil && ctx.Err() == nil {
				c.warn(say.Why(err))
			}
		}
	}
}

// ofHost makes a failure of what the class host says about databases.
func ofHost(err error) error {
	var address *store.AddressError
	switch {
	case errors.As(err, &address):
		return &failure{code: exitUsage, problem: say.Why(address), do: say.That("write it as postgres://USER@HOST:5432/NAME")}
	case errors.Is(err, store.ErrOpen):
		return &failure{code: exitWorld, problem: say.Why(err), do: say.That("name a folder of your own on a disk of this computer with --data; a stick has no permissions")}
	case errors.Is(err, store.ErrName):
		return &failure{code: exitUsage, problem: say.Why(err), do: say.That("write another name")}
	case errors.Is(err, store.ErrAway):
		return &failure{code: exitWorld, problem: say.That("the database cannot be reached: %cause", say.Why(err)), do: say.That("see to the database and the network, or serve the class without --database and bring it in later with: matchmark import")}
	}
	var database *store.RefusedError
	if errors.As(err, &database) {
		return &failure{code: exitWorld, problem: say.Why(database), do: wayBack(database)}
	}
	return err
}

// wayBack says how to get on from a database that was refused.
func wayBack(e *store.RefusedError) say.Text {
	data := say.Name(typed(filepath.Dir(e.File)))
	switch {
	case e.Why == store.Unreached:
		return say.That("see to the database and the network, or serve the class without --database and bring it in later with: matchmark import")
	case e.Why == store.Newer:
		return say.That("start the matchmark that made it, or a later one")
	case e.Remote:
		return say.That("make an empty database with the encoding UTF8, of which the user in the address is the owner")
	case e.Why == store.Unwritable:
		return say.That("give yourself leave to write to it and to its folder, or name another folder with --data; it is %folder now", say.Name(filepath.Dir(e.File)))
	case e.Backup != "":
		return say.That("the newest valid backup is %backup; get it back with: matchmark restore --data %data (what is there now is kept beside it)", say.Name(filepath.Base(e.Backup)), data)
	case e.Why == store.Foreign:
		return say.That("name another folder with --data")
	}
	return say.That("there is no backup; keep a copy of the file for somebody who can repair it, move it out of the folder, and start anew")
}

// checkOptions looks at ports and names before anything is made.
func (m *serveCommand) checkOptions() error {
	if err := m.check(); err != nil {
		return err
	}
	if m.SetPIN && m.Database != "" {
		return &failure{code: exitUsage, problem: say.That("a database of several workshops has accounts and no PIN"), do: say.That("set the password of an account with --set-password NAME")}
	}
	if m.SetPass != "" && m.Database == "" {
		return &failure{code: exitUsage, problem: say.That("--set-password belongs to a database of several workshops"), do: say.That("name the database with --database, or set the PIN with --set-pin")}
	}
	if m.Retain < 0 || m.Valid < 0 {
		return &failure{code: exitUsage, problem: say.That("--retain and --valid are numbers of months"), do: say.That("write a number such as 12; 0 keeps for ever")}
	}
	if m.Space < 0 {
		return &failure{code: exitUsage, problem: say.That("--space: %space GB is not valid", say.Count(m.Space)), do: say.That("write a number such as 4, or 0 for no limit")}
	}
	if m.Local != "off" && (!trust.IsName(m.Local) || strings.Contains(m.Local, ".")) {
		return &failure{code: exitUsage, problem: say.That("--local: %local is not a valid name", say.Quoted(m.Local)), do: say.That("write letters, digits and dashes, without a dot, or \"off\"")}
	}
	if m.Memory != 0 && m.Memory < listen.LeastMemory>>20 {
		return &failure{code: exitUsage, problem: say.That("--memory: a class host needs more than %memory MB", say.Count(m.Memory)), do: say.That("write %least or more, or leave the option out", say.Count(listen.LeastMemory>>20))}
	}
	for _, name := range m.Name {
		if !trust.IsName(name) {
			return &failure{code: exitUsage, problem: say.That("--name: %name is not a valid computer name", say.Quoted(name)), do: say.That("write it as in an address, such as workshop.lan, without http:// and port")}
		}
	}
	_, noPlain, err := port("--http", m.HTTP)
	if err != nil {
		return err
	}
	_, noSecure, err := port("--https", m.HTTPS)
	if err == nil && noPlain && noSecure {
		return &failure{code: exitUsage, problem: say.That("--http and --https are both off"), do: say.That("leave one of them on")}
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
		return 0, false, &failure{code: exitUsage, problem: say.That("%option: %text is not a valid port", say.Name(option), say.Quoted(text)), do: say.That(`write a number up to 65535, 0 for a free one, or "off"`)}
	}
	return number, false, nil
}
