// Package listen answers at the ports of a class host, with bounds on connections, time and memory.
package listen

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

	"matchmark/compile/host/guard"
	"matchmark/compile/host/trust"
	"matchmark/compile/served"
)

// Time limits of the server, and how many connections it holds.
const (
	headerTime   = 10 * time.Second
	RequestTime  = 60 * time.Second // a photo over a slow network
	AnswerTime   = 60 * time.Second
	idleTime     = 2 * time.Minute
	shutdownTime = 3 * time.Second
	mostHeaders  = 16 << 10
	// A browser holds six connections; behind one address may stand a class.
	connectionsOfOne = 256
	connectionsOfAll = 1024
	// Whoever takes no piece of an answer for so long reads it no more.
	piece     = 64 << 10
	pieceTime = 10 * time.Second
)

// Listener is where a host is reached; Issuer is nil for plain HTTP.
type Listener struct {
	net.Listener
	Issuer *trust.Issuer
}

// Serve answers requests at all listeners until ctx ends, and closes them.
func Serve(ctx context.Context, handler http.Handler, listeners []Listener) error {
	connections := guard.NewPool(connectionsOfOne, connectionsOfAll)
	ended := make(chan error, len(listeners))
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	for _, l := range listeners {
		go func() { ended <- serve(ctx, handler, l, connections) }()
	}
	var all error
	for range listeners {
		err := <-ended
		cancel() // one that fails takes the others along
		all = errors.Join(all, err)
	}
	return all
}

func serve(ctx context.Context, handler http.Handler, l Listener, connections *guard.Pool) error {
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: headerTime, ReadTimeout: RequestTime, WriteTimeout: AnswerTime, IdleTimeout: idleTime,
		MaxHeaderBytes: mostHeaders, ErrorLog: log.New(io.Discard, "", 0), BaseContext: func(net.Listener) context.Context { return ctx },
		// HTTP/2 would let one connection be hundreds, with a megabyte of its own.
		Protocols: new(http.Protocols),
	}
	server.Protocols.SetHTTP1(true)
	bounded := &boundedListener{Listener: l.Listener, connections: connections}
	if l.Issuer == nil {
		return served.Until(ctx, server, shutdownTime, func() error { return server.Serve(bounded) })
	}
	server.TLSConfig = &tls.Config{GetCertificate: l.Issuer.Certificate, MinVersion: tls.VersionTLS12}
	return served.Until(ctx, server, shutdownTime, func() error { return server.ServeTLS(bounded, "", "") })
}

// boundedListener bounds the connections, of each address and of all. When there are as many as
// there may be, the address that has most of them loses its oldest to a newcomer.
type boundedListener struct {
	net.Listener
	connections *guard.Pool
}

// Accept implements net.Listener.
func (b *boundedListener) Accept() (net.Conn, error) {
	for {
		conn, err := b.Listener.Accept()
		if err != nil {
			return nil, err
		}
		share := b.connections.Open(guard.AddressOf(conn.RemoteAddr().String()), func() { conn.Close() })
		if share.Grow(1) {
			return &boundedConn{Conn: conn, share: share}, nil
		}
		share.Close()
		conn.Close()
	}
}

// boundedConn is a connection whose other end has to take what it asked for.
type boundedConn struct {
	net.Conn
	share *guard.Share

	mu    sync.Mutex
	until time.Time // the server's own deadline for writing
}

// Close implements net.Conn.
func (c *boundedConn) Close() error {
	c.share.Close()
	return c.Conn.Close()
}

// SetWriteDeadline implements net.Conn.
func (c *boundedConn) SetWriteDeadline(t time.Time) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.until = t
	return c.Conn.SetWriteDeadline(t)
}

// SetDeadline implements net.Conn.
func (c *boundedConn) SetDeadline(t time.Time) error {
	return errors.Join(c.SetReadDeadline(t), c.SetWriteDeadline(t))
}

// Write implements net.Conn, piece by piece, each within its time.
func (c *boundedConn) Write(content []byte) (written int, err error) {
	for {
		if err := c.hurry(); err != nil {
			return written, err
		}
		n, err := c.Conn.Write(content[written:min(written+piece, len(content))])
		written += n
		if err != nil || written == len(content) {
			return written, err
		}
	}
}

// hurry gives the next piece its time, which is never later than the server's.
func (c *boundedConn) hurry() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	next := time.Now().Add(pieceTime)
	if !c.until.IsZero() && c.until.Before(next) {
		next = c.until
	}
	return c.Conn.SetWriteDeadline(next)
}
