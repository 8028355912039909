package host

import (
	"net/http"
	"net/url"
	"path"
	"strings"

	"matchmark/compile/host/building"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
	"matchmark/compile/served"
)

// servePage sends a file of the site; a page gets what joins it to the host.
func (h *Host) servePage(w http.ResponseWriter, r *http.Request) error {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" || strings.HasSuffix(name, "/") {
		name += "index.html"
	}
	content, err := h.site.File(name)
	switch {
	case err == nil:
	case path.Ext(name) == "" && h.site.Has(name+"/index.html"):
		http.Redirect(w, r, r.URL.EscapedPath()+"/", http.StatusSeeOther)
		return nil
	default:
		return errMissing
	}
	control := mayKeep
	if h.site.IsKey(name) {
		if _, _, trainer := h.session(r); !trainer {
			return h.onlyTrainer(w, r, "key")
		}
		control = mustNotKeep
	}
	if path.Ext(name) == ".html" && control == mayKeep {
		w.Header().Set("Content-Security-Policy", strings.Replace(guard.SitePolicy(), building.NoForm, building.Handover, 1))
		w.Header().Set("X-Frame-Options", "SAMEORIGIN")
	}
	return h.send(w, r, name, content, control)
}

// What a browser does with a file: it may keep it but has to ask about it; or, with a
// key, which whoever has the tablet next must not find there, nothing keeps it.
const mayKeep, mustNotKeep = "no-cache", "no-store"

// send sends a file, to be kept or not.
func (h *Host) send(w http.ResponseWriter, r *http.Request, name string, content []byte, control string) error {
	w.Header().Set("Cache-Control", control)
	w.Header().Set("ETag", tag(content))
	served.Send(w, r, name, content)
	return nil
}

// missing answers for what is not there: for people who look for a page, with a way on.
func (h *Host) missing(w http.ResponseWriter, r *http.Request) error {
	if !wantsPage(r) {
		return no(http.StatusNotFound, "unknown")
	}
	content, err := h.site.Missing()
	return h.sendPage(w, r, http.StatusNotFound, content, err)
}

// onlyTrainer answers whoever has not signed in: people who look for a page are told why, and
// where to sign in. why is "key" or "board".
func (h *Host) onlyTrainer(w http.ResponseWriter, r *http.Request, why string) error {
	if !wantsPage(r) || r.Method != http.MethodGet {
		return no(http.StatusUnauthorized, "session")
	}
	board := url.URL{Path: "/board/", RawQuery: url.Values{"to": {r.URL.Path}}.Encode()}
	content, err := h.site.OnlyTrainer(why, board.String())
	return h.sendPage(w, r, http.StatusUnauthorized, content, err)
}

// wantsPage reports whether a person looks for a page, rather than a script for an answer.
func wantsPage(r *http.Request) bool { return strings.Contains(r.Header.Get("Accept"), "text/html") }

// sendPage sends a page that nobody keeps, unless it could not be made.
func (h *Host) sendPage(w http.ResponseWriter, r *http.Request, status int, content []byte, err error) error {
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(content) // whoever has gone needs no answer
	}
	return nil
}

// serveOwn sends the host's scripts and the manifest.
func (h *Host) serveOwn(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("file")
	content, err := h.site.Own(name)
	if err != nil {
		return store.ErrUnknown
	}
	if name == "worker.js" {
		// Source: W3C, Service Workers, "Service-Worker-Allowed".
		w.Header().Set("Service-Worker-Allowed", "/")
	}
	return h.send(w, r, name, content, mayKeep)
}
