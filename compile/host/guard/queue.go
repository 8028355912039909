package guard

import (
	"context"
	"errors"
	"net/netip"
	"sync"
	"time"
)

// Queue hands out memory for work that is heavy on it and on the processor, such as
// reading a record or decoding a photo. Those who wait are let in by how much their address
// has had of late, the least first: a class goes before whoever floods it.
type Queue struct {
	room int64
	each int // how many of one address may wait
	now  func() time.Time

	mu      sync.Mutex
	used    int64
	waiting []*turn
	had     map[netip.Prefix]int64
	halved  time.Time
}

type turn struct {
	address netip.Prefix
	need    int64
	begin   chan struct{}
}

// halfLife is how long until what an address has had counts for half.
const halfLife = 10 * time.Second

// ErrQueue means that an address has as much waiting as it may.
var ErrQueue = errors.New("too much waits from this address")

// NewQueue returns a queue for so many bytes, in which so many of one address may wait.
func NewQueue(room int64, each int, now func() time.Time) *Queue {
	return &Queue{room: room, each: each, now: now, had: map[netip.Prefix]int64{}, halved: now()}
}

// Enter waits until there is room for so many bytes, and takes it until done is called. Who
// needs more than there is gets in alone. The error is ErrQueue, or that of ctx.
func (q *Queue) Enter(ctx context.Context, address netip.Prefix, need int64) (done func(), err error) {
	need = min(need, q.room)
	t := &turn{address: address, need: need, begin: make(chan struct{})}
	q.mu.Lock()
	waits := 0
	for _, w := range q.waiting {
		if w.address == address {
			waits++
		}
	}
	if waits >= q.each {
		q.mu.Unlock()
		return nil, ErrQueue
	}
	q.waiting = append(q.waiting, t)
	q.letIn()
	q.mu.Unlock()
	select {
	case <-t.begin:
		return sync.OnceFunc(func() { q.leave(need) }), nil
	case <-ctx.Done():
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	for i, w := range q.waiting {
		if w == t {
			q.waiting = append(q.waiting[:i], q.waiting[i+1:]...)
			q.letIn() // whoever stands behind it may need less
			return nil, ctx.Err()
		}
	}
	q.used -= need // it was let in at the same moment
	q.letIn()
	return nil, ctx.Err()
}

func (q *Queue) leave(need int64) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.used -= need
	q.letIn()
}

// letIn lets in those whose turn it is, while there is room for the next one.
func (q *Queue) letIn() {
	q.forget()
	for len(q.waiting) > 0 {
		next := 0
		for i, w := range q.waiting {
			if q.had[w.address]+w.need < q.had[q.waiting[next].address]+q.waiting[next].need {
				next = i
			}
		}
		t := q.waiting[next]
		if q.used+t.need > q.room {
			return
		}
		q.waiting = append(q.waiting[:next], q.waiting[next+1:]...)
		q.used += t.need
		q.had[t.address] += t.need
		close(t.begin)
	}
}

// forget halves what addresses have had as time goes by.
func (q *Queue) forget() {
	for now := q.now(); now.Sub(q.halved) >= halfLife; q.halved = q.halved.Add(halfLife) {
		if len(q.had) == 0 {
			q.halved = now
			return
		}
		for a, n := range q.had {
			if n /= 2; n == 0 {
				delete(q.had, a)
			} else {
				q.had[a] = n
			}
		}
	}
}
