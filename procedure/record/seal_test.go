package record

import (
	"bytes"
	"crypto/ed25519"
	"testing"
)

func TestSeal(t *testing.T) {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	r := sample(t)
	const row = "out/lift--sign"
	s := Seal(r, row, "T. Berg", begun, private)
	want := "matchmark hold 1\n" + jobName + "\nmixer-gearbox-out\n0123456789abcdef\nout/lift--sign\nT. Berg\n1770000000000\n"
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
	other := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{8}, ed25519.SeedSize))
	for name, forge := range map[string]func(r *Record, key *string, s *Signature){
		"another person":    func(_ *Record, _ *string, s *Signature) { s.Who = "A. Nobody" },
		"another time":      func(_ *Record, _ *string, s *Signature) { s.At++ },
		"another row":       func(_ *Record, key *string, _ *Signature) { *key = "out/lower--sign" },
		"another way":       func(_ *Record, key *string, _ *Signature) { *key = "back/lift--sign" },
		"another job":       func(r *Record, _ *string, _ *Signature) { r.Job = "k0000000000000000000000001" },
		"another procedure": func(r *Record, _ *string, _ *Signature) { r.Procedure = "oven" },
		"another text":      func(_ *Record, _ *string, s *Signature) { s.Content = "ffffffffffffffff" },
		"another key":       func(r *Record, key *string, s *Signature) { s.Key = Seal(r, *key, s.Who, s.At, other).Key },
		"no key":            func(_ *Record, _ *string, s *Signature) { s.Key = "" },
		"no seal":           func(_ *Record, _ *string, s *Signature) { s.Seal = "zz" },
	} {
		forged, key, x := sample(t), row, s
		forge(forged, &key, &x)
		if Verify(forged, key, x) {
			t.Errorf("%s: the forged seal holds", name)
		}
	}
	split := Seal(r, row, "T.\nBerg", begun, private)
	if split.Who != "T. Berg" || !Verify(r, row, split) {
		t.Errorf("a name of two lines is sealed as %q", split.Who)
	}
}
