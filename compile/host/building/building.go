// Package building is all that the class host takes from what builds a site: the files of the compiled site, joined to the host,
// the pages that the host makes in the same form, and words.
package building

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/procedure"
	"matchmark/themes"
)

// Building is a library that was compiled into a site.
type Building struct {
	// Words are those of the library's language, Title is the site's.
	Words *themes.Words
	Title string

	library *procedure.Library
	site    *os.Root
	theme   *themes.Theme
}

// Open opens the site in a folder that was compiled from a library. Close it after use.
func Open(lib *procedure.Library, dir string) (*Building, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	site, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("opening the site: %w", err)
	}
	return &Building{Words: words, Title: page.SiteTitle(lib, words), library: lib, site: site, theme: theme}, nil
}

// Close lets go of the site.
func (b *Building) Close() error { return b.site.Close() }

// exceptions are what a page may do at the host besides its own rule: send and
// fetch records, and be kept for later.
const exceptions = "connect-src 'self'; worker-src 'self'; manifest-src 'self'; "

// Handover is the rule by which a page of the site may hand what it kept over to another address of the host, by a form; the learner types the address.
const NoForm, Handover = "form-action 'none'", "form-action http: https:"

// ownFiles are what tablets get from the host, besides the site's. Each page has the photos at hand, so that
// the record of a job goes out whole, whichever page is open.
var ownFiles = map[string]string{
	"class.js": "class.js", "class.css": "class.css", "outbox.js": "outbox.js", "enrol.js": "enrol.js", "code.js": "code.js", "arrive.js": "arrive.js", "photos.js": "photos.js", "worker.js": "worker.js", "mark.svg": "mark.svg",
	"icon-192.png": "class.icon-192.png", "icon-512.png": "class.icon-512.png", "maskable-512.png": "class.maskable-512.png",
}

// File returns a file of the site, and nothing from outside of it; a page gets what joins it to the host. What the host's
// own pages need of the theme lies among the site's assets. The error is fs.ErrNotExist for what is not there.
func (b *Building) File(name string) ([]byte, error) {
	if output.CheckPath(name) != nil {
		return nil, fs.ErrNotExist
	}
	content, err := b.site.ReadFile(name)
	if own, is := strings.CutPrefix(name, "assets/"); err != nil && is {
		return b.asset(own)
	}
	if err == nil && path.Ext(name) == ".html" {
		content = b.joined(content)
	}
	return content, err
}

// Has reports whether the site has a file.
func (b *Building) Has(name string) bool {
	info, err := b.site.Stat(name)
	return err == nil && info.Mode().IsRegular() && output.CheckPath(name) == nil
}

// IsKey reports whether a file of the site is the answer key of a quiz, QUIZ-FOLDER/key.html. It asks the
// file system, which may know the file by more names: capitals for small letters, a dot at the end, a short name.
func (b *Building) IsKey(name string) bool {
	if strings.Count(name, "/") != 2 {
		return false
	}
	asked, err := b.site.Stat(name)
	if err != nil {
		return false
	}
	key, err := b.site.Stat(path.Dir(name) + "/key.html")
	return err == nil && os.SameFile(asked, key)
}

// Own returns a script or another file of the host's own, by its name in the folder class/.
func (b *Building) Own(name string) ([]byte, error) {
	if name == "manifest.webmanifest" {
		return b.manifest(), nil
	}
	return b.asset(ownFiles[name])
}

// OfBoard returns a file of the board's, by its name in the folder board/.
func (b *Building) OfBoard(name string) ([]byte, error) {
	switch name {
	case "words-" + b.Words.Lang + ".js":
		return page.HostWordsScript(b.Words)
	case "board.js", "classroom.js", "matrix.js", "board.css", "school.js":
		return b.asset(name)
	}
	return nil, fs.ErrNotExist
}

// asset reads a file of the theme.
func (b *Building) asset(name string) ([]byte, error) { return fs.ReadFile(b.theme.Assets(), name) }

// joined adds to a page of the site what joins it to the host.
func (b *Building) joined(content []byte) []byte {
	words := b.Words
	if w, err := b.theme.Words(served.Language(content)); err == nil {
		words = w
	}
	data, err := json.Marshal(struct {
		Words map[string]map[string]string `json:"words"`
	}{map[string]map[string]string{"class": words.Script("class"), "enrol": words.Script("enrol")}})
	if err != nil {
		panic(err) // strings only
	}
	photos := "<script src=\"/class/photos.js\" defer></script>\n"
	if bytes.Contains(content, []byte("/bench.js\"")) {
		photos = ""
	}
	content = bytes.Replace(content, []byte(NoForm), []byte(Handover), 1) // in the page's own rule, which stands first in it
	return served.WithHead(content, `<link rel="manifest" href="/class/manifest.webmanifest">
<link rel="stylesheet" href="/class/class.css">
<script type="application/json" id="ui_class_data">`+string(data)+`</script>
`+photos+`<script src="/class/outbox.js" defer></script>
<script src="/class/code.js" defer></script>
<script src="/class/enrol.js" defer></script>
<script src="/class/class.js" defer></script>
`, exceptions)
}

// manifest lets a browser install the site.
// Source: W3C, Web Application Manifest.
func (b *Building) manifest() []byte {
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
	}{b.Title, b.Title, b.Words.Lang, "/", "/", "/", "standalone", "#f5f0e6", "#f5f0e6", []icon{
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
