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

	mu     sync.Mutex
	issued map[*Authority]issued
}

// issued is the certificate that an authority gave a host as it was.
type issued struct {
	certificate *tls.Certificate
	is          Identity
}

// NewIssuer returns an issuer.
func NewIssuer(a *Authority, w *Watcher, now func() time.Time) *Issuer {
	return &Issuer{authority: a, watcher: w, now: now, issued: map[*Authority]issued{}}
}

// Certificate is for tls.Config.GetCertificate. Whoever calls the host by a name that only the authority's successor may speak for gets the successor's.
func (i *Issuer) Certificate(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	is, now, by := i.watcher.Now(), i.now(), i.authority
	if next := by.Next(); next != nil && hello.ServerName != "" && !by.MaySpeakFor(hello.ServerName) && next.MaySpeakFor(hello.ServerName) {
		by = next
	}
	i.mu.Lock()
	defer i.mu.Unlock()
	if have, there := i.issued[by]; there && same(have.is, is) && have.certificate.Leaf.NotAfter.Sub(now) > renewBefore {
		return have.certificate, nil
	}
	made, err := by.Leaf(is, now)
	if err != nil {
		return nil, err
	}
	i.issued[by] = issued{made, is}
	return made, nil
}
