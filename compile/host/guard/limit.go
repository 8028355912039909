package guard

import (
	"net"
	"net/http"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

const (
	mostAddresses = 4096
	// forgetAfter is how long an address must be quiet until its place may be given away.
	forgetAfter = time.Minute
)

// Limiter bounds how often each address may do something.
type Limiter struct {
	every rate.Limit
	burst int
	now   func() time.Time

	mu    sync.Mutex
	table map[netip.Prefix]*entry
	// strangers share one allowance while the table is full.
	strangers *rate.Limiter
	swept     time.Time
}

type entry struct {
	limiter *rate.Limiter
	seen    time.Time
}

// NewLimiter allows each address so many a second, and a burst of them.
func NewLimiter(perSecond float64, burst int, now func() time.Time) *Limiter {
	every := rate.Limit(perSecond)
	return &Limiter{every: every, burst: burst, now: now, table: map[netip.Prefix]*entry{}, strangers: rate.NewLimiter(every, burst)}
}

// Wait returns 0 when the address may go on now, or else how long it should wait.
func (l *Limiter) Wait(address netip.Prefix) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	asked := l.of(address, now).ReserveN(now, 1)
	wait := asked.DelayFrom(now)
	if wait > 0 {
		asked.CancelAt(now)
	}
	return wait
}

func (l *Limiter) of(address netip.Prefix, now time.Time) *rate.Limiter {
	if e := l.table[address]; e != nil {
		e.seen = now
		return e.limiter
	}
	if len(l.table) >= mostAddresses && now.Sub(l.swept) >= time.Second {
		l.swept = now
		for a, e := range l.table {
			if now.Sub(e.seen) > forgetAfter {
				delete(l.table, a)
			}
		}
	}
	if len(l.table) >= mostAddresses {
		return l.strangers
	}
	e := &entry{rate.NewLimiter(l.every, l.burst), now}
	l.table[address] = e
	return e.limiter
}

// Address is who sent a request; see AddressOf.
func Address(r *http.Request) netip.Prefix { return AddressOf(r.RemoteAddr) }

// AddressOf is who is at the other end of a connection: an IPv4 address, or the network
// of an IPv6 address, of which a computer has as many as it likes. Loopback is one address alone.
// Source: RFC 4291 2.5.3 (loopback), 2.5.4 (64 bits of network).
func AddressOf(remote string) netip.Prefix {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		host = remote
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Prefix{}
	}
	ip = ip.Unmap().WithZone("")
	bits := 32
	switch {
	case ip.IsLoopback() && ip.Is6():
		bits = 128
	case ip.Is6():
		bits = 64
	}
	prefix, err := ip.Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return prefix
}
