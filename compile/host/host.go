// Package host serves a class: the site to its tablets, with what joins their pages
// to the host; their records and results into the store; and the board to the
// trainer. Names of learners stay in the store, and out of every message.
package host

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"os"
	"time"

	"matchmark/compile/host/board"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
	"matchmark/compile/page"
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
	bodiesOfOne    = 16
	bodiesOfAll    = 128
	// Boards that are told of changes. A browser opens six connections to a plain address and needs some for
	// the rest; a board that is told nothing asks every few seconds.
	streamsOfOne = 4
	streamsOfAll = 32
)

// Config is what a host is made of.
type Config struct {
	// Library is the library that the site was compiled from, with the ways back and the made questions.
	Library *procedure.Library
	// Site is the folder of the compiled site.
	Site string
	// Folder is the data folder, and Store the database in it.
	Folder string
	Store  *store.Store
	// Keep is how many backups are kept.
	Keep int
	// Authority may be nil: then there is no HTTPS.
	Authority *trust.Authority
	Watcher   *trust.Watcher
	// Reach are the addresses that a tablet can open, the plain one first.
	Reach func() []string
	Now   func() time.Time
	// Log takes what the trainer should know; it never holds a learner's name.
	Log func(message string)
}

// Host answers requests. It may be used from several goroutines at once.
type Host struct {
	Config
	plans *board.Plans
	site  *os.Root
	theme *themes.Theme
	words *themes.Words
	title string
	key   string // the public one

	posts, jobs *guard.Limiter
	bodies      *guard.Slots
	streams     *guard.Slots
	tries       *pin.Tries
	sessions    *pin.Sessions
	checking    chan struct{} // one PIN at a time: each costs memory and a processor
	views       views
	handler     http.Handler
}

// New returns a host. Close it after use.
func New(c Config) (*Host, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(c.Library.Language)
	if err != nil {
		return nil, err
	}
	site, err := os.OpenRoot(c.Site)
	if err != nil {
		return nil, fmt.Errorf("opening the site: %w", err)
	}
	h := &Host{
		Config: c, plans: board.NewPlans(c.Library), site: site, theme: theme, words: words, title: page.SiteTitle(c.Library, words),
		key:   hex.EncodeToString(c.Store.Key().Public().(ed25519.PublicKey)),
		posts: guard.NewLimiter(postsPerSecond, postsAtOnce, c.Now), jobs: guard.NewLimiter(jobsPerSecond, jobsAtOnce, c.Now),
		bodies: guard.NewSlots(bodiesOfOne, bodiesOfAll), tries: pin.NewTries(c.Now), sessions: pin.NewSessions(c.Now),
		streams: guard.NewSlots(streamsOfOne, streamsOfAll), checking: make(chan struct{}, 1),
	}
	mux := http.NewServeMux()
	h.routeTablets(mux)
	h.routeBoard(mux)
	h.routeTrust(mux)
	mux.HandleFunc("GET /", h.servePage)
	h.handler = guard.Guard(mux, func(host string) bool { return c.Watcher.Now().Answers(host) }, h.refuseGuarded)
	return h, nil
}

// Close lets go of the site. The store is its owner's to close.
func (h *Host) Close() error { return h.site.Close() }

// ServeHTTP implements http.Handler.
func (h *Host) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	defer func() {
		if cause := recover(); cause != nil {
			if cause == http.ErrAbortHandler {
				panic(cause)
			}
			h.Log(fmt.Sprintf("a fault in matchmark itself while answering %s %s: %v", r.Method, pattern(r), cause))
			h.refuse(w, r, http.StatusInternalServerError, "fault")
		}
	}()
	h.handler.ServeHTTP(w, r)
}

// pattern is the route that a request took, which holds no name of anybody.
func pattern(r *http.Request) string {
	if r.Pattern != "" {
		return r.Pattern
	}
	return "a page"
}

// asset reads a file of the theme.
func (h *Host) asset(name string) ([]byte, error) { return fs.ReadFile(h.theme.Assets(), name) }

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
