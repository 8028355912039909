// Package holdpoint keeps the codes that the board shows for hold points, by which the trainer signs one on the tablet that stands there.
package holdpoint

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"math/big"
	"sync"
	"time"

	"matchmark/compile/host/store"
)

const (
	// CodeTime is how long a code holds: as long as it takes to walk to the tablet.
	CodeTime = 2 * time.Minute
	// MostWrong may be typed before the code is dead: of a million codes, five are tried.
	MostWrong = 5
)

// Codes are each for one hold point of one job as it stands, and for one use. They end with the host.
type Codes struct {
	mu   sync.Mutex
	open map[string]*shown // by what they are for
}

// Signing is what a code is for: what is signed, as it stands, and who signs.
type Signing struct {
	Lines, Machine string
	By             store.Person
}

type shown struct {
	Signing
	code  string
	until time.Time
	wrong int
}

// Show makes a code for a hold point; one that was shown before for it counts no more.
func (c *Codes) Show(at string, what Signing, now time.Time) string {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000))
	if err != nil {
		panic(err) // the system's source of randomness never fails
	}
	made := &shown{Signing: what, code: fmt.Sprintf("%06d", n), until: now.Add(CodeTime)}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.open == nil {
		c.open = map[string]*shown{}
	}
	for key, x := range c.open {
		if !now.Before(x.until) {
			delete(c.open, key)
		}
	}
	c.open[at] = made
	return made.code
}

// Use takes a code that was typed. The right one is used up by it, and so is one that was typed wrong too often.
func (c *Codes) Use(at, typed string, now time.Time) (Signing, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	x := c.open[at]
	if x == nil || !now.Before(x.until) {
		delete(c.open, at)
		return Signing{}, false
	}
	if subtle.ConstantTimeCompare([]byte(typed), []byte(x.code)) != 1 {
		if x.wrong++; x.wrong >= MostWrong {
			delete(c.open, at)
		}
		return Signing{}, false
	}
	delete(c.open, at)
	return x.Signing, true
}
