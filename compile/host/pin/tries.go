package pin

import (
	"net/netip"
	"sync"
	"time"
)

const (
	// freeTries may be wrong before an address has to wait, and freeForAll before all have to.
	freeTries  = 3
	freeForAll = 30
	firstWait  = 5 * time.Second
	longestOne = 15 * time.Minute
	longestAll = time.Minute
	// quiet is how long without a wrong try until all is as at first.
	quiet = time.Hour
	// mostGuessers bounds the table.
	mostGuessers = 4096
)

// Tries counts wrong PINs, for each address and for all together: somebody with
// many addresses has to wait as well. This computer itself does not wait for
// others, so that nobody can lock the trainer out.
type Tries struct {
	now func() time.Time

	mu    sync.Mutex
	each  map[netip.Prefix]*series
	whole series
}

// series is a run of wrong tries.
type series struct {
	wrong int
	last  time.Time
	until time.Time
}

// NewTries returns an empty count.
func NewTries(now func() time.Time) *Tries {
	return &Tries{now: now, each: map[netip.Prefix]*series{}}
}

// Wait returns how long an address has to wait for its next try; 0 when it may try now.
func (t *Tries) Wait(from netip.Prefix) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	wait := time.Duration(0)
	if s := t.each[from]; s != nil {
		wait = s.until.Sub(now)
	}
	if !from.Addr().IsLoopback() {
		wait = max(wait, t.whole.until.Sub(now))
	}
	return max(wait, 0)
}

// Wrong counts a wrong try and returns how long the address has to wait now.
func (t *Tries) Wrong(from netip.Prefix) time.Duration {
	t.mu.Lock()
	now := t.now()
	s := t.each[from]
	if s == nil {
		if len(t.each) >= mostGuessers {
			clear(t.each) // what they did is in the count of all
		}
		s = new(series)
		t.each[from] = s
	}
	s.count(now, freeTries, longestOne)
	t.whole.count(now, freeForAll, longestAll)
	t.mu.Unlock()
	return t.Wait(from)
}

// Right forgets the wrong tries of an address.
func (t *Tries) Right(from netip.Prefix) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.each, from)
}

// count adds a wrong try. Each one beyond the free ones doubles the wait.
func (s *series) count(now time.Time, free int, longest time.Duration) {
	if now.Sub(s.last) > quiet {
		*s = series{}
	}
	s.wrong++
	s.last = now
	if over := s.wrong - free; over >= 0 {
		s.until = now.Add(min(longest, firstWait<<min(over, 16)))
	}
}
