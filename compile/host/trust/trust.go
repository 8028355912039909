// Package trust makes the certificates of a class host: an authority of the
// host's own, which tablets are told to trust once, and a certificate for the names
// and addresses that the host has at the moment. The authority can speak for the names
// of this computer and for the networks that it was on, and for nothing else, so that trusting it risks little.
package trust

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

const (
	certificateFile = "authority.crt"
	keyFile         = "authority.key"

	authorityYears = 2
	leafTime       = 90 * 24 * time.Hour
	renewBefore    = 30 * 24 * time.Hour
	// clockError is how far a tablet's clock may be behind.
	clockError = 48 * time.Hour
)

// localNetworks are the addresses of networks that are not the internet. Of a network among them the authority may
// speak for all, since the host's address changes in it; of another one for the host's own address.
// Source: RFC 1918, RFC 3927, RFC 1122 3.2.1.3, RFC 4193, RFC 4291 2.5.
var localNetworks = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}

// Authority signs the host's certificates.
type Authority struct {
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey
	next        *Authority
	replaced    bool
}

func read(dir, certificateFile, keyFile string) (*Authority, error) {
	certificate, err := readPEM(filepath.Join(dir, certificateFile), "CERTIFICATE")
	if err != nil {
		return nil, err
	}
	key, err := readPEM(filepath.Join(dir, keyFile), "PRIVATE KEY")
	if err != nil {
		return nil, err
	}
	a := new(Authority)
	if a.certificate, err = x509.ParseCertificate(certificate); err != nil {
		return nil, err
	}
	parsed, err := x509.ParsePKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	var known bool
	if a.key, known = parsed.(*ecdsa.PrivateKey); !known || !a.key.PublicKey.Equal(a.certificate.PublicKey) {
		return nil, say.Error(say.That("the key is not that of the certificate"))
	}
	return a, nil
}

func readPEM(file, kind string) ([]byte, error) {
	content, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	block, _ := pem.Decode(content)
	if block == nil || block.Type != kind {
		return nil, fmt.Errorf("%s holds no %s", file, strings.ToLower(kind))
	}
	return block.Bytes, nil
}

// create makes an authority and writes it, the certificate last: without it the next start makes another.
func create(dir, certificateFile, keyFile string, at Identity, now time.Time) (*Authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		SerialNumber:          serial(),
		Subject:               pkix.Name{CommonName: "matchmark class host " + at.Names[0] + " " + now.Format("2006-01"), Organization: []string{"matchmark"}},
		NotBefore:             now.Add(-clockError),
		NotAfter:              now.AddDate(authorityYears, 0, 0),
		IsCA:                  true,
		BasicConstraintsValid: true,
		MaxPathLenZero:        true,
		KeyUsage:              x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},

		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         unique(slices.Clone(at.Names)),
		PermittedIPRanges:           ranges(at),
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		return nil, say.Because(say.That("making the host's certificate"), err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	for _, file := range []struct {
		name, kind string
		bytes      []byte
	}{{keyFile, "PRIVATE KEY", secret}, {certificateFile, "CERTIFICATE", der}} {
		content := pem.EncodeToMemory(&pem.Block{Type: file.kind, Bytes: file.bytes})
		if err := held.WriteFile(filepath.Join(dir, file.name), content, 0o600); err != nil {
			return nil, say.Because(say.That("keeping the host's certificate"), err)
		}
	}
	return read(dir, certificateFile, keyFile)
}

// ranges are this computer itself, the local networks that it is on, and the addresses that it has outside of them.
func ranges(at Identity) []*net.IPNet {
	out := parsed("127.0.0.0/8", "::1/128")
	local := parsed(localNetworks...)
	within := func(in []*net.IPNet, ip net.IP) bool {
		return slices.ContainsFunc(in, func(n *net.IPNet) bool { return n.Contains(ip) })
	}
	for _, n := range at.Networks {
		if within(local, n.IP) && !within(out, n.IP) {
			out = append(out, &net.IPNet{IP: n.IP.Mask(n.Mask), Mask: n.Mask})
		}
	}
	for _, ip := range at.Addresses {
		if !within(out, ip) {
			if four := ip.To4(); four != nil {
				ip = four
			}
			out = append(out, &net.IPNet{IP: ip, Mask: net.CIDRMask(8*len(ip), 8*len(ip))})
		}
	}
	return out
}

func parsed(networks ...string) []*net.IPNet {
	var out []*net.IPNet
	for _, s := range networks {
		_, n, err := net.ParseCIDR(s)
		if err != nil {
			panic(err) // written here
		}
		out = append(out, n)
	}
	return out
}

func serial() *big.Int {
	bytes := make([]byte, 16)
	rand.Read(bytes) // never fails
	bytes[0] &= 0x7f
	return new(big.Int).SetBytes(bytes)
}

func unique(names []string) []string {
	slices.Sort(names)
	return slices.Compact(names)
}

// DER returns the authority's certificate as a tablet takes it.
func (a *Authority) DER() []byte { return a.certificate.Raw }

// Fingerprint is the SHA-256 of the authority's certificate, in pairs of digits as tablets show it.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.certificate.Raw)
	digits := strings.ToUpper(hex.EncodeToString(sum[:]))
	return strings.Join(slices.Collect(func(yield func(string) bool) {
		for i := 0; i < len(digits) && yield(digits[i:i+2]); i += 2 {
		}
	}), ":")
}

// Leaf makes a certificate for a host. Names and addresses that the authority must not speak for are left out.
func (a *Authority) Leaf(at Identity, now time.Time) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		SerialNumber: serial(),
		Subject:      pkix.Name{CommonName: at.Names[0]},
		NotBefore:    now.Add(-clockError),
		NotAfter:     earlier(now.Add(leafTime), a.certificate.NotAfter),
		KeyUsage:     x509.KeyUsageDigitalSignature,
		ExtKeyUsage:  []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	for _, name := range at.Names {
		if a.MaySpeakFor(name) {
			template.DNSNames = append(template.DNSNames, name)
		}
	}
	for _, ip := range at.Addresses {
		if a.Covers(ip) {
			template.IPAddresses = append(template.IPAddresses, ip)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, template, a.certificate, key.Public(), a.key)
	if err != nil {
		return nil, say.Because(say.That("making a certificate"), err)
	}
	leaf, err := x509.ParseCertificate(der)
	return &tls.Certificate{Certificate: [][]byte{der, a.certificate.Raw}, PrivateKey: key, Leaf: leaf}, err
}

// MaySpeakFor reports whether the authority's certificate allows a name.
func (a *Authority) MaySpeakFor(name string) bool {
	return slices.ContainsFunc(a.certificate.PermittedDNSDomains, func(domain string) bool {
		return strings.EqualFold(name, domain) || strings.HasSuffix(strings.ToLower(name), "."+strings.ToLower(domain))
	})
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// same reports whether a certificate was made for a host as it is now.
func same(a, b Identity) bool {
	return slices.Equal(a.Names, b.Names) && slices.EqualFunc(a.Addresses, b.Addresses, net.IP.Equal)
}
