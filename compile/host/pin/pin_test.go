package pin

import (
	"fmt"
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
		if (Check(pin) == nil) != want {
			t.Errorf("%q: %v", pin, Check(pin))
		}
	}
	if a, b, c := Random(), Random(), Random(); a == b && b == c || len(a) != 6 {
		t.Errorf("drawn: %s, %s, %s", a, b, c)
	}
}

func TestTries(t *testing.T) {
	now := time.Now()
	tries := NewTries(func() time.Time { return now })
	a, b := Guesser{Name: "192.168.4.1/32"}, Guesser{Name: "192.168.4.2/32"}
	own, device := Guesser{"127.0.0.1/32", true}, Guesser{"device x", true}
	for i := range freeTries - 1 {
		if wait := tries.Wrong(a); wait != 0 {
			t.Errorf("wrong try %d waits %v", i+1, wait)
		}
	}
	last := time.Duration(0)
	for range 12 {
		wait := tries.Wrong(a)
		if wait < last || wait < firstWait || wait > longestOne {
			t.Errorf("wait %v after %v", wait, last)
		}
		last = wait
		now = now.Add(wait)
	}
	if last != longestOne {
		t.Errorf("the longest wait is %v, want %v", last, longestOne)
	}
	// 40 who guess hold nobody up but themselves.
	for i := range 40 {
		for range 2 * freeTries {
			tries.Wrong(Guesser{Name: fmt.Sprint("10.0.0.", i)})
		}
	}
	for _, g := range []Guesser{b, own, device} {
		if wait := tries.Wait(g); wait != 0 {
			t.Errorf("%s waits %v for others", g.Name, wait)
		}
	}
	// Very many hold strangers up, and neither this computer nor a device that is known.
	for i := range 2 * mostGuessers {
		tries.Wrong(Guesser{Name: fmt.Sprint("10.1.0.", i)})
	}
	if wait := tries.Wait(b); wait != crowdWait {
		t.Errorf("a stranger waits %v, want %v", wait, crowdWait)
	}
	for _, g := range []Guesser{own, device} {
		if wait := tries.Wait(g); wait != 0 {
			t.Errorf("%s waits %v for others", g.Name, wait)
		}
	}
	for range freeTries {
		tries.Wrong(own)
	}
	if wait := tries.Wait(own); wait != firstWait {
		t.Errorf("this computer waits %v for its own wrong tries", wait)
	}
	tries.Right(own)
	if wait := tries.Wait(own); wait != 0 {
		t.Errorf("after the right PIN: %v", wait)
	}
	now = now.Add(2 * quiet)
	if wait := tries.Wrong(b); wait != 0 || len(tries.each) != 1 {
		t.Errorf("after a quiet time: %v, %d are remembered", wait, len(tries.each))
	}
}

func holds(s *Sessions, token string) bool {
	who, _, open := s.Holds(token)
	return open && who == "Kim Holt"
}

func TestSessions(t *testing.T) {
	now := time.Now()
	s := NewSessions(func() time.Time { return now })
	first := s.Begin("Kim Holt", "")
	if len(first) < 52 || !holds(s, first) || holds(s, "") || holds(s, first+"x") {
		t.Error("the token is short, or the wrong one holds")
	}
	now = now.Add(time.Second)
	for range mostOpen {
		s.Begin("Kim Holt", "")
		now = now.Add(time.Second)
	}
	if len(s.open) > mostOpen || holds(s, first) {
		t.Errorf("%d sessions are open, the oldest among them: %v", len(s.open), holds(s, first))
	}
	last := s.Begin("Kim Holt", "")
	now = now.Add(idleTime - time.Second)
	if !holds(s, last) {
		t.Error("a session ended early")
	}
	now = now.Add(idleTime)
	if holds(s, last) {
		t.Error("an idle session is open")
	}
	used := s.Begin("Kim Holt", "")
	for range 13 {
		now = now.Add(time.Hour)
		holds(s, used)
	}
	if holds(s, used) {
		t.Error("a session has no end")
	}
	gone := s.Begin("Kim Holt", "")
	s.End(gone)
	if holds(s, gone) {
		t.Error("a session that was ended is open")
	}
}
