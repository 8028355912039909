package preview

import (
	"context"
	"errors"
	"net"
	"strconv"
	"strings"
	"syscall"

	"matchmark/compile/output"
	"matchmark/procedure/say"
)

// unusable is an address that the preview must not or cannot be served at.
func unusable(problem, do say.Text) error {
	return &output.Fault{Kind: output.Unusable, Problem: problem, Do: do}
}

// CheckAddress returns an address as HOST:PORT. A port alone means this
// computer. It returns an *output.Fault when the address is not one of this computer.
func CheckAddress(address string) (string, error) {
	withHost := address
	if !strings.Contains(address, ":") {
		withHost = ":" + address
	}
	host, port, err := net.SplitHostPort(withHost)
	if host == "" {
		host = "127.0.0.1"
	}
	number, bad := strconv.Atoi(port)
	switch {
	case err != nil || bad != nil || number < 0 || number > 65535:
		return "", unusable(say.That("%address is not an address to serve at", say.Quoted(address)), say.That("write a port, or 127.0.0.1:PORT; port 0 takes one that is free"))
	case !isLoopback(host):
		return "", unusable(say.That("%address is not an address of this computer alone", say.Quoted(host)), say.That("leave it out, or write 127.0.0.1: the preview is for the author only"))
	}
	return net.JoinHostPort(host, port), nil
}

// Listen opens an address that CheckAddress returned.
func Listen(ctx context.Context, address string) (net.Listener, error) {
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", address)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, unusable(say.That("the address %address is taken by another program", say.Name(address)), say.That("end that program, or take a free port with --serve 0"))
	case err != nil:
		return nil, say.Because(say.That("the address %address cannot be served at", say.Name(address)), err)
	}
	// A name could have led elsewhere.
	if at, ok := listener.Addr().(*net.TCPAddr); !ok || !at.IP.IsLoopback() {
		listener.Close()
		return nil, unusable(say.That("%address is not an address of this computer alone", say.Quoted(address)), say.That("write 127.0.0.1 for the host"))
	}
	return listener, nil
}
