package record

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"testing"
)

const (
	sealedRow = "out/lift--sign"
	sealSalt  = "00112233445566778899aabbccddeeff"
)

// theTrainer signs what every test here signs.
func theTrainer() Signature {
	return Signature{Who: Pseudonym("T. Berg", sealSalt), Name: "T. Berg", Salt: sealSalt, At: begun, Step: "lift", Lines: "The floor is clear\nNobody stands below"}
}

func TestSeal(t *testing.T) {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	r := sample(t)
	const row = sealedRow
	s := Seal(r, row, theTrainer(), private)
	want := "matchmark hold 2\n" + jobName + "\nmixer-gearbox-out\nbelt\n3\n0123456789abcdef\nNo. 4\nlift\nout/lift--sign\n" + Pseudonym("T. Berg", sealSalt) + "\n1770000000000\nThe floor is clear\nNobody stands below\n"
	if got := string(SealedText(r, row, s)); got != want {
		t.Errorf("the sealed text is %q, want %q", got, want)
	}
	if !Verify(r, row, s) {
		t.Error("the seal does not hold")
	}
	r.Signed = map[string]Signature{row: s}
	read, err := Read(written(t, r))
	if err != nil || !Verify(read, row, read.Signed[row]) {
		t.Errorf("after reading, the seal does not hold (%v)", err)
	}
	// A tablet with a later text joins: the hold point stays signed.
	later := sample(t)
	later.Edition, later.Content = "4", "ffffffffffffffff"
	if merged := Merge(r, later); merged.Content != later.Content || !Verify(merged, row, s) {
		t.Error("after a merge with a later text, the seal does not hold")
	}
	// The name goes, the seal stays.
	nameless := s
	nameless.Name, nameless.Salt = "", ""
	if !Verify(r, row, nameless) || nameless.Signer() != "" {
		t.Error("once the name was deleted, the seal does not hold")
	}
	other := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{8}, ed25519.SeedSize))
	for name, forge := range map[string]func(r *Record, key *string, s *Signature){
		"another person":    func(_ *Record, _ *string, s *Signature) { s.Who = Pseudonym("A. Nobody", sealSalt) },
		"another name":      func(_ *Record, _ *string, s *Signature) { s.Name = "A. Nobody" },
		"another time":      func(_ *Record, _ *string, s *Signature) { s.At++ },
		"another row":       func(_ *Record, key *string, _ *Signature) { *key = "out/lower--sign" },
		"another way":       func(_ *Record, key *string, _ *Signature) { *key = "back/lift--sign" },
		"another job":       func(r *Record, _ *string, _ *Signature) { r.Job = "k0000000000000000000000001" },
		"another procedure": func(r *Record, _ *string, _ *Signature) { r.Procedure = "oven" },
		"another variant":   func(r *Record, _ *string, _ *Signature) { r.Variant = "chain" },
		"another machine":   func(r *Record, _ *string, _ *Signature) { r.Machine.Value = "No. 7" },
		"its machine too":   func(r *Record, _ *string, s *Signature) { r.Machine.Value, s.Machine = "No. 7", "No. 7" },
		"another edition":   func(_ *Record, _ *string, s *Signature) { s.Edition = "4" },
		"another text":      func(_ *Record, _ *string, s *Signature) { s.Content = "ffffffffffffffff" },
		"another step":      func(_ *Record, _ *string, s *Signature) { s.Step = "lower" },
		"another line":      func(_ *Record, _ *string, s *Signature) { s.Lines = "The floor is clear" },
		"the first form":    func(_ *Record, _ *string, s *Signature) { s.Form = 0 },
		"another key":       func(r *Record, key *string, s *Signature) { s.Key = Seal(r, *key, *s, other).Key },
		"no key":            func(_ *Record, _ *string, s *Signature) { s.Key = "" },
		"no seal":           func(_ *Record, _ *string, s *Signature) { s.Seal = "zz" },
	} {
		forged, key, x := sample(t), row, s
		forge(forged, &key, &x)
		if Verify(forged, key, x) {
			t.Errorf("%s: the forged seal holds", name)
		}
	}
	moved := sample(t)
	moved.Machine.Value = "No. 7"
	if !Sealed(moved, row, s) {
		t.Error("the seal of a record that was given to another machine is no seal of its own")
	}
}

// A seal of the first form is what earlier class hosts gave.
func TestTheFirstFormOfSeal(t *testing.T) {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	r := sample(t)
	s := Signature{Who: "T. Berg", At: begun, Content: r.Content, Key: hex.EncodeToString(private.Public().(ed25519.PublicKey))}
	text := "matchmark hold 1\n" + jobName + "\nmixer-gearbox-out\n0123456789abcdef\nout/lift--sign\nT. Berg\n1770000000000\n"
	s.Seal = hex.EncodeToString(ed25519.Sign(private, []byte(text)))
	if !Verify(r, sealedRow, s) || s.Signer() != "T. Berg" {
		t.Error("the seal does not hold")
	}
	s.Who = "A. Nobody"
	if Verify(r, sealedRow, s) {
		t.Error("with another name, the seal holds")
	}
}
