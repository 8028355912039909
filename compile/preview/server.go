package preview

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"matchmark/compile/served"
	"matchmark/compile/writing"
	"matchmark/themes"
)

// Time limits of the server. A page comes from the disk of the same computer.
const (
	requestTime = 10 * time.Second
	answerTime  = 30 * time.Second
	idleTime    = time.Minute
	// heartbeat is how often an open event stream is tried, so that one that nobody reads is closed.
	heartbeat    = 15 * time.Second
	shutdownTime = 2 * time.Second
)

// own is the folder of the server's own addresses. No page of a site lies there:
// a site path has no part that starts with a dot.
const own = "/.preview/"

// Server serves a compiled site to this computer, with the panel in every page.
// It may be used from several goroutines at once.
type Server struct {
	site    string
	theme   *themes.Theme
	session string
	author  *author       // nil when balloons cannot be moved
	room    *writing.Room // nil when nobody can write

	placing sync.RWMutex // held while files of the site are replaced

	mu      sync.Mutex
	written int // compiles that wrote the site
	state   []byte
	changed chan struct{} // closed when the state is replaced
}

// NewServer returns a server for the site in a folder, which need not exist yet.
func NewServer(site string) (*Server, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	return serverOf(site, theme)
}

func serverOf(site string, theme *themes.Theme) (*Server, error) {
	s := &Server{site: site, theme: theme, session: rand.Text()[:8], changed: make(chan struct{})}
	var err error
	s.state, err = encode(s.edition(), Outcome{Written: true})
	return s, err
}

// MoveBalloonsIn lets pages move the balloons of their figures in the sources of
// the library in a folder. Call it before Serve.
func (s *Server) MoveBalloonsIn(library string) { s.author = &author{dir: library} }

// WriteIn lets pages write in the library in a folder. Call it before Serve. An error is about the folder.
func (s *Server) WriteIn(library string) (err error) {
	s.MoveBalloonsIn(library)
	s.room, err = writing.NewRoom(library, s.theme, seen{s})
	return err
}

// Noticed takes notice of files of the library that have changed on disk.
func (s *Server) Noticed(change Change) {
	if s.room != nil {
		s.room.Changed(change.Names, change.All)
	}
}

// Hold keeps pages from being read while a change is put in place, so that
// nobody gets some files of the old site and some of the new.
func (s *Server) Hold(change func() error) error {
	s.placing.Lock()
	defer s.placing.Unlock()
	return change()
}

// edition names the site as it stands. A server that is started anew has other editions.
func (s *Server) edition() string { return fmt.Sprintf("%s-%d", s.session, s.written) }

// Show tells all open pages how a compile ended.
func (s *Server) Show(o Outcome) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if o.Written {
		s.written++
	}
	next, err := encode(s.edition(), o)
	if err != nil {
		return err
	}
	s.state = next
	close(s.changed)
	s.changed = make(chan struct{})
	return nil
}

// current returns the state and a channel that is closed when there is a newer one.
func (s *Server) current() ([]byte, <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.state, s.changed
}

// Serve answers requests until ctx ends. It closes the listener.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	server := &http.Server{
		Handler:           s,
		ReadHeaderTimeout: requestTime,
		ReadTimeout:       requestTime,
		WriteTimeout:      answerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          log.New(io.Discard, "", 0),
		BaseContext:       func(net.Listener) context.Context { return ctx },
	}
	if s.room != nil {
		defer s.room.Close()
	}
	return served.Until(ctx, server, shutdownTime, func() error { return server.Serve(listener) })
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	header := w.Header()
	header.Set("Cache-Control", "no-store")
	header.Set("X-Content-Type-Options", "nosniff")
	header.Set("Cross-Origin-Resource-Policy", "same-origin")
	// A name on the web that was made to point at this computer must not read the site.
	if !isLoopback(hostOf(r.Host)) {
		http.Error(w, "This preview answers to names of this computer only, such as localhost.", http.StatusForbidden)
		return
	}
	if s.room != nil && strings.HasPrefix(r.URL.Path, writing.Path) {
		s.room.ServeHTTP(w, r)
		return
	}
	if s.author != nil {
		switch r.URL.Path {
		case own + "move":
			s.serveMove(w, r)
			return
		case own + "undo":
			s.serveUndo(w, r)
			return
		}
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		header.Set("Allow", "GET, HEAD")
		http.Error(w, "Only GET and HEAD are answered.", http.StatusMethodNotAllowed)
		return
	}
	switch r.URL.Path {
	case own + "events":
		s.serveEvents(w, r)
	case own + "state":
		state, _ := s.current()
		header.Set("Content-Type", "application/json")
		w.Write(state)
	case own + "preview.js", own + "preview.balloons.js", own + "preview.css":
		s.serveAsset(w, r, strings.TrimPrefix(r.URL.Path, own))
	case own + "figures":
		if s.author == nil {
			http.Error(w, "There is no such file.", http.StatusNotFound)
			return
		}
		s.serveFigures(w, r)
	default:
		s.servePage(w, r)
	}
}

// serveEvents sends the state, and again whenever it is replaced, as server-sent events.
// Source: WHATWG HTML, "Server-sent events".
func (s *Server) serveEvents(w http.ResponseWriter, r *http.Request) {
	control := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	if r.Method == http.MethodHead {
		return
	}
	// The request is read; its deadline would end the stream.
	if err := control.SetReadDeadline(time.Time{}); err != nil {
		http.Error(w, "Events cannot be sent.", http.StatusInternalServerError)
		return
	}
	send := func(format string, args ...any) bool {
		if control.SetWriteDeadline(time.Now().Add(requestTime)) != nil {
			return false
		}
		if _, err := fmt.Fprintf(w, format, args...); err != nil {
			return false
		}
		return control.Flush() == nil
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	state, changed := s.current()
	alive := send("retry: 1000\ndata: %s\n\n", state)
	for alive {
		select {
		case <-r.Context().Done():
			return
		case <-beat.C:
			alive = send(":\n\n")
		case <-changed:
			state, changed = s.current()
			alive = send("data: %s\n\n", state)
		}
	}
}

// hostOf is the host of a Host header, without port and brackets.
func hostOf(header string) string {
	host, _, err := net.SplitHostPort(header)
	if err != nil {
		host = header
	}
	return strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
}

// isLoopback says whether a name means this computer and cannot mean another.
func isLoopback(host string) bool {
	ip := net.ParseIP(host)
	return strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback()
}
