package host

import (
	"context"
	"crypto/tls"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"sync"
	"time"

	"matchmark/compile/host/trust"
	"matchmark/compile/served"
)

// Time limits of the server, and how many connections it holds.
const (
	headerTime      = 10 * time.Second
	requestTime     = 30 * time.Second // a photo over a slow network
	answerTime      = 60 * time.Second
	idleTime        = 2 * time.Minute
	shutdownTime    = 3 * time.Second
	mostHeaders     = 16 << 10
	mostConnections = 2048
)

// Listener is where a host is reached; Issuer is nil for plain HTTP.
type Listener struct {
	net.Listener
	Issuer *trust.Issuer
}

// Serve answers requests at all listeners until ctx ends, and closes them.
func Serve(ctx context.Context, handler http.Handler, listeners []Listener) error {
	slots := make(chan struct{}, mostConnections)
	ended := make(chan error, len(listeners))
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	for _, l := range listeners {
		go func() { ended <- serve(ctx, handler, l, slots) }()
	}
	var all error
	for range listeners {
		err := <-ended
		cancel() // one that fails takes the others along
		all = errors.Join(all, err)
	}
	return all
}

func serve(ctx context.Context, handler http.Handler, l Listener, slots chan struct{}) error {
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: headerTime, ReadTimeout: requestTime, WriteTimeout: answerTime, IdleTimeout: idleTime,
		MaxHeaderBytes: mostHeaders, ErrorLog: log.New(io.Discard, "", 0), BaseContext: func(net.Listener) context.Context { return ctx },
	}
	bounded := &boundedListener{Listener: l.Listener, slots: slots}
	if l.Issuer == nil {
		return served.Until(ctx, server, shutdownTime, func() error { return server.Serve(bounded) })
	}
	server.TLSConfig = &tls.Config{GetCertificate: l.Issuer.Certificate, MinVersion: tls.VersionTLS12}
	return served.Until(ctx, server, shutdownTime, func() error { return server.ServeTLS(bounded, "", "") })
}

// boundedListener closes connections that are too many, so that those who have one keep it.
type boundedListener struct {
	net.Listener
	slots chan struct{}
}

// Accept implements net.Listener.
func (b *boundedListener) Accept() (net.Conn, error) {
	for {
		conn, err := b.Listener.Accept()
		if err != nil {
			return nil, err
		}
		select {
		case b.slots <- struct{}{}:
			return &boundedConn{Conn: conn, free: sync.OnceFunc(func() { <-b.slots })}, nil
		default:
			conn.Close()
		}
	}
}

type boundedConn struct {
	net.Conn
	free func()
}

// Close implements net.Conn.
func (c *boundedConn) Close() error {
	defer c.free()
	return c.Conn.Close()
}
