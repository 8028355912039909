package trust

import (
	"crypto/x509"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"
)

func identity() Identity {
	return Identity{Names: []string{"bench", "bench.local", "localhost"}, Addresses: []net.IP{net.ParseIP("192.168.4.20"), net.ParseIP("203.0.113.9"), net.IPv4(127, 0, 0, 1)}}
}

func TestAuthority(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "trust")
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	a, err := Open(dir, identity(), now)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Open(dir, Identity{Names: []string{"other"}}, now.AddDate(5, 0, 0))
	if err != nil || again.Fingerprint() != a.Fingerprint() {
		t.Errorf("the second start made another authority (%v)", err)
	}
	if !regexp.MustCompile(`^([0-9A-F]{2}:){31}[0-9A-F]{2}$`).MatchString(a.Fingerprint()) {
		t.Errorf("fingerprint %q", a.Fingerprint())
	}
	if _, err := Open(dir, identity(), now.AddDate(11, 0, 0)); err == nil {
		t.Error("an authority past its time was used")
	}
	for _, name := range []string{certificateFile, keyFile} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s may be read by others: %v, %v", name, info, err)
		}
	}
	leaf, err := a.Leaf(identity(), now)
	if err != nil {
		t.Fatal(err)
	}
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
	a, err := Open(t.TempDir(), identity(), now)
	if err != nil {
		t.Fatal(err)
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
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(a.certificate)
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: "example.org", Roots: roots}); err == nil {
		t.Error("a certificate for a name of the internet was taken")
	}
}

func TestIssuerFollowsTheNetwork(t *testing.T) {
	now := time.Now()
	is := identity()
	a, err := Open(t.TempDir(), is, now)
	if err != nil {
		t.Fatal(err)
	}
	clock := func() time.Time { return now }
	i := NewIssuer(a, NewWatcher(func() Identity { return is }, clock), clock)
	serial := func() string {
		c, err := i.Certificate(nil)
		if err != nil {
			t.Fatal(err)
		}
		return c.Leaf.SerialNumber.String()
	}
	first := serial()
	if serial() != first {
		t.Error("a new certificate without need")
	}
	is = Identity{Names: is.Names, Addresses: append(is.Addresses, net.ParseIP("10.0.0.5"))}
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
