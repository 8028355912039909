package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	go_qr "github.com/piglig/go-qr"

	"matchmark/compile/host"
	"matchmark/compile/host/datafolder"
	"matchmark/compile/host/listen"
	"matchmark/compile/host/trust"
	"matchmark/procedure/say"
)

// doors are the ports that a class host is reached by.
type doors struct {
	network       bool
	name          string // on the local network; empty for none
	watcher       *trust.Watcher
	authority     *trust.Authority
	issuer        *trust.Issuer // nil without HTTPS
	anew          bool          // another certificate is wanted
	listeners     []listen.Listener
	plain, secure int // the ports; 0 is closed
}

// open opens the ports that are wanted.
func (d *doors) open(ctx context.Context, plain, secure, folder string) error {
	for _, door := range []struct {
		option, text string
		into         *int
		secure       bool
	}{{"--http", plain, &d.plain, false}, {"--https", secure, &d.secure, true}} {
		number, off, err := port(door.option, door.text)
		if err != nil {
			return err
		}
		if off {
			continue
		}
		var issuer *trust.Issuer
		if door.secure {
			if d.authority, err = trust.Open(folder, d.watcher.Now(), time.Now(), d.anew); err != nil {
				return err
			}
			issuer = trust.NewIssuer(d.authority, d.watcher, time.Now)
			d.issuer = issuer
		}
		listener, err := d.listen(ctx, door.option, number)
		if err != nil {
			return err
		}
		d.listeners = append(d.listeners, listen.Listener{Listener: listener, Issuer: issuer})
		*door.into = listener.Addr().(*net.TCPAddr).Port
	}
	return nil
}

// mostFormer is how many ports of earlier starts are opened again.
const mostFormer = 4

// former opens the ports as well that the class had at earlier starts: what a tablet keeps belongs to the address that it was opened by, port and all. One that
// is not free is passed over. It returns the ports to remember, the present ones last.
func (d *doors) former(ctx context.Context, ports datafolder.Ports) datafolder.Ports {
	for _, door := range []struct {
		of     *[]int
		now    int
		issuer *trust.Issuer
	}{{&ports.Plain, d.plain, nil}, {&ports.Secure, d.secure, d.issuer}} {
		if door.now == 0 {
			continue
		}
		kept := slices.DeleteFunc(slices.Clone(*door.of), func(p int) bool { return p == door.now || p < 1 || p > 65535 })
		kept = kept[max(0, len(kept)-mostFormer):]
		for _, p := range kept {
			if listener, err := d.listen(ctx, "", p); err == nil {
				d.listeners = append(d.listeners, listen.Listener{Listener: listener, Issuer: door.issuer})
			}
		}
		*door.of = append(kept, door.now)
	}
	return ports
}

func (d *doors) listen(ctx context.Context, option string, number int) (net.Listener, error) {
	at := "127.0.0.1"
	if d.network {
		at = ""
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", net.JoinHostPort(at, strconv.Itoa(number)))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &failure{code: exitWorld, problem: say.That("port %number is taken by another program", say.Count(number)), do: say.That("end that program, or take another port with %option", say.Name(option))}
	case errors.Is(err, syscall.EACCES):
		return nil, &failure{code: exitWorld, problem: say.That("port %number may not be used", say.Count(number)), do: say.That("take one above 1023 with %option", say.Name(option))}
	case err != nil:
		return nil, &failure{code: exitWorld, problem: say.That("port %number cannot be used: %cause", say.Count(number), say.Why(err)), do: say.That("take another port with %option", say.Name(option))}
	}
	return listener, nil
}

func (d *doors) close() {
	for _, l := range d.listeners {
		l.Close() // closed already when it has served
	}
}

// addresses are those that can be opened now.
func (d *doors) addresses() []string {
	out := host.Addresses(d.watcher.Now(), d.network, d.plain, d.secure)
	for _, door := range []struct {
		scheme string
		port   int
	}{{"http", d.plain}, {"https", d.secure}} {
		if d.name != "" && door.port != 0 {
			out = append(out, fmt.Sprintf("%s://%s:%d/", door.scheme, d.name, door.port))
		}
	}
	return out
}

// tell prints where the class is.
func (d *doors) tell(c *console) {
	all := d.addresses()
	c.print(say.That("\nThe class is at:"))
	for _, a := range all {
		fmt.Fprintf(c.out, "  %s\n", a)
	}
	switch {
	case !d.network:
		c.print(say.That("Only this computer can open that. Let tablets in with --network."))
	case len(all) == 0:
		c.print(say.That("  no address: this computer has no network. They appear on the board once it has."))
	case c.live:
		fmt.Fprint(c.out, code(all[0]))
	}
	own := host.Addresses(trust.Identity{}, false, d.plain, d.secure)
	c.print(say.That("The board for the trainer, with PIN:"))
	fmt.Fprintf(c.out, "  %sboard/\n", own[0])
	if d.authority != nil {
		d.tellTrust(c)
	}
}

// tellTrust prints what is to be known about the certificate.
func (d *doors) tellTrust(c *console) {
	a := d.authority
	if a.Replaced() {
		c.print(say.That("The certificate is a new one; the one before has ended. Each tablet has to trust it anew."))
	}
	c.print(say.That("How a tablet comes to trust the https address is on the page trust/. Fingerprint of the certificate, to compare:"))
	fmt.Fprintf(c.out, "  %s\n", a.Fingerprint())
	if next := a.Next(); next != nil {
		if a.Ending(time.Now()) {
			c.print(say.That("The certificate ends on %day. Let each tablet trust the next one before that, on the page trust/.", say.Name(a.Ends().Format(time.DateOnly))))
		}
		if lacks := a.Lacks(d.watcher.Now()); len(lacks) > 0 {
			c.print(say.That("The certificate was made before this computer had the name %names. By that name a tablet gets the next one, which it has to trust too, on the page trust/.", say.Each[say.Name](say.Commas, lacks)))
		}
		c.print(say.That("Fingerprint of the next certificate:"))
		fmt.Fprintf(c.out, "  %s\n", next.Fingerprint())
	}
	if !d.network {
		return
	}
	for _, ip := range d.watcher.Now().Typed() {
		if !a.Covers(ip) {
			c.print(say.That("The certificate does not speak for %address, since it was made on another network. With --new-certificate one is made that does; each tablet has to trust it then.", say.Name(fmt.Sprint(ip))))
		}
	}
}

// code draws an address as a code to scan, two rows of modules in a line of text,
// light on a dark terminal as most are. It is empty when the address is too long.
// Source: ISO/IEC 18004 (a quiet zone of four modules).
func code(address string) string {
	q, err := go_qr.EncodeText(address, go_qr.Low)
	if err != nil {
		return ""
	}
	const quiet = 4
	light := func(x, y int) bool {
		inside := x >= 0 && y >= 0 && x < q.Size() && y < q.Size()
		return y < q.Size()+quiet && !(inside && q.Module(x, y))
	}
	var b strings.Builder
	for y := -quiet; y < q.Size()+quiet; y += 2 {
		for x := -quiet; x < q.Size()+quiet; x++ {
			switch top, bottom := light(x, y), light(x, y+1); {
			case top && bottom:
				b.WriteRune('█')
			case top:
				b.WriteRune('▀')
			case bottom:
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}
