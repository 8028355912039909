package guard

import (
	"net/netip"
	"sync"
)

// Slots bound how many of a thing go on at one time, for one address and for all.
type Slots struct {
	each, all int

	mu   sync.Mutex
	used map[netip.Prefix]int
	sum  int
}

// NewSlots returns slots that are all free.
func NewSlots(each, all int) *Slots {
	return &Slots{each: each, all: all, used: map[netip.Prefix]int{}}
}

// Take takes a slot. ok is false when none is free; otherwise it is given back with done.
func (s *Slots) Take(address netip.Prefix) (done func(), ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.sum >= s.all || s.used[address] >= s.each {
		return nil, false
	}
	s.used[address]++
	s.sum++
	return func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.sum--
		if s.used[address]--; s.used[address] == 0 {
			delete(s.used, address)
		}
	}, true
}
