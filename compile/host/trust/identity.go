package trust

import (
	"bytes"
	"net"
	"os"
	"slices"
	"strings"
	"sync"
	"time"
)

// Identity is what a host is reached by.
type Identity struct {
	// Names are never empty; the first one is the computer's own.
	Names []string
	// Addresses are those of this computer, the ones of a local network first.
	Addresses []net.IP
	// Networks are those that the computer is on.
	Networks []*net.IPNet
}

// Here finds out what this computer is reached by. More names may be given.
func Here(more []string) Identity {
	var id Identity
	if name, err := os.Hostname(); err == nil {
		name = strings.ToLower(strings.TrimSuffix(name, "."))
		short, _, _ := strings.Cut(name, ".")
		if IsName(name) {
			id.Names = append(id.Names, name, short, short+".local")
		}
	}
	id.Names = append(id.Names, "localhost")
	for _, name := range more {
		id.Names = append(id.Names, strings.ToLower(strings.TrimSuffix(name, ".")))
	}
	id.Names = inOrder(id.Names)
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		addresses = nil // the names are left
	}
	id.Addresses = []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}
	for _, a := range addresses {
		if network, ok := a.(*net.IPNet); ok && !network.IP.IsLoopback() && !network.IP.IsMulticast() {
			id.Addresses = append(id.Addresses, network.IP)
			id.Networks = append(id.Networks, network)
		}
	}
	slices.SortStableFunc(id.Addresses, func(a, b net.IP) int {
		if x, y := rank(a), rank(b); x != y {
			return x - y
		}
		return bytes.Compare(a.To16(), b.To16())
	})
	return id
}

// rank puts first what is easiest to type into a tablet.
func rank(ip net.IP) int {
	switch {
	case ip.IsLoopback():
		return 4
	case ip.To4() == nil && ip.IsLinkLocalUnicast():
		return 3 // needs the name of an interface behind it, which browsers do not take
	case ip.To4() == nil:
		return 2
	case ip.IsPrivate():
		return 0
	}
	return 1
}

// IsName reports whether a computer's name can stand in a certificate.
func IsName(name string) bool {
	return name != "" && len(name) <= 253 && strings.Trim(strings.ToLower(name), "abcdefghijklmnopqrstuvwxyz0123456789-.") == "" && net.ParseIP(name) == nil
}

// inOrder drops repeated names and keeps the order.
func inOrder(names []string) []string {
	var out []string
	for _, n := range names {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// Typed are the addresses that a tablet can be told to open, without this computer's own loopback.
func (id Identity) Typed() []net.IP {
	return slices.DeleteFunc(slices.Clone(id.Addresses), func(ip net.IP) bool { return rank(ip) > 2 })
}

// Answers reports whether a host answers to what a request calls it.
func (id Identity) Answers(host string) bool {
	if ip := net.ParseIP(host); ip != nil {
		return ip.IsLoopback() || slices.ContainsFunc(id.Addresses, ip.Equal)
	}
	return slices.Contains(id.Names, strings.ToLower(strings.TrimSuffix(host, ".")))
}

// Watcher keeps an identity that is at most some seconds old.
type Watcher struct {
	look func() Identity
	now  func() time.Time

	mu   sync.Mutex
	last Identity
	at   time.Time
}

// fresh is how long an identity is taken to be what it was.
const fresh = 10 * time.Second

// NewWatcher returns a watcher of what look finds.
func NewWatcher(look func() Identity, now func() time.Time) *Watcher {
	return &Watcher{look: look, now: now}
}

// Now is the host's identity.
func (w *Watcher) Now() Identity {
	w.mu.Lock()
	defer w.mu.Unlock()
	if now := w.now(); w.at.IsZero() || now.Sub(w.at) >= fresh || now.Before(w.at) {
		w.last, w.at = w.look(), now
	}
	return w.last
}
