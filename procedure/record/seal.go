package record

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"strings"
)

// SealedText is what a class host signs for a hold point: the key is WAY/ROW.
func SealedText(r *Record, key string, s Signature) []byte {
	content := s.Content
	if content == "" {
		content = r.Content
	}
	return []byte(fmt.Sprintf("matchmark hold 1\n%s\n%s\n%s\n%s\n%s\n%d\n", r.Job, r.Procedure, content, key, oneLine(s.Who), s.At))
}

// oneLine keeps a line feed in a name from standing for the next line of the text.
func oneLine(name string) string { return strings.NewReplacer("\n", " ", "\r", " ").Replace(name) }

// Seal signs a hold point with the host's private key. at is milliseconds since 1970.
//
// Source: RFC 8032, Ed25519.
func Seal(r *Record, key, who string, at int64, private ed25519.PrivateKey) Signature {
	s := Signature{Who: oneLine(who), At: at, Content: r.Content, Key: hex.EncodeToString(private.Public().(ed25519.PublicKey))}
	s.Seal = hex.EncodeToString(ed25519.Sign(private, SealedText(r, key, s)))
	return s
}

// Verify reports whether the seal of a hold point's signature holds: whether the
// key that it names has signed just this hold point of just this job. Whose key
// that is, it does not say.
func Verify(r *Record, key string, s Signature) bool {
	public, err := hex.DecodeString(s.Key)
	if err != nil || len(public) != ed25519.PublicKeySize {
		return false
	}
	signature, err := hex.DecodeString(s.Seal)
	return err == nil && ed25519.Verify(public, SealedText(r, key, s), signature)
}
