package preview

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"net/http"
	"os"
	"path"
	"strings"
	"time"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/themes"
)

// servePage sends a file of the site; a page gets the panel.
func (s *Server) servePage(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" || strings.HasSuffix(name, "/") {
		name += "index.html"
	}
	// The state first: when a compile comes between, the page is reloaded once
	// too often and not once too little.
	state, _ := s.current()
	content, err := s.read(name)
	switch {
	case err == nil:
		served.Send(w, r, name, s.withPanel(name, content, state))
	case path.Ext(name) == "" && s.has(name+"/index.html"):
		http.Redirect(w, r, r.URL.EscapedPath()+"/", http.StatusSeeOther)
	case path.Ext(name) == ".html" || path.Ext(name) == "":
		s.serveMissing(w, r, state)
	default:
		http.Error(w, "There is no such file.", http.StatusNotFound)
	}
}

// serveAsset sends a file of the panel.
func (s *Server) serveAsset(w http.ResponseWriter, r *http.Request, name string) {
	content, err := fs.ReadFile(s.theme.Assets(), name)
	if err != nil {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	served.Send(w, r, name, content)
}

// read returns a file of the site. Links that lead out of the site's folder are not followed.
func (s *Server) read(name string) ([]byte, error) {
	if output.CheckPath(name) != nil {
		return nil, fs.ErrNotExist
	}
	s.placing.RLock()
	defer s.placing.RUnlock()
	root, err := s.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	return root.ReadFile(name)
}

func (s *Server) has(name string) bool {
	_, err := s.read(name)
	return err == nil
}

// open opens the site's folder, which a compile replaces by another. Where the
// system cannot do that in one move, the folder is away for a moment.
func (s *Server) open() (root *os.Root, err error) {
	for range 5 {
		if root, err = os.OpenRoot(s.site); err == nil {
			return root, nil
		}
		time.Sleep(5 * time.Millisecond)
	}
	return nil, err
}

// panelData is what the panel's scripts get.
type panelData struct {
	State    json.RawMessage   `json:"state"`
	Words    map[string]string `json:"words"`
	Balloons *balloonData      `json:"balloons,omitempty"`
}

// balloonData is for a page whose balloons can be moved; Page is its path in the site.
type balloonData struct {
	Page  string            `json:"page"`
	Words map[string]string `json:"words"`
}

// withPanel adds to a page what shows the messages and reloads it; other files
// stay as they are. The page's rule on what it may load gets one exception: the
// server's own events.
func (s *Server) withPanel(name string, page, state []byte) []byte {
	if path.Ext(name) != ".html" {
		return page
	}
	words := s.words(page)
	data := panelData{State: state, Words: words.Script("preview")}
	scripts := []string{"preview.js"}
	if s.author != nil && hasFigures(name) {
		data.Balloons = &balloonData{name, words.Script("preview.balloons")}
		scripts = append(scripts, "preview.balloons.js")
	}
	encoded, err := json.Marshal(data)
	if err != nil {
		panic(err) // the state is JSON that we made, the words are strings
	}
	panel := `<link rel="stylesheet" href="` + own + `preview.css">
<script type="application/json" id="ui_preview_data">` + string(encoded) + `</script>
`
	for _, script := range scripts {
		panel += `<script src="` + own + script + `" defer></script>
`
	}
	return served.WithHead(page, panel, "connect-src 'self'; ")
}

// words are those of a page's language, or English.
func (s *Server) words(page []byte) *themes.Words {
	if words, err := s.theme.Words(served.Language(page)); err == nil {
		return words
	}
	words, err := s.theme.Words("en")
	if err != nil {
		panic(err) // the theme always has English
	}
	return words
}

// serveMissing answers for a page that the site does not have, or for any when
// there is no site yet. The answer has the panel too, and so goes on to the real
// page by itself.
func (s *Server) serveMissing(w http.ResponseWriter, r *http.Request, state []byte) {
	start, err := s.read("index.html")
	words := s.words(start)
	title, advice := words.T("preview.nosite"), words.T("preview.nosite.advice")
	if err == nil {
		title, advice = words.T("preview.nopage"), words.T("preview.nopage.advice")
	}
	var content bytes.Buffer
	if err := page.Render(&content, missingPage(words, title, advice, err == nil)); err != nil {
		http.Error(w, "There is no such page.", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.WriteHeader(http.StatusNotFound)
	w.Write(s.withPanel("missing.html", content.Bytes(), state))
}

// seen is the site as the page to write in asks about it.
type seen struct{ server *Server }

// Words are those of the site's language.
func (s seen) Words() *themes.Words {
	start, err := s.server.read("index.html")
	if err != nil {
		start = nil // there is no site yet
	}
	return s.server.words(start)
}

// Page is the first of some pages that the site has.
func (s seen) Page(patterns ...string) string {
	s.server.placing.RLock()
	defer s.server.placing.RUnlock()
	root, err := s.server.open()
	if err != nil {
		return ""
	}
	defer root.Close()
	for _, pattern := range patterns {
		if found, err := fs.Glob(root.FS(), pattern); err == nil && len(found) > 0 {
			return found[0]
		}
	}
	return ""
}
