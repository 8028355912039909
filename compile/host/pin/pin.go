// Package pin lets the trainer in: it checks the PIN against a slow hash, makes
// whoever guesses wait longer and longer, and hands out sessions.
package pin

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"math/big"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"matchmark/procedure/say"
)

// The bounds of a PIN in characters.
const (
	Shortest = 6
	Longest  = 64
)

// The cost of one try: 19 MiB, two passes, one lane.
// Source: OWASP, Password Storage Cheat Sheet (from memory); RFC 9106 for Argon2id.
const (
	memory = 19 * 1024 // KiB
	passes = 2
	lanes  = 1
	length = 32
)

// Check returns why a PIN cannot be taken.
func Check(pin string) error {
	switch n := utf8.RuneCountInString(pin); {
	case n < Shortest:
		return say.Error(say.That("a PIN has at least %count characters", say.Count(Shortest)))
	case n > Longest:
		return say.Error(say.That("a PIN has at most %count characters", say.Count(Longest)))
	case strings.TrimSpace(pin) != pin:
		return say.Error(say.That("a PIN neither begins nor ends with a space"))
	case strings.Trim(pin, pin[:1]) == "":
		return say.Error(say.That("a PIN of one character repeated is the first that is guessed"))
	}
	return nil
}

// ShortestPassword is what a password has at least: others than its owner know its name, and it holds on every host.
const ShortestPassword = 10

// CheckPassword returns why a password cannot be taken.
func CheckPassword(password string) error {
	switch n := utf8.RuneCountInString(password); {
	case n < ShortestPassword:
		return say.Error(say.That("a password has at least %count characters", say.Count(ShortestPassword)))
	case n > Longest:
		return say.Error(say.That("a password has at most %count characters", say.Count(Longest)))
	case strings.TrimSpace(password) != password:
		return say.Error(say.That("a password neither begins nor ends with a space"))
	case strings.Trim(password, password[:1]) == "":
		return say.Error(say.That("a password of one character repeated is the first that is guessed"))
	}
	return nil
}

// RandomPassword draws a password of 12 characters, which are 60 bits.
func RandomPassword() string { return rand.Text()[:12] }

// Random draws a PIN of six digits that Check takes.
func Random() string {
	for {
		n, err := rand.Int(rand.Reader, big.NewInt(1_000_000))
		if err != nil {
			panic(err) // the system's source of randomness never fails
		}
		if pin := fmt.Sprintf("%06d", n); Check(pin) == nil {
			return pin
		}
	}
}

// Hash is what is kept of a PIN: the cost, a salt and the hash.
func Hash(pin string) []byte {
	salt := make([]byte, 16)
	rand.Read(salt) // never fails
	return fmt.Appendf(nil, "argon2id$%d$%d$%d$%s$%s", memory, passes, lanes, encode(salt), encode(argon2.IDKey([]byte(pin), salt, passes, memory, lanes, length)))
}

// Matches reports whether a PIN is the one that was hashed.
func Matches(hash []byte, pin string) (bool, error) {
	parts := strings.Split(string(hash), "$")
	if len(parts) != 6 || parts[0] != "argon2id" {
		return false, fmt.Errorf("the PIN in the database cannot be read")
	}
	var m, p uint32
	var l uint8
	if _, err := fmt.Sscan(parts[1]+" "+parts[2]+" "+parts[3], &m, &p, &l); err != nil || m == 0 || m > 1<<20 || p == 0 || p > 100 || l == 0 {
		return false, fmt.Errorf("the PIN in the database cannot be read")
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err != nil || err2 != nil || len(want) == 0 {
		return false, fmt.Errorf("the PIN in the database cannot be read")
	}
	got := argon2.IDKey([]byte(pin), salt, p, m, l, uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1, nil
}

func encode(b []byte) string { return base64.RawStdEncoding.EncodeToString(b) }
