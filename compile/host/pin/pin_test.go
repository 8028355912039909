package pin

import (
	"net/netip"
	"strings"
	"testing"
	"time"
)

func TestHash(t *testing.T) {
	hash := Hash("481516")
	if strings.Contains(string(hash), "481516") {
		t.Error("the PIN is in its hash")
	}
	for pin, want := range map[string]bool{"481516": true, "481517": false, "": false, "4815161": false} {
		if got, err := Matches(hash, pin); err != nil || got != want {
			t.Errorf("%q: %v, %v", pin, got, err)
		}
	}
	if string(Hash("481516")) == string(hash) {
		t.Error("two hashes of one PIN are the same")
	}
	for _, broken := range []string{"", "x", "argon2id$1$1$1$a", "argon2id$99999999999$1$1$AA$AA", "argon2id$a$1$1$AA$AA", "argon2id$8$0$1$AA$AA", "argon2id$8$1$1$AA$"} {
		if _, err := Matches([]byte(broken), "481516"); err == nil {
			t.Errorf("%q was read", broken)
		}
	}
}

func TestCheck(t *testing.T) {
	for pin, want := range map[string]bool{"481516": true, "48151": false, "": false, " 481516": false, "111111": false, "längere Worte": true, strings.Repeat("ab", 33): false} {
		if (Check(pin) == "") != want {
			t.Errorf("%q: %q", pin, Check(pin))
		}
	}
	if a, b, c := Random(), Random(), Random(); a == b && b == c || len(a) != 6 {
		t.Errorf("drawn: %s, %s, %s", a, b, c)
	}
}

func TestGuessingTakesLonger(t *testing.T) {
	now := time.Now()
	tries := NewTries(func() time.Time { return now })
	a, b, own := netip.MustParsePrefix("192.168.4.1/32"), netip.MustParsePrefix("192.168.4.2/32"), netip.MustParsePrefix("127.0.0.1/32")
	for i := range freeTries - 1 {
		if wait := tries.Wrong(a); wait != 0 {
			t.Errorf("wrong try %d: wait %v", i+1, wait)
		}
	}
	last := time.Duration(0)
	for range 12 {
		wait := tries.Wrong(a)
		if wait <= last && wait != longestOne {
			t.Errorf("the wait went from %v to %v", last, wait)
		}
		last = wait
	}
	if last != longestOne {
		t.Errorf("the longest wait is %v, want %v", last, longestOne)
	}
	if wait := tries.Wait(b); wait != 0 {
		t.Errorf("another address waits %v", wait)
	}
	// A guesser with many addresses.
	for i := range 100 {
		tries.Wrong(netip.PrefixFrom(netip.AddrFrom4([4]byte{10, 0, 0, byte(i)}), 32))
	}
	if wait := tries.Wait(b); wait != longestAll {
		t.Errorf("after many addresses: %v, want %v", wait, longestAll)
	}
	if wait := tries.Wait(own); wait != 0 {
		t.Errorf("the trainer at the host waits %v", wait)
	}
	tries.Right(a)
	now = now.Add(longestAll)
	if wait := tries.Wait(a); wait != 0 {
		t.Errorf("after the right PIN: %v", wait)
	}
	now = now.Add(2 * quiet)
	if wait := tries.Wrong(b); wait != 0 {
		t.Errorf("after a quiet time: %v", wait)
	}
}

func holds(s *Sessions, token string) bool {
	who, open := s.Holds(token)
	return open && who == "Kim Holt"
}

func TestSessions(t *testing.T) {
	now := time.Now()
	s := NewSessions(func() time.Time { return now })
	first := s.Begin("Kim Holt")
	if len(first) < 52 || !holds(s, first) || holds(s, "") || holds(s, first+"x") {
		t.Error("the token is short, or the wrong one holds")
	}
	now = now.Add(time.Second)
	for range mostOpen {
		s.Begin("Kim Holt")
		now = now.Add(time.Second)
	}
	if len(s.open) > mostOpen || holds(s, first) {
		t.Errorf("%d sessions are open, the oldest among them: %v", len(s.open), holds(s, first))
	}
	last := s.Begin("Kim Holt")
	now = now.Add(idleTime - time.Second)
	if !holds(s, last) {
		t.Error("a session ended early")
	}
	now = now.Add(idleTime)
	if holds(s, last) {
		t.Error("an idle session is open")
	}
	used := s.Begin("Kim Holt")
	for range 13 {
		now = now.Add(time.Hour)
		holds(s, used)
	}
	if holds(s, used) {
		t.Error("a session has no end")
	}
	gone := s.Begin("Kim Holt")
	s.End(gone)
	if holds(s, gone) {
		t.Error("a session that was ended is open")
	}
}
