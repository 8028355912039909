// Package host serves a class: the site to its tablets, with what joins their pages
// to the host; their records and results into the store; and the board to the
// trainer. Names of learners stay in the store, and out of every message.
package host

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"time"

	"matchmark/compile/host/board"
	"matchmark/compile/host/building"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/holdpoint"
	"matchmark/compile/host/invite"
	"matchmark/compile/host/listen"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
	"matchmark/procedure"
	"matchmark/themes"
)

// The pace of one address: posts a second and in one burst, and new jobs likewise.
// A tablet sends at most a few things at each change; behind one address may stand a class.
const (
	postsPerSecond = 30
	postsAtOnce    = 300
	jobsPerSecond  = 0.2
	jobsAtOnce     = 60
	// Boards that are told of changes. A browser opens six connections to a plain address and needs some for
	// the rest; a board that is told nothing asks every few seconds.
	streamsOfOne = 4
	streamsOfAll = 32
)

// Config is what a host is made of.
type Config struct {
	// Library is the library that the site was compiled from, with the refittings and the made questions.
	Library *procedure.Library
	// Site is the folder of the compiled site.
	Site string
	// Folder is the data folder, and Store the database in it.
	Folder string
	Store  *store.Store
	// Keep is how many backups are kept.
	Keep int
	// Retention says how long what is kept.
	Retention store.Retention
	// Authority may be nil: then there is no HTTPS.
	Authority *trust.Authority
	Watcher   *trust.Watcher
	// Reach are the addresses that a tablet can open, the plain one first.
	Reach func() []string
	Now   func() time.Time
	// Memory is about how many bytes the host may take; 0 is listen.DefaultMemory.
	Memory int64
	// Log takes what the trainer should know; it never holds a learner's name.
	Log func(message string)
}

// Host answers requests. It may be used from several goroutines at once.
type Host struct {
	Config
	plans *board.Plans
	site  *building.Building
	words *themes.Words
	key   string // the public one

	asks, posts, jobs *guard.Limiter
	guesses           *guard.Limiter // of codes
	invite            *invite.Codes
	flight            *guard.Pool  // bytes of requests and answers that are on their way
	work              *guard.Queue // bytes of what is read, merged and decoded
	streams           *guard.Slots
	tries             *pin.Tries
	sessions          *pin.Sessions
	codes             holdpoint.Codes
	parcels           *guard.Pool   // bytes of what tablets bring from another address
	checking          chan struct{} // one PIN at a time: each costs memory and a processor
	views             views
	all               allViews
	closing           chan struct{}
	handler           http.Handler
}

// New returns a host. Close it after use.
func New(c Config) (*Host, error) {
	wordings, err := keepWordings(context.Background(), c.Store, c.Library)
	if err != nil {
		return nil, err
	}
	site, err := building.Open(c.Library, c.Site)
	if err != nil {
		return nil, err
	}
	h := &Host{
		Config: c, plans: board.NewPlans(c.Library, wordings), site: site, words: site.Words,
		key:   hex.EncodeToString(c.Store.Key().Public().(ed25519.PublicKey)),
		posts: guard.NewLimiter(postsPerSecond, postsAtOnce, c.Now), jobs: guard.NewLimiter(jobsPerSecond, jobsAtOnce, c.Now),
		guesses: guard.NewLimiter(guessesPerSec, guessesAtOnce, c.Now),
		asks:    guard.NewLimiter(asksPerSecond, asksAtOnce, c.Now), tries: pin.NewTries(c.Now), sessions: pin.NewSessions(c.Now),
		streams: guard.NewSlots(streamsOfOne, streamsOfAll), checking: make(chan struct{}, 1),
		closing: make(chan struct{}), invite: invite.New(c.Store, c.Now), parcels: guard.NewPool(mostParcel, mostParcel),
	}
	if h.Memory == 0 {
		h.Memory = listen.DefaultMemory
	}
	h.flight = guard.NewPool(h.Memory/flightShare/4, h.Memory/flightShare)
	h.work = guard.NewQueue(h.Memory/workShare, waitingOfOne, c.Now)
	mux := http.NewServeMux()
	h.routeTablets(mux)
	h.routeEnrolment(mux)
	h.routeBoard(mux)
	h.routeTrust(mux)
	mux.HandleFunc("GET /", h.answering(h.servePage))
	h.handler = guard.Guard(mux, func(host string) bool { return c.Watcher.Now().Answers(host) }, h.refuseGuarded, "POST "+arrivalPath)
	if c.Store.Several() {
		go h.watch()
	}
	return h, nil
}

// Close lets go of the site. The store is its owner's to close.
func (h *Host) Close() error {
	close(h.closing)
	return h.site.Close()
}

// ServeHTTP implements http.Handler.
func (h *Host) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	l, r := h.bearing(w, r)
	w = l
	defer l.end()
	defer func() {
		if cause := recover(); cause != nil {
			if cause == http.ErrAbortHandler {
				panic(cause)
			}
			h.Log(fmt.Sprintf("an internal error of matchmark while answering %s: %v", asked(r), cause))
			h.refuse(w, r, http.StatusInternalServerError, "fault")
		}
	}()
	if wait := h.asks.Wait(guard.Address(r)); wait > 0 {
		h.failed(w, r, later("too-fast", wait))
		return
	}
	h.handler.ServeHTTP(w, r)
}

// asked is what was asked for, in words that hold no name of anybody: the route, which begins with the method.
func asked(r *http.Request) string {
	if r.Pattern != "" {
		return r.Pattern
	}
	return r.Method + " of a page"
}

// Addresses lists what a tablet can open, for a host at given ports; a port of 0 is off.
func Addresses(id trust.Identity, network bool, plain, secure int) []string {
	ips := []net.IP{net.IPv4(127, 0, 0, 1)}
	if network {
		ips = id.Typed()
	}
	var out []string
	for _, scheme := range []struct {
		name string
		port int
	}{{"http", plain}, {"https", secure}} {
		for _, ip := range ips {
			if scheme.port != 0 {
				u := url.URL{Scheme: scheme.name, Host: net.JoinHostPort(ip.String(), fmt.Sprint(scheme.port)), Path: "/"}
				out = append(out, u.String())
			}
		}
	}
	return out
}
