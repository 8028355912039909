package record

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
)

// SealedForm is the form of signature that Seal makes.
const SealedForm = 2

// SealedText is what a class host signs for a hold point: the key is WAY/ROW.
func SealedText(r *Record, key string, s Signature) []byte {
	if s.Form < SealedForm {
		content := s.Content
		if content == "" {
			content = r.Content
		}
		return fmt.Appendf(nil, "matchmark hold 1\n%s\n%s\n%s\n%s\n%s\n%d\n", r.Job, r.Procedure, content, key, oneLine(s.Who), s.At)
	}
	return fmt.Appendf(nil, "matchmark hold 2\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n%d\n%s\n",
		r.Job, r.Procedure, r.Variant, oneLine(s.Edition), s.Content, oneLine(s.Machine), s.Step, key, oneLine(s.Who), s.At, s.Lines)
}

// oneLine keeps a line feed in a name from standing for the next line of the text.
func oneLine(name string) string { return strings.NewReplacer("\n", " ", "\r", " ").Replace(name) }

// Pseudonym is what stands for a person in entries and seals: the first 26 hexadecimal digits of
// a hash of the name with a secret salt. Without the salt it leads to no name, and with
// both, a name that somebody put in another's place does not fit it.
func Pseudonym(name, salt string) string {
	sum := sha256.Sum256([]byte("matchmark person 1\n" + salt + "\n" + name))
	return hex.EncodeToString(sum[:])[:26]
}

// Seal signs a hold point with the host's private key. given says who signs (Who, and Name with
// Salt), when, and of which step and lines; what the record says is filled in.
//
// Source: RFC 8032, Ed25519.
func Seal(r *Record, key string, given Signature, private ed25519.PrivateKey) Signature {
	s := given
	s.Form, s.Who = SealedForm, oneLine(s.Who)
	s.Machine, s.Edition, s.Content = r.Machine.Value, r.Edition, r.Content
	s.Key = hex.EncodeToString(private.Public().(ed25519.PublicKey))
	s.Seal = hex.EncodeToString(ed25519.Sign(private, SealedText(r, key, s)))
	return s
}

// Verify reports whether the seal of a signature holds: whether the key that it names has signed just this hold point of just
// this job, on the machine that the record names; or for a finding that stops the work, just what it says. Whose key that is, it does not say.
func Verify(r *Record, key string, s Signature) bool {
	if name, stop := SplitStop(key); stop {
		f, there := r.Findings[name]
		if !there || s.Form < SealedForm || s.Lines != f.Text() {
			return false
		}
	}
	return (s.Form < SealedForm || s.Machine == r.Machine.Value) && Sealed(r, key, s)
}

// Sealed is Verify but for the machine: a signature that was given before the record was given to
// another machine is sealed and does not verify.
func Sealed(r *Record, key string, s Signature) bool {
	public, err := hex.DecodeString(s.Key)
	if err != nil || len(public) != ed25519.PublicKeySize {
		return false
	}
	if s.Form >= SealedForm && s.Name != "" && Pseudonym(s.Name, s.Salt) != s.Who {
		return false
	}
	signature, err := hex.DecodeString(s.Seal)
	return err == nil && ed25519.Verify(public, SealedText(r, key, s), signature)
}

// Signer is the name of who signed; empty once it was deleted.
func (s Signature) Signer() string {
	if s.Form < SealedForm {
		return s.Who
	}
	return s.Name
}
