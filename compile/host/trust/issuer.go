package trust

import (
	"crypto/tls"
	"sync"
	"time"
)

// Issuer hands out a certificate that fits the host as it is: it makes a new one
// when the network has given the computer another address, or when the old one
// comes near its end. Its key lives in memory only.
type Issuer struct {
	authority *Authority
	watcher   *Watcher
	now       func() time.Time

	mu      sync.Mutex
	current *tls.Certificate
	is      Identity
}

// NewIssuer returns an issuer.
func NewIssuer(a *Authority, w *Watcher, now func() time.Time) *Issuer {
	return &Issuer{authority: a, watcher: w, now: now}
}

// Certificate is for tls.Config.GetCertificate.
func (i *Issuer) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	is, now := i.watcher.Now(), i.now()
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.current != nil && same(i.is, is) && i.current.Leaf.NotAfter.Sub(now) > renewBefore {
		return i.current, nil
	}
	next, err := i.authority.Leaf(is, now)
	if err != nil {
		return nil, err
	}
	i.current, i.is = next, is
	return next, nil
}
