// Package writing is the page to write a library in: a text editor beside the preview, with the messages, the names and the
// blocks where the cursor is. The browser holds the text; what is asked about it is answered by compile/assist, and each
// change is written to disk, unless somebody else has changed the file meanwhile.
package writing

import (
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/json"
	"errors"
	"io/fs"
	"mime"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"

	"matchmark/compile/assist"
	"matchmark/compile/served"
	"matchmark/themes"
)

// Path is the folder of the page's addresses.
const Path = "/.preview/write/"

// requestSize is more than any file that somebody writes has, in bytes.
const requestSize = 8 << 20

//go:embed script.js NOTICES.txt
var files embed.FS

// crossOrigin refuses what a page of another site sends.
// Source: W3C, Fetch Metadata Request Headers (Sec-Fetch-Site); RFC 6454, Origin.
var crossOrigin = http.NewCrossOriginProtection()

// Room is a library that is written in from pages. It may be used from several goroutines at once.
type Room struct {
	dir   string
	root  *os.Root // held open: answers follow no link out of it
	token string   // a page of this room's own has it
	theme *themes.Theme
	site  Site

	now func() time.Time

	mu    sync.Mutex
	desk  *assist.Desk
	typed map[string]typed // what pages have typed and the disk has not
	phone *phone           // that may send photos; nil for none
}

// Site is the compiled site that the preview shows.
type Site interface {
	// Words are those of the site's language.
	Words() *themes.Words
	// Page is the first of some pages that the site has, each a pattern as in path.Match; empty for none.
	Page(patterns ...string) string
}

// typed is a text that is not on disk, and when a page last asked about it.
type typed struct {
	text string
	at   time.Time
}

// NewRoom returns a room for the library in a folder. An error is about the folder.
func NewRoom(dir string, theme *themes.Theme, site Site) (*Room, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return &Room{dir: dir, root: root, desk: assist.NewDesk(root.FS()), token: rand.Text(), theme: theme, site: site, typed: map[string]typed{}, now: time.Now}, nil
}

// Changed notes files that have changed on disk, or with all that any of them may have.
func (r *Room) Changed(files []string, all bool) {
	if !all {
		r.desk.Changed(files...)
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.desk = assist.NewDesk(r.root.FS()) // what was typed and not saved is laid over again when its page asks
	clear(r.typed)
}

// Refusal is why something that a page asks for is not done.
type Refusal struct {
	// Problem is a short name, for which the page has words.
	Problem string `json:"problem"`
	// Detail says the same to whoever has no page, or more of it.
	Detail string `json:"detail"`
	// Text and Sum are the file as it is on disk, where that is what stands in the way.
	Text *string `json:"text,omitempty"`
	Sum  string  `json:"sum,omitempty"`

	status int
}

// Error says why.
func (e *Refusal) Error() string { return e.Detail }

// ServeHTTP answers below Path.
func (r *Room) ServeHTTP(w http.ResponseWriter, q *http.Request) {
	name := q.URL.Path[len(Path):]
	if do, ok := actions[name]; ok {
		r.act(w, q, do)
		return
	}
	if name == "photo" {
		r.servePhoto(w, q)
		return
	}
	if q.Method != http.MethodGet && q.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "Only GET and HEAD are answered.", http.StatusMethodNotAllowed)
		return
	}
	switch name {
	case "":
		r.servePage(w)
	case "script.js", "NOTICES.txt":
		send(w, q, files, name)
	case "base.css", "preview.write.css", "mark.svg":
		send(w, q, r.theme.Assets(), name)
	default:
		if picture, ok := strings.CutPrefix(name, "picture/"); ok {
			r.servePicture(w, q, picture)
			return
		}
		http.Error(w, "There is no such file.", http.StatusNotFound)
	}
}

func send(w http.ResponseWriter, q *http.Request, from fs.FS, name string) {
	content, err := fs.ReadFile(from, name)
	if err != nil {
		panic(err) // it is compiled in
	}
	served.Send(w, q, name, content)
}

// act answers a post of a page.
func (r *Room) act(w http.ResponseWriter, q *http.Request, do action) {
	a, err := r.accept(w, q)
	if err == nil {
		var out any
		if out, err = do(r, q, w, a); err == nil && out != nil {
			served.JSON(w, http.StatusOK, out)
		}
	}
	if err != nil {
		refuse(w, err)
	}
}

// refuse tells why something is not done.
func refuse(w http.ResponseWriter, err error) {
	var no *Refusal
	if !errors.As(err, &no) {
		no = &Refusal{Problem: "failed", Detail: err.Error(), status: http.StatusInternalServerError}
	}
	served.JSON(w, no.status, no)
}

// own lets only a post of a page of this room's own pass.
func (r *Room) own(w http.ResponseWriter, q *http.Request) error {
	if q.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		return &Refusal{Problem: "malformed", Detail: "Only POST is answered.", status: http.StatusMethodNotAllowed}
	}
	if crossOrigin.Check(q) != nil || subtle.ConstantTimeCompare([]byte(q.Header.Get("Matchmark-Token")), []byte(r.token)) != 1 {
		return &Refusal{Problem: "foreign", Detail: "Only the writing page of this preview may do that. Load it again.", status: http.StatusForbidden}
	}
	return nil
}

// accept reads a post.
func (r *Room) accept(w http.ResponseWriter, q *http.Request) (*asked, error) {
	if err := r.own(w, q); err != nil {
		return nil, err
	}
	if kind, _, err := mime.ParseMediaType(q.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return nil, &Refusal{Problem: "malformed", Detail: "Send application/json.", status: http.StatusUnsupportedMediaType}
	}
	body := json.NewDecoder(http.MaxBytesReader(w, q.Body, requestSize))
	body.DisallowUnknownFields()
	a := &asked{}
	if err := body.Decode(a); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return nil, &Refusal{Problem: "large", Detail: "The text is too large.", status: http.StatusRequestEntityTooLarge}
		}
		return nil, &Refusal{Problem: "malformed", Detail: "The request is not what was expected: " + err.Error(), status: http.StatusBadRequest}
	}
	return a, nil
}
