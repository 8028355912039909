package guard

import (
	"net/netip"
	"sync"
)

// Pool is something of which there is so much and no more: connections, or bytes of
// requests that are on their way. Whoever comes when it is used up gets a share from the address
// that has most of it, whose oldest share is taken back. So nobody is kept out by one who takes all.
type Pool struct {
	each, all int64

	mu     sync.Mutex
	sum    int64
	used   map[netip.Prefix]int64
	shares []*Share // in the order in which they were opened
}

// Share is what one connection or request has of a pool.
type Share struct {
	pool    *Pool
	address netip.Prefix
	size    int64
	// takenBack is called when the share goes to somebody else.
	takenBack func()
	over      bool
}

// NewPool returns a pool that nobody uses: each is the most that an address may have, all the whole.
func NewPool(each, all int64) *Pool {
	return &Pool{each: each, all: all, used: map[netip.Prefix]int64{}}
}

// Open opens an empty share. takenBack must not block, nor use the pool.
func (p *Pool) Open(address netip.Prefix, takenBack func()) *Share {
	s := &Share{pool: p, address: address, takenBack: takenBack}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.shares = append(p.shares, s)
	return s
}

// Grow adds to a share; false when there is nothing to be had, or the share was taken back.
func (s *Share) Grow(by int64) bool {
	p := s.pool
	p.mu.Lock()
	defer p.mu.Unlock()
	if s.over || p.used[s.address]+by > p.each {
		return false
	}
	for p.sum+by > p.all {
		if !p.takeBack(s.address, p.used[s.address]+by) {
			return false
		}
	}
	p.count(s, by)
	return true
}

// takeBack takes the oldest share of the address that has most; false when none has more than mine.
func (p *Pool) takeBack(asker netip.Prefix, mine int64) bool {
	var most int64
	for _, n := range p.used {
		most = max(most, n)
	}
	if most <= mine {
		return false
	}
	for _, s := range p.shares {
		if s.size > 0 && s.address != asker && p.used[s.address] == most {
			s.takenBack()
			p.close(s)
			return true
		}
	}
	return false
}

func (p *Pool) count(s *Share, by int64) {
	s.size += by
	p.sum += by
	if p.used[s.address] += by; p.used[s.address] == 0 {
		delete(p.used, s.address)
	}
}

// close empties a share and forgets it.
func (p *Pool) close(s *Share) {
	if s.over {
		return
	}
	s.over = true
	p.count(s, -s.size)
	for i, x := range p.shares {
		if x == s {
			p.shares = append(p.shares[:i], p.shares[i+1:]...)
			return
		}
	}
}

// Close gives back what is left of a share.
func (s *Share) Close() {
	s.pool.mu.Lock()
	defer s.pool.mu.Unlock()
	s.pool.close(s)
}
