package guard

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"slices"
	"strconv"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

func guarded() http.Handler {
	inner := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.WriteHeader(http.StatusNoContent) })
	return Guard(inner, func(host string) bool { return host == "bench" || host == "192.168.4.20" || host == "::1" }, func(w http.ResponseWriter, _ *http.Request, status int, why string) {
		http.Error(w, why, status)
	})
}

func TestGuard(t *testing.T) {
	for name, test := range map[string]struct {
		method, host string
		headers      map[string]string
		want         int
	}{
		"a page":                      {"GET", "bench:8080", nil, 204},
		"by address":                  {"GET", "192.168.4.20", nil, 204},
		"by IPv6 address":             {"GET", "[::1]:8443", nil, 204},
		"another name":                {"GET", "evil.example", nil, 421},
		"another name with our port":  {"GET", "evil.example:8080", nil, 421},
		"a name that begins like one": {"GET", "bench.evil.example:8080", nil, 421},
		"no name":                     {"GET", "", nil, 421},
		"a post from our page":        {"POST", "bench:8080", map[string]string{"Origin": "http://bench:8080"}, 204},
		"a post by a program":         {"POST", "bench:8080", nil, 204},
		"a post from another site":    {"POST", "bench:8080", map[string]string{"Origin": "https://evil.example"}, 403},
		"a post from another port":    {"POST", "bench:8080", map[string]string{"Origin": "http://bench:9000"}, 403},
		"a post that says so":         {"POST", "bench:8080", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		"a post from a subdomain":     {"PUT", "bench:8080", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
		"a post from a file":          {"POST", "bench:8080", map[string]string{"Origin": "null"}, 403},
	} {
		r := httptest.NewRequest(test.method, "/", nil)
		r.Host = test.host
		for k, v := range test.headers {
			r.Header.Set(k, v)
		}
		w := httptest.NewRecorder()
		guarded().ServeHTTP(w, r)
		if w.Code != test.want {
			t.Errorf("%s: %d, want %d", name, w.Code, test.want)
		}
		for _, h := range headers {
			if w.Header().Get(h[0]) != h[1] {
				t.Errorf("%s: %s is %q", name, h[0], w.Header().Get(h[0]))
			}
		}
	}
}

func TestLimiter(t *testing.T) {
	now := time.Now()
	l := NewLimiter(2, 3, func() time.Time { return now })
	a, b := netip.MustParsePrefix("192.168.4.1/32"), netip.MustParsePrefix("192.168.4.2/32")
	for i := range 3 {
		if wait := l.Wait(a); wait != 0 {
			t.Errorf("request %d has to wait %v", i, wait)
		}
	}
	if wait := l.Wait(a); wait <= 0 || wait > time.Second {
		t.Errorf("wait %v, want half a second", wait)
	}
	if wait := l.Wait(b); wait != 0 {
		t.Errorf("another address has to wait %v", wait)
	}
	now = now.Add(time.Second)
	if wait := l.Wait(a); wait != 0 {
		t.Errorf("after a second: %v", wait)
	}
}

func TestLimiterIsBounded(t *testing.T) {
	now := time.Now()
	l := NewLimiter(1, 1, func() time.Time { return now })
	for i := range 3 * mostAddresses {
		l.Wait(netip.PrefixFrom(netip.AddrFrom4([4]byte{10, byte(i >> 16), byte(i >> 8), byte(i)}), 32))
	}
	if len(l.table) > mostAddresses {
		t.Errorf("%d addresses are kept", len(l.table))
	}
	now = now.Add(2 * forgetAfter)
	if wait := l.Wait(netip.MustParsePrefix("192.168.4.1/32")); wait != 0 || len(l.table) != 1 {
		t.Errorf("after a quiet time: wait %v, %d addresses", wait, len(l.table))
	}
}

func TestAddress(t *testing.T) {
	for from, want := range map[string]string{
		"192.168.4.1:5000": "192.168.4.1/32", "[::ffff:192.168.4.1]:5000": "192.168.4.1/32", "[2001:db8:1:2:3:4:5:6]:80": "2001:db8:1:2::/64", "[fe80::1%eth0]:80": "fe80::/64", "[::1]:80": "::1/128", "127.0.0.9:80": "127.0.0.9/32", "x": "invalid Prefix",
	} {
		r := &http.Request{RemoteAddr: from}
		if got := Address(r).String(); got != want {
			t.Errorf("%s: %s, want %s", strconv.Quote(from), got, want)
		}
	}
}

func address(n int) netip.Prefix {
	return netip.PrefixFrom(netip.AddrFrom4([4]byte{10, 0, byte(n >> 8), byte(n)}), 32)
}

// One that takes all gives way to others, oldest first; those who have no more than a newcomer keep it.
func TestPool(t *testing.T) {
	p := NewPool(80, 100)
	var taken []int
	open := func(who, number int) *Share {
		return p.Open(address(who), func() { taken = append(taken, number) })
	}
	var greedy []*Share
	for i := range 80 {
		s := open(1, i)
		if !s.Grow(1) {
			t.Fatalf("share %d was refused", i)
		}
		greedy = append(greedy, s)
	}
	if open(1, 80).Grow(1) {
		t.Error("an address took more than it may")
	}
	for i := range 30 {
		if !open(2, 100+i).Grow(1) {
			t.Errorf("share %d of a second address was refused", i)
		}
	}
	if want := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}; !slices.Equal(taken, want) {
		t.Errorf("taken back: %v, want %v", taken, want)
	}
	if greedy[0].Grow(1) {
		t.Error("a share that was taken back grows")
	}
	greedy[0].Close() // again, and it changes nothing
	greedy[79].Close()
	if p.sum != 99 || p.used[address(1)] != 69 || p.used[address(2)] != 30 {
		t.Errorf("%d in use: %v", p.sum, p.used)
	}
	even := NewPool(10, 10)
	for i := range 10 {
		even.Open(address(i), func() { t.Error("somebody with one share lost it") }).Grow(1)
	}
	if even.Open(address(99), nil).Grow(1) {
		t.Error("there was one more than there is")
	}
}

// Those who wait are let in by what their address has had.
func TestQueue(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q := NewQueue(100, 3, time.Now)
		var mu sync.Mutex
		var order []int
		note := func(who int) {
			mu.Lock()
			defer mu.Unlock()
			order = append(order, who)
		}
		enter := func(ctx context.Context, who int, need int64) {
			go func() {
				done, err := q.Enter(ctx, address(who), need)
				if err != nil {
					note(-who)
					return
				}
				note(who)
				time.Sleep(time.Second)
				done()
			}()
			synctest.Wait()
		}
		for range 4 {
			enter(t.Context(), 1, 90) // one works, three wait
		}
		enter(t.Context(), 1, 90)
		enter(t.Context(), 2, 90)
		gone, end := context.WithCancel(t.Context())
		enter(gone, 3, 20)
		end()
		enter(t.Context(), 4, 1000) // more than there is: alone
		time.Sleep(time.Minute)
		synctest.Wait()
		mu.Lock()
		defer mu.Unlock()
		q.mu.Lock()
		defer q.mu.Unlock()
		if want := []int{1, -1, -3, 2, 4, 1, 1, 1}; !slices.Equal(order, want) {
			t.Errorf("in the order %v, want %v", order, want)
		}
		if q.used != 0 || len(q.waiting) != 0 {
			t.Errorf("%d in use, %d wait", q.used, len(q.waiting))
		}
		time.Sleep(time.Hour)
		if q.forget(); len(q.had) != 0 {
			t.Errorf("after an hour: %v", q.had)
		}
	})
}

func TestSlots(t *testing.T) {
	a, b := netip.MustParsePrefix("192.168.4.1/32"), netip.MustParsePrefix("192.168.4.2/32")
	s := NewSlots(2, 3)
	first, _ := s.Take(a)
	s.Take(a)
	if _, ok := s.Take(a); ok {
		t.Error("an address took more than its slots")
	}
	s.Take(b)
	if _, ok := s.Take(b); ok {
		t.Error("more slots than there are")
	}
	first()
	if _, ok := s.Take(b); !ok {
		t.Error("a slot that was given back is not free")
	}
}
