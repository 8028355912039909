package trust

import (
	"errors"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"time"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// Files of the authority that comes after the present one.
const (
	nextCertificateFile = "next.crt"
	nextKeyFile         = "next.key"
)

// renewal is how long before its end an authority gets its successor: tablets trust both for that time.
const renewal = 8 * 7 * 24 * time.Hour

// Open reads the authority in a folder, or makes one for the names and addresses that the host has
// now. Near its end, and when the host goes by a name that it may not speak for, it has a successor, which speaks for what it does not, and takes
// its place when it has ended. anew has another one made in any case, for a host that has moved to another network.
func Open(dir string, at Identity, now time.Time, anew bool) (*Authority, error) {
	if err := finishPromotion(dir); err != nil {
		return nil, err
	}
	if anew {
		if err := forget(dir); err != nil {
			return nil, err
		}
	}
	a, err := read(dir, certificateFile, keyFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return create(dir, certificateFile, keyFile, at, now)
	case err != nil:
		return nil, say.Because(say.That("reading the host's certificate in %folder", say.Name(dir)), err)
	}
	next, err := read(dir, nextCertificateFile, nextKeyFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, say.Because(say.That("reading the host's certificate in %folder", say.Name(dir)), err)
	}
	switch {
	case a.over(now) && next != nil && !next.over(now):
		return next, promote(dir)
	case a.over(now):
		if err := forget(dir); err != nil {
			return nil, err
		}
		fresh, err := create(dir, certificateFile, keyFile, at, now)
		if err == nil {
			fresh.replaced = true
		}
		return fresh, err
	case a.Ending(now) && next == nil, len(a.Lacks(at)) > 0 && (next == nil || len(next.Lacks(at)) > 0):
		if next, err = create(dir, nextCertificateFile, nextKeyFile, at, now); err != nil {
			return nil, err
		}
	}
	a.next = next
	return a, nil
}

// over reports whether an authority must not be used any more: it has ended, or it was made to live longer than any is now.
func (a *Authority) over(now time.Time) bool {
	return now.After(a.certificate.NotAfter) || a.certificate.NotAfter.After(a.certificate.NotBefore.AddDate(authorityYears, 0, 7))
}

// promote puts the successor in its predecessor's place, the key first.
func promote(dir string) error {
	if err := held.Rename(filepath.Join(dir, nextKeyFile), filepath.Join(dir, keyFile)); err != nil {
		return say.Because(say.That("taking the next certificate"), err)
	}
	return finishPromotion(dir)
}

// finishPromotion goes on where promote was cut off.
func finishPromotion(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, nextKeyFile)); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := held.Rename(filepath.Join(dir, nextCertificateFile), filepath.Join(dir, certificateFile)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return say.Because(say.That("taking the next certificate"), err)
	}
	return nil
}

// forget removes what is in a folder. The certificates go first: without them the next start makes others.
func forget(dir string) error {
	for _, name := range []string{nextCertificateFile, nextKeyFile, certificateFile, keyFile} {
		if err := held.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return say.Because(say.That("removing the host's certificate"), err)
		}
	}
	return nil
}

// Ending reports whether the authority's end is near.
func (a *Authority) Ending(now time.Time) bool { return a.Ends().Sub(now) < renewal }

// Lacks lists the names of a host that the authority may not speak for.
func (a *Authority) Lacks(at Identity) []string {
	return slices.DeleteFunc(slices.Clone(at.Names), a.MaySpeakFor)
}

// Ends is when the authority's certificate ends.
func (a *Authority) Ends() time.Time { return a.certificate.NotAfter }

// Next is the authority that comes after this one; nil while its end is far and it speaks for all names of the host.
func (a *Authority) Next() *Authority { return a.next }

// Replaced reports whether the authority took the place of one that had ended before any tablet could know its successor.
func (a *Authority) Replaced() bool { return a.replaced }

// Covers reports whether the authority may speak for an address.
func (a *Authority) Covers(ip net.IP) bool {
	return slices.ContainsFunc(a.certificate.PermittedIPRanges, func(n *net.IPNet) bool { return n.Contains(ip) })
}
