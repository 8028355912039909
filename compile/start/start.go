// Package start is the page that opens when matchmark is started without a terminal: it opens a library, begins a new
// one, shows the demo, and serves a class. It is for this computer alone, and for whoever has its address.
package start

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/a-h/templ"
	"golang.org/x/text/language"

	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/compile/starter"
	"matchmark/procedure/say"
	"matchmark/themes"
)

const (
	requestTime  = 30 * time.Second
	shutdownTime = 2 * time.Second
	// cookie holds the token once the address with it was opened.
	cookie = "matchmark-start"
	// abandoned is how long nobody may look before the program ends by itself, unless it does something. Browsers ask
	// once a minute for a page that lies behind others.
	abandoned = 5 * time.Minute
)

// crossOrigin refuses what a page of another site sends.
var crossOrigin = http.NewCrossOriginProtection()

// Run carries out a command line until it is done or ctx ends; what it prints goes to out.
type Run func(ctx context.Context, args []string, out io.Writer) (exit int)

// Server is the start page.
type Server struct {
	run    Run
	theme  *themes.Theme
	recent *recent
	token  string
	// sites is where the sites of previews lie: a library may be on a stick that cannot be written to.
	sites string
	quit  context.CancelFunc

	mu     sync.Mutex
	works  []*work
	lookup time.Time // when somebody last looked
}

// New makes a start page that remembers libraries in a file, and keeps the sites of previews in a folder.
func New(run Run, recentFile, sites string) (*Server, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, err
	}
	return &Server{run: run, theme: theme, recent: &recent{file: recentFile}, token: rand.Text(), sites: sites, lookup: time.Now()}, nil
}

// Address is where the page is, for the listener that it is served by.
func (s *Server) Address(listener net.Listener) string {
	return "http://" + listener.Addr().String() + "/" + s.token
}

// Serve serves the page until ctx ends, somebody quits, or nobody has looked for long. All that was begun has ended then.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	ctx, s.quit = context.WithCancel(ctx)
	defer s.quit()
	go s.watchOver(ctx)
	server := &http.Server{
		Handler: s, ReadHeaderTimeout: requestTime, ReadTimeout: requestTime, WriteTimeout: requestTime, MaxHeaderBytes: 16 << 10,
		ErrorLog: log.New(io.Discard, "", 0), BaseContext: func(net.Listener) context.Context { return ctx },
	}
	err := served.Until(ctx, server, shutdownTime, func() error { return server.Serve(listener) })
	s.mu.Lock()
	works := s.works
	s.mu.Unlock()
	for _, w := range works {
		w.stop()
		<-w.done
	}
	return err
}

// watchOver ends the program when nobody looks any more, and nothing is done.
func (s *Server) watchOver(ctx context.Context) {
	tick := time.NewTicker(abandoned / 10)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-tick.C:
			if s.idle(now) {
				s.quit()
			}
		}
	}
}

// idle says whether nothing is done and nobody has looked for long.
func (s *Server) idle(now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range s.works {
		if !w.ended() {
			return false
		}
	}
	return now.Sub(s.lookup) > abandoned
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	header := w.Header()
	header.Set("Cache-Control", "no-store")
	header.Set("X-Content-Type-Options", "nosniff")
	header.Set("Referrer-Policy", "no-referrer")
	header.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; img-src 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'; form-action 'self'")
	if subtle.ConstantTimeCompare([]byte(strings.TrimPrefix(r.URL.Path, "/")), []byte(s.token)) == 1 {
		http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		header.Set("Refresh", "0; url=/") // a redirect would come without the cookie from a link of another program
		io.WriteString(w, "<!DOCTYPE html><title>matchmark</title><a href=\"/\">matchmark</a>")
		return
	}
	given, err := r.Cookie(cookie)
	if err != nil || subtle.ConstantTimeCompare([]byte(given.Value), []byte(s.token)) != 1 || !loopback(r.Host) || crossOrigin.Check(r) != nil {
		http.Error(w, "Open the address that matchmark printed when it started.", http.StatusForbidden)
		return
	}
	s.mu.Lock()
	s.lookup = time.Now()
	s.mu.Unlock()
	switch r.Method + " " + r.URL.Path {
	case "GET /":
		s.show(w, r, "")
	case "GET /running":
		s.render(w, runningPage(s.words(r), s.running()))
	case "GET /start.css":
		s.styles(w)
	case "POST /write", "POST /class":
		s.begin(w, r, strings.TrimPrefix(r.URL.Path, "/"))
	case "POST /new":
		s.makeNew(w, r)
	case "POST /stop":
		s.stop(r.FormValue("work"))
		http.Redirect(w, r, "/running", http.StatusSeeOther)
	case "POST /quit":
		s.render(w, goodbyePage(s.words(r)))
		s.quit()
	default:
		http.NotFound(w, r)
	}
}

// loopback says whether a Host header means this computer and cannot mean another.
func loopback(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	ip := net.ParseIP(strings.Trim(name, "[]"))
	return name == "localhost" || ip != nil && ip.IsLoopback()
}

// words are those of the browser's language, as far as there are any.
func (s *Server) words(r *http.Request) *themes.Words {
	wanted, _, _ := language.ParseAcceptLanguage(r.Header.Get("Accept-Language")) // what cannot be read asks for nothing
	for _, tag := range wanted {
		base, _ := tag.Base()
		if words, err := s.theme.Words(base.String()); err == nil {
			return words
		}
	}
	words, err := s.theme.Words("en")
	if err != nil {
		panic(err) // the theme always has English
	}
	return words
}

func (s *Server) styles(w http.ResponseWriter) {
	styles, err := s.theme.Styles("start.css")
	if err != nil {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	for _, style := range styles {
		io.WriteString(w, string(style))
	}
}

// show shows the page, with what went wrong before.
func (s *Server) show(w http.ResponseWriter, r *http.Request, wrong string) {
	v := view{Wrong: wrong, Recent: s.recent.list()}
	v.At, v.Above, v.Folders = folders(r.FormValue("at"))
	v.IsLibrary = isLibrary(v.At)
	if wrong != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	s.render(w, startPage(s.words(r), v))
}

// makeNew starts a library in a new folder of the one that is shown, and opens it.
func (s *Server) makeNew(w http.ResponseWriter, r *http.Request) {
	words := s.words(r)
	name := strings.TrimSpace(r.FormValue("name"))
	if name == "" || name != filepath.Base(name) || name == "." || name == ".." {
		s.show(w, r, words.T("desk.bad-name"))
		return
	}
	dir := filepath.Join(r.FormValue("at"), name)
	if _, err := starter.Write(dir); err != nil {
		s.show(w, r, say.Why(err).In(say.Translation(words.Lang)))
		return
	}
	s.launch(dir, "write", words.Lang)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// begin opens a library to write in it, or serves a class with it. Without one it is the demo.
func (s *Server) begin(w http.ResponseWriter, r *http.Request, what string) {
	library := r.FormValue("library")
	if library != "" {
		if info, err := os.Stat(library); err != nil || !info.IsDir() {
			s.show(w, r, s.words(r).T("desk.no-folder", library))
			return
		}
	}
	s.launch(library, what, s.words(r).Lang)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// stop ends a work.
func (s *Server) stop(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range s.works {
		if w.id == id {
			w.stop()
		}
	}
}

// render shows a page; nothing of it is sent when it cannot be made.
func (s *Server) render(w http.ResponseWriter, component templ.Component) {
	var content bytes.Buffer
	if err := page.Render(&content, component); err != nil {
		http.Error(w, "The page cannot be shown.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if _, err := w.Write(content.Bytes()); err != nil && !errors.Is(err, net.ErrClosed) {
		return // whoever asked has gone
	}
}
