package pin

import (
	"crypto/rand"
	"crypto/sha256"
	"sync"
	"time"
)

const (
	// SessionTime is how long a session lasts at most, idleTime how long without a request.
	SessionTime = 12 * time.Hour
	idleTime    = 4 * time.Hour
	mostOpen    = 32
)

// Sessions are the trainer's browsers that gave the PIN. They end with the host.
type Sessions struct {
	now func() time.Time

	mu   sync.Mutex
	open map[[sha256.Size]byte]*session
}

type session struct {
	began, used time.Time
	who, mark   string
}

// NewSessions returns none.
func NewSessions(now func() time.Time) *Sessions {
	return &Sessions{now: now, open: map[[sha256.Size]byte]*session{}}
}

// Begin opens a session of a person and returns its token. mark is what the session rests on, to be compared as long as it lasts; may be empty. When too many are open, the one that was not used for longest ends.
func (s *Sessions) Begin(who, mark string) string {
	token := rand.Text() + rand.Text() // 260 bits
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	for key, x := range s.open {
		if x.over(now) {
			delete(s.open, key)
		}
	}
	for len(s.open) >= mostOpen {
		var oldest [sha256.Size]byte
		var at time.Time
		for key, x := range s.open {
			if at.IsZero() || x.used.Before(at) {
				oldest, at = key, x.used
			}
		}
		delete(s.open, oldest)
	}
	s.open[sha256.Sum256([]byte(token))] = &session{now, now, who, mark}
	return token
}

// Holds reports whether a token is one of an open session, whose, and what it rests on. It counts as a use.
func (s *Sessions) Holds(token string) (who, mark string, holds bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	key := sha256.Sum256([]byte(token))
	x, now := s.open[key], s.now()
	if x == nil {
		return "", "", false
	}
	if x.over(now) {
		delete(s.open, key)
		return "", "", false
	}
	x.used = now
	return x.who, x.mark, true
}

// End ends a session.
func (s *Sessions) End(token string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.open, sha256.Sum256([]byte(token)))
}

func (x *session) over(now time.Time) bool {
	return now.Sub(x.began) >= SessionTime || now.Sub(x.used) >= idleTime
}
