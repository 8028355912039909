package pin

import (
	"sync"
	"time"
)

const (
	// freeTries may be wrong before a guesser has to wait.
	freeTries  = 3
	firstWait  = 5 * time.Second
	longestOne = 30 * time.Minute
	// crowdWait is what strangers wait while as many as mostGuessers guess.
	crowdWait = time.Minute
	// quiet is how long without a wrong try until all is as at first.
	quiet = 2 * time.Hour
	// mostGuessers is how many may be guessing. Each gets about 22 tries in six hours (12 in the first 45 minutes, then
	// two an hour): 256 of them hit one of a million PINs with a chance of about 1 in 180.
	mostGuessers = 256
)

// Guesser is who tries a PIN: an address, or a device that gave the right one before.
type Guesser struct {
	Name string
	// Known is true for such a device, and for this computer: they wait for their own wrong tries
	// alone, so that nobody can lock the trainer out.
	Known bool
}

// Tries counts wrong PINs of each guesser. While very many guess, those who have not been seen wait as well.
type Tries struct {
	now func() time.Time

	mu   sync.Mutex
	each map[string]*series
}

// series is a run of wrong tries.
type series struct {
	wrong int
	last  time.Time
	until time.Time
}

// NewTries returns an empty count.
func NewTries(now func() time.Time) *Tries {
	return &Tries{now: now, each: map[string]*series{}}
}

// Wait returns how long a guesser has to wait for the next try; 0 when it may try now.
func (t *Tries) Wait(g Guesser) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.wait(g)
}

func (t *Tries) wait(g Guesser) time.Duration {
	if s := t.each[g.Name]; s != nil {
		return max(s.until.Sub(t.now()), 0)
	}
	if !g.Known && len(t.each) >= mostGuessers {
		if t.forget(); len(t.each) >= mostGuessers {
			return crowdWait
		}
	}
	return 0
}

// Wrong counts a wrong try and returns how long the guesser has to wait now.
func (t *Tries) Wrong(g Guesser) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	s := t.each[g.Name]
	if s == nil {
		t.forget()
		s = new(series)
		t.each[g.Name] = s
	}
	s.count(t.now())
	return t.wait(g)
}

// Right forgets the wrong tries of a guesser.
func (t *Tries) Right(g Guesser) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.each, g.Name)
}

// forget forgets those that have been quiet.
func (t *Tries) forget() {
	now := t.now()
	for name, s := range t.each {
		if now.Sub(s.last) > quiet {
			delete(t.each, name)
		}
	}
}

// count adds a wrong try. Each one beyond the free ones doubles the wait.
func (s *series) count(now time.Time) {
	if now.Sub(s.last) > quiet {
		*s = series{}
	}
	s.wrong++
	s.last = now
	if over := s.wrong - freeTries; over >= 0 {
		s.until = now.Add(min(longestOne, firstWait<<min(over, 16)))
	}
}
