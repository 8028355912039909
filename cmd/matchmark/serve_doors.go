package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"syscall"
	"time"

	go_qr "github.com/piglig/go-qr"

	"matchmark/compile/host"
	"matchmark/compile/host/trust"
)

// doors are the ports that a class host is reached by.
type doors struct {
	network       bool
	watcher       *trust.Watcher
	authority     *trust.Authority
	listeners     []host.Listener
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
			if d.authority, err = trust.Open(folder, d.watcher.Now(), time.Now()); err != nil {
				return err
			}
			issuer = trust.NewIssuer(d.authority, d.watcher, time.Now)
		}
		listener, err := d.listen(ctx, door.option, number)
		if err != nil {
			return err
		}
		d.listeners = append(d.listeners, host.Listener{Listener: listener, Issuer: issuer})
		*door.into = listener.Addr().(*net.TCPAddr).Port
	}
	return nil
}

func (d *doors) listen(ctx context.Context, option string, number int) (net.Listener, error) {
	at := "127.0.0.1"
	if d.network {
		at = ""
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", net.JoinHostPort(at, strconv.Itoa(number)))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &failure{code: exitWorld, problem: fmt.Sprintf("port %d is taken by another program", number), do: fmt.Sprintf("end that program, or take another port with %s", option)}
	case errors.Is(err, syscall.EACCES):
		return nil, &failure{code: exitWorld, problem: fmt.Sprintf("port %d may not be used", number), do: fmt.Sprintf("take one above 1023 with %s", option)}
	case err != nil:
		return nil, &failure{code: exitWorld, problem: fmt.Sprintf("port %d cannot be used: %v", number, err), do: fmt.Sprintf("take another port with %s", option)}
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
	return host.Addresses(d.watcher.Now(), d.network, d.plain, d.secure)
}

// tell prints where the class is.
func (d *doors) tell(c *console) {
	all := d.addresses()
	fmt.Fprintln(c.out, "\nThe class is at:")
	for _, a := range all {
		fmt.Fprintf(c.out, "  %s\n", a)
	}
	switch {
	case !d.network:
		fmt.Fprintln(c.out, "Only this computer can open that. Let tablets in with --network.")
	case len(all) == 0:
		fmt.Fprintln(c.out, "  no address: this computer has no network. They appear on the board once it has.")
	case c.live:
		fmt.Fprint(c.out, code(all[0]))
	}
	own := host.Addresses(trust.Identity{}, false, d.plain, d.secure)
	fmt.Fprintf(c.out, "The board for the trainer, with PIN:\n  %sboard/\n", own[0])
	if d.authority != nil {
		fmt.Fprintf(c.out, "How a tablet comes to trust the https address is on the page trust/. Fingerprint of the certificate, to compare:\n  %s\n", d.authority.Fingerprint())
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
