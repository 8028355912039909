package host

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path"
	"strings"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/served"
)

// exceptions are what a page may do at the host besides its own rule: send and
// fetch records, and be kept for later.
const exceptions = "connect-src 'self'; worker-src 'self'; manifest-src 'self'; "

// ownFiles are what tablets get from the host, besides the site's. Each page has the photos at hand, so that
// the record of a job goes out whole, whichever page is open.
var ownFiles = map[string]string{
	"class.js": "class.js", "class.css": "class.css", "outbox.js": "outbox.js", "photos.js": "photos.js", "worker.js": "worker.js", "mark.svg": "mark.svg",
	"icon-192.png": "class.icon-192.png", "icon-512.png": "class.icon-512.png", "maskable-512.png": "class.maskable-512.png",
}

// servePage sends a file of the site; a page gets what joins it to the host.
func (h *Host) servePage(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" || strings.HasSuffix(name, "/") {
		name += "index.html"
	}
	content, err := h.read(name)
	control := mayKeep
	if err == nil && h.isKey(name) {
		if _, _, trainer := h.session(r); !trainer {
			h.onlyTrainer(w, r, "key")
			return
		}
		control = mustNotKeep
	}
	switch {
	case err == nil:
		if path.Ext(name) == ".html" {
			content = h.joined(content)
		}
		h.send(w, r, name, content, control)
	case path.Ext(name) == "" && h.has(name+"/index.html"):
		http.Redirect(w, r, r.URL.EscapedPath()+"/", http.StatusSeeOther)
	default:
		h.missing(w, r)
	}
}

// isKey reports whether a file of the site is the answer key of a quiz, QUIZ-FOLDER/key.html. It asks the
// file system, which may know the file by more names: capitals for small letters, a dot at the end, a short name.
func (h *Host) isKey(name string) bool {
	if strings.Count(name, "/") != 2 {
		return false
	}
	asked, err := h.site.Stat(name)
	if err != nil {
		return false
	}
	key, err := h.site.Stat(path.Dir(name) + "/key.html")
	return err == nil && os.SameFile(asked, key)
}

// What a browser does with a file: it may keep it but has to ask about it; or, with a
// key, which whoever has the tablet next must not find there, nothing keeps it.
const mayKeep, mustNotKeep = "no-cache", "no-store"

// send sends a file, to be kept or not.
func (h *Host) send(w http.ResponseWriter, r *http.Request, name string, content []byte, control string) {
	w.Header().Set("Cache-Control", control)
	w.Header().Set("ETag", tag(content))
	served.Send(w, r, name, content)
}

// read returns a file of the site, and nothing from outside of it. What the host's
// own pages need of the theme lies among the site's assets.
func (h *Host) read(name string) ([]byte, error) {
	if output.CheckPath(name) != nil {
		return nil, fs.ErrNotExist
	}
	content, err := h.site.ReadFile(name)
	if own, is := strings.CutPrefix(name, "assets/"); err != nil && is {
		return h.asset(own)
	}
	return content, err
}

func (h *Host) has(name string) bool {
	info, err := h.site.Stat(name)
	return err == nil && info.Mode().IsRegular() && output.CheckPath(name) == nil
}

// joined adds to a page of the site what joins it to the host.
func (h *Host) joined(content []byte) []byte {
	words := h.words
	if w, err := h.theme.Words(served.Language(content)); err == nil {
		words = w
	}
	data, err := json.Marshal(struct {
		Words map[string]string `json:"words"`
	}{words.Script("class")})
	if err != nil {
		panic(err) // strings only
	}
	photos := "<script src=\"/class/photos.js\" defer></script>\n"
	if bytes.Contains(content, []byte("/bench.js\"")) {
		photos = ""
	}
	return served.WithHead(content, `<link rel="manifest" href="/class/manifest.webmanifest">
<link rel="stylesheet" href="/class/class.css">
<script type="application/json" id="ui_class_data">`+string(data)+`</script>
`+photos+`<script src="/class/outbox.js" defer></script>
<script src="/class/class.js" defer></script>
`, exceptions)
}

// missing answers for what is not there: for people who look for a page, with a way on.
func (h *Host) missing(w http.ResponseWriter, r *http.Request) {
	if !wantsPage(r) {
		h.refuse(w, r, http.StatusNotFound, "unknown")
		return
	}
	h.page(w, r, http.StatusNotFound, "host/missing", h.view(h.words.T("host.missing"), nil))
}

// onlyTrainer answers whoever has not signed in: people who look for a page are told why, and
// where to sign in. why is "key" or "board".
func (h *Host) onlyTrainer(w http.ResponseWriter, r *http.Request, why string) {
	if !wantsPage(r) || r.Method != http.MethodGet {
		h.refuse(w, r, http.StatusUnauthorized, "session")
		return
	}
	board := url.URL{Path: "/board/", RawQuery: url.Values{"to": {r.URL.Path}}.Encode()}
	h.page(w, r, http.StatusUnauthorized, "host/trainer", h.view(h.words.T("board.pin.title"), struct{ Why, Board string }{h.words.T("host.trainer." + why), board.String()}))
}

// wantsPage reports whether a person looks for a page, rather than a script for an answer.
func wantsPage(r *http.Request) bool { return strings.Contains(r.Header.Get("Accept"), "text/html") }

// view is what a page of the host's own is made from.
type view struct {
	page.Shell
	// Host is what the page is about.
	Host any
}

// view makes a view of the title of a page and what it is about.
func (h *Host) view(title string, about any) view {
	return view{page.Shell{Title: title, Site: h.title, Lang: h.words.Lang, Root: "/", Words: h.words}, about}
}

// page sends a page of the host's own.
func (h *Host) page(w http.ResponseWriter, r *http.Request, status int, template string, v interface{ Language() string }) {
	var b bytes.Buffer
	if err := h.theme.Render(&b, template, v); err != nil {
		h.Log(err.Error())
		h.refuse(w, r, http.StatusInternalServerError, "fault")
		return
	}
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(b.Bytes())
	}
}

// serveOwn sends the host's scripts and the manifest.
func (h *Host) serveOwn(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	if name == "manifest.webmanifest" {
		h.send(w, r, name, h.manifest(), mayKeep)
		return
	}
	file, known := ownFiles[name]
	if !known {
		h.refuse(w, r, http.StatusNotFound, "unknown")
		return
	}
	content, err := h.asset(file)
	if errors.Is(err, fs.ErrNotExist) {
		h.refuse(w, r, http.StatusNotFound, "unknown")
		return
	}
	if name == "worker.js" {
		// Source: W3C, Service Workers, "Service-Worker-Allowed".
		w.Header().Set("Service-Worker-Allowed", "/")
	}
	h.send(w, r, name, content, mayKeep)
}

// manifest lets a browser install the site.
// Source: W3C, Web Application Manifest.
func (h *Host) manifest() []byte {
	type icon struct {
		Source  string `json:"src"`
		Type    string `json:"type"`
		Sizes   string `json:"sizes"`
		Purpose string `json:"purpose,omitempty"`
	}
	content, err := json.Marshal(struct {
		Name       string `json:"name"`
		Short      string `json:"short_name"`
		Lang       string `json:"lang"`
		ID         string `json:"id"`
		Start      string `json:"start_url"`
		Scope      string `json:"scope"`
		Display    string `json:"display"`
		Background string `json:"background_color"`
		Theme      string `json:"theme_color"`
		Icons      []icon `json:"icons"`
	}{h.title, h.title, h.words.Lang, "/", "/", "/", "standalone", "#f5f0e6", "#f5f0e6", []icon{
		{"/class/mark.svg", "image/svg+xml", "any", ""},
		{"/class/icon-192.png", "image/png", "192x192", ""},
		{"/class/icon-512.png", "image/png", "512x512", ""},
		{"/class/maskable-512.png", "image/png", "512x512", "maskable"}, // its ground reaches to the edge, for systems that cut the corners
	}})
	if err != nil {
		panic(err) // strings only
	}
	return content
}
