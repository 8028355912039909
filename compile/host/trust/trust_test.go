package trust

import (
	"crypto/tls"
	"crypto/x509"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

func identity() Identity {
	return Identity{
		Names:     []string{"bench", "bench.local", "localhost"},
		Addresses: []net.IP{net.ParseIP("192.168.4.20"), net.ParseIP("203.0.113.9"), net.IPv4(127, 0, 0, 1)},
		Networks:  []*net.IPNet{{IP: net.IPv4(192, 168, 4, 20), Mask: net.CIDRMask(24, 32)}, {IP: net.IPv4(203, 0, 113, 9), Mask: net.CIDRMask(24, 32)}},
	}
}

func TestAuthority(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "trust")
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	a, err := Open(dir, identity(), now, false)
	assert.NilError(t, err)
	again, err := Open(dir, Identity{Names: []string{"other"}}, now.AddDate(1, 0, 0), false)
	if err != nil || again.Fingerprint() != a.Fingerprint() {
		t.Errorf("the second start made another authority (%v)", err)
	}
	if !regexp.MustCompile(`^([0-9A-F]{2}:){31}[0-9A-F]{2}$`).MatchString(a.Fingerprint()) {
		t.Errorf("fingerprint %q", a.Fingerprint())
	}
	for _, name := range []string{certificateFile, keyFile} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s may be read by others: %v, %v", name, info, err)
		}
	}
	leaf, err := a.Leaf(identity(), now)
	assert.NilError(t, err)
	roots := x509.NewCertPool()
	roots.AddCert(a.certificate)
	for name, want := range map[string]bool{
		"bench": true, "bench.local": true, "localhost": true, "192.168.4.20": true, "203.0.113.9": true, "127.0.0.1": true,
		"example.org": false, "192.168.4.21": false,
	} {
		_, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: roots, CurrentTime: now})
		if (err == nil) != want {
			t.Errorf("%s: %v", name, err)
		}
	}
	if life := leaf.Leaf.NotAfter.Sub(leaf.Leaf.NotBefore); life > 398*24*time.Hour {
		// Source: CA/Browser Forum, Baseline Requirements 6.3.2 (from memory): browsers refuse what lives longer.
		t.Errorf("the certificate lives %v", life)
	}
}

// The authority speaks for the local network only, whoever gets hold of its key.
func TestAuthorityIsBounded(t *testing.T) {
	now := time.Now()
	a, err := Open(t.TempDir(), identity(), now, false)
	assert.NilError(t, err)
	for ip, want := range map[string]bool{"192.168.4.77": true, "192.168.5.1": false, "10.0.0.1": false, "203.0.113.9": true, "203.0.113.10": false, "127.0.0.5": true, "::1": true, "fe80::1": false} {
		if a.Covers(net.ParseIP(ip)) != want {
			t.Errorf("it speaks for %s: %v", ip, !want)
		}
	}
	for name, want := range map[string]bool{"bench": true, "localhost": true, "other.local": false, "router.lan": false, "host.internal": false} {
		if a.MaySpeakFor(name) != want {
			t.Errorf("it speaks for %s: %v", name, !want)
		}
	}
	if life := a.certificate.NotAfter.Sub(a.certificate.NotBefore); life > 2*366*24*time.Hour+clockError {
		t.Errorf("it lives %v", life)
	}
	left, err := a.Leaf(Identity{Names: []string{"example.org", "bench"}, Addresses: []net.IP{net.ParseIP("198.51.100.7")}}, now)
	if err != nil || !slices.Equal(left.Leaf.DNSNames, []string{"bench"}) || len(left.Leaf.IPAddresses) != 0 {
		t.Errorf("made for %v %v, %v", left.Leaf.DNSNames, left.Leaf.IPAddresses, err)
	}
	// Go's verifier stands for the browser's. Source: RFC 5280 4.2.1.10.
	forger := *a
	forged := *a.certificate
	forged.PermittedDNSDomains = append(forged.PermittedDNSDomains, "example.org")
	forger.certificate = &forged
	leaf, err := forger.Leaf(Identity{Names: []string{"example.org"}}, now)
	assert.NilError(t, err)
	roots := x509.NewCertPool()
	roots.AddCert(a.certificate)
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: "example.org", Roots: roots}); err == nil {
		t.Error("a certificate for a name of the internet was taken")
	}
}

// Weeks before its end an authority has a successor, which takes its place; a start in between, or one that is cut off, loses neither.
func TestRenewal(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "trust")
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	open := func(at time.Time, anew bool) *Authority {
		t.Helper()
		a, err := Open(dir, identity(), at, anew)
		assert.NilError(t, err)
		return a
	}
	first := open(now, false)
	end := first.Ends()
	if first.Next() != nil || open(end.Add(-renewal-time.Hour), false).Next() != nil {
		t.Error("a successor long before the end")
	}
	near := open(end.Add(-renewal+time.Hour), false)
	if near.Fingerprint() != first.Fingerprint() || near.Next() == nil {
		t.Fatal("no successor near the end, or the first one gone")
	}
	if again := open(end.Add(-time.Hour), false); again.Next().Fingerprint() != near.Next().Fingerprint() || again.Fingerprint() != first.Fingerprint() {
		t.Error("another successor at the next start")
	}
	// A start that is cut off between the two files.
	assert.NilError(t, os.Rename(filepath.Join(dir, nextKeyFile), filepath.Join(dir, keyFile)))
	after := open(end.Add(time.Hour), false)
	if after.Fingerprint() != near.Next().Fingerprint() || after.Next() != nil || after.Replaced() {
		t.Error("the successor did not take the place")
	}
	second := open(after.Ends().Add(-time.Hour), false)
	third := open(after.Ends().Add(time.Hour), false)
	if third.Fingerprint() != second.Next().Fingerprint() || open(after.Ends().Add(2*time.Hour), false).Fingerprint() != third.Fingerprint() {
		t.Error("the next successor did not take the place")
	}
	late := open(third.Ends().AddDate(1, 0, 0), false)
	if !late.Replaced() || late.Fingerprint() == third.Fingerprint() {
		t.Error("one that has ended is used, or nobody learns of the new one")
	}
	if moved := open(late.Ends().AddDate(-1, 0, 0), true); moved.Fingerprint() == late.Fingerprint() {
		t.Error("no new one though one was asked for")
	}
}

func TestIssuerFollowsTheNetwork(t *testing.T) {
	now := time.Now()
	is := identity()
	a, err := Open(t.TempDir(), is, now, false)
	assert.NilError(t, err)
	clock := func() time.Time { return now }
	i := NewIssuer(a, NewWatcher(func() Identity { return is }, clock), clock)
	serial := func() string {
		c, err := i.Certificate(new(tls.ClientHelloInfo))
		assert.NilError(t, err)
		return c.Leaf.SerialNumber.String()
	}
	first := serial()
	if serial() != first {
		t.Error("a new certificate without need")
	}
	is = Identity{Names: is.Names, Addresses: append(is.Addresses, net.ParseIP("10.0.0.5")), Networks: is.Networks}
	now = now.Add(fresh)
	second := serial()
	if second == first {
		t.Error("the old certificate for a new address")
	}
	now = now.Add(leafTime - renewBefore)
	if serial() == second {
		t.Error("the old certificate near its end")
	}
}

func TestHere(t *testing.T) {
	id := Here([]string{"Workshop-Host"})
	for host, want := range map[string]bool{"localhost": true, "LOCALHOST": true, "127.0.0.1": true, "::1": true, "workshop-host": true, "example.org": false, "8.8.8.8": false, "": false} {
		if id.Answers(host) != want {
			t.Errorf("answers to %q: %v", host, !want)
		}
	}
	for _, ip := range id.Typed() {
		if ip.IsLoopback() {
			t.Errorf("a tablet was told to open %v", ip)
		}
	}
}

// An authority from before the host had its name on the local network has a successor for it: by that name tablets
// get the successor's certificate, by all others the one that they trust already.
func TestANameThatTheAuthorityLacks(t *testing.T) {
	dir, now := filepath.Join(t.TempDir(), "trust"), time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	const local = "matchmark.local"
	before, err := Open(dir, identity(), now, false)
	if err != nil || before.Next() != nil || len(before.Lacks(identity())) != 0 {
		t.Fatalf("%v, %v", before.Next(), err)
	}
	named := identity()
	named.Names = append(named.Names, local)
	a, err := Open(dir, named, now.Add(time.Hour), false)
	if err != nil || a.Fingerprint() != before.Fingerprint() || a.Next() == nil || !slices.Equal(a.Lacks(named), []string{local}) || len(a.Next().Lacks(named)) != 0 || a.Ending(now) {
		t.Fatalf("lacks %v, next %v, %v", a.Lacks(named), a.Next(), err)
	}
	again, err := Open(dir, named, now.Add(2*time.Hour), false)
	if err != nil || again.Next().Fingerprint() != a.Next().Fingerprint() {
		t.Errorf("another successor at the next start (%v)", err)
	}
	i := NewIssuer(a, NewWatcher(func() Identity { return named }, func() time.Time { return now }), func() time.Time { return now })
	for name, by := range map[string]*Authority{local: a.Next(), "bench.local": a, "localhost": a, "": a, "example.org": a} {
		c, err := i.Certificate(&tls.ClientHelloInfo{ServerName: name})
		assert.NilError(t, err)
		roots := x509.NewCertPool()
		roots.AddCert(by.certificate)
		for _, asked := range []string{name, "192.168.4.20"} {
			if _, err := c.Leaf.Verify(x509.VerifyOptions{DNSName: asked, Roots: roots, CurrentTime: now}); err != nil && name != "example.org" {
				t.Errorf("%q by the authority for it: %v", asked, err)
			}
		}
		if twice, err := i.Certificate(&tls.ClientHelloInfo{ServerName: name}); err != nil || twice != c {
			t.Errorf("%q: another certificate at each call (%v)", name, err)
		}
	}
	// Another name comes: the successor, too, lacks it, and is made anew.
	named.Names = append(named.Names, "second.local")
	other, err := Open(dir, named, now.Add(3*time.Hour), false)
	if err != nil || len(other.Next().Lacks(named)) != 0 || other.Fingerprint() != before.Fingerprint() {
		t.Errorf("%v", err)
	}
	// When the first has ended, the successor takes its place, and lacks nothing.
	late, err := Open(dir, named, before.Ends().Add(time.Hour), false)
	if err != nil || late.Fingerprint() != other.Next().Fingerprint() || len(late.Lacks(named)) != 0 {
		t.Errorf("%v", err)
	}
}
