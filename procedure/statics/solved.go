package statics

import (
	"fmt"
	"math/big"
	"strings"
	"sync"
)

// solved keeps balances: between two steps of a job most loads hang as they hung before, on the way back and in other
// variants too, and exact numbers take their time.
var solved = memo{most: 1024}

// memo is what has been worked out. When it is full it begins anew: what is asked for again is worked out again.
type memo struct {
	mu    sync.Mutex
	most  int
	known map[string]Balance
}

func (m *memo) get(key string) (Balance, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	b, known := m.known[key]
	return b, known
}

func (m *memo) put(key string, b Balance) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil || len(m.known) >= m.most {
		m.known = map[string]Balance{}
	}
	m.known[key] = b
}

// key says all that a balance depends on: names are not among it.
func (a *Arrangement) key() string {
	var out strings.Builder
	number := func(x *big.Rat) {
		if x != nil {
			out.WriteString(x.RatString())
		}
		out.WriteByte(' ')
	}
	place := func(p Point) {
		for _, x := range []*big.Rat{p.X, p.Y, p.Z} {
			number(x)
		}
	}
	fmt.Fprint(&out, a.Line, " ")
	if a.Down != nil {
		place(*a.Down)
	}
	for i := range a.Bodies {
		out.WriteByte(';')
		number(a.Bodies[i].Mass)
		place(a.Bodies[i].Centre)
	}
	for i := range a.Ties {
		t := &a.Ties[i]
		fmt.Fprint(&out, "|", t.Kind, " ", t.Body, " ", t.Other, " ")
		place(t.At)
		place(t.Along)
		number(t.Rated)
	}
	return out.String()
}
