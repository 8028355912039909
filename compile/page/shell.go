// Package page holds what the pages of all emitters share: the shell around
// the content, the places of pages in the site, and figures with their balloons.
package page

import (
	"fmt"
	"html/template"
	"path"
	"strings"
	"unicode/utf8"

	"matchmark/compile/output"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/themes"
)

// Shell is what stands around the content of every page. Views embed it, and
// their templates hand it to "shell-head" and "shell-foot".
type Shell struct {
	Title  string // the page's own title
	Site   string // the library's title
	Lang   string // of the fixed words, a BCP 47 tag
	Root   string // relative path to the site's root: "", "../" or "../../"
	folder string // of the page, with a slash at its end; empty at the site's root
	// Crumbs lead from the start page to this page, which is not among them.
	Crumbs []Crumb
	// Here is the page's short name at the end of the crumbs; the title when empty.
	Here string
	// Body is the class of the body element; it names the page kind.
	Body string
	// Search puts a search box into the page's header.
	Search bool
	// Styles and Scripts are names below assets/ that this page needs besides
	// the shell's own.
	Styles, Scripts []string
	Words           *themes.Words
}

// Crumb is one link of the way from the start page to a page.
type Crumb struct{ Title, Link string }

// Language makes a view that embeds the shell a themes.View.
func (s Shell) Language() string { return s.Lang }

// Heading is what the browser shows for the page: its title and, where there is room, the site's.
func (s Shell) Heading() string {
	const room = 70 // characters that a tab or a list of bookmarks shows
	both := s.Title + " · " + s.Site
	if s.Title == s.Site || utf8.RuneCountInString(both) > room {
		return s.Title
	}
	return both
}

// NewShell returns the shell of the page at a site path, with the start page as the first crumb.
func NewShell(lib *procedure.Library, words *themes.Words, at, title string) Shell {
	s := Shell{
		Title: title,
		Site:  SiteTitle(lib, words),
		Lang:  words.Lang,
		Root:  Root(at),
		Words: words,
	}
	if folder := path.Dir(at); folder != "." {
		s.folder = folder + "/"
	}
	if at != StartPath {
		s.Crumbs = []Crumb{{words.T("shell.home"), s.Link(StartPath)}}
		s.Search = true
	}
	return s
}

// SiteTitle is the library's title, or a general one when the author gave none.
func SiteTitle(lib *procedure.Library, words *themes.Words) string {
	if lib.Title != "" {
		return lib.Title
	}
	return words.T("shell.site")
}

// Link returns the relative link from this page to a site path, without the way up
// and down again for a page of the same folder: most links of most pages are such.
func (s Shell) Link(to string) string {
	if beside, ok := strings.CutPrefix(to, s.folder); ok && s.folder != "" {
		return beside
	}
	return s.Root + to
}

// Root returns the relative path from the page at a site path to the site's root.
func Root(at string) string { return strings.Repeat("../", strings.Count(path.Clean(at), "/")) }

// Markup hands an author's prose to a template. The reader made it safe.
func Markup(p procedure.Prose) template.HTML { return template.HTML(p.Markup) }

// Write renders a page and hands it to the sink.
func Write(theme *themes.Theme, out output.Sink, at, name string, view themes.View) error {
	return theme.Render(file{out, at}, name, view)
}

// file is a page's place in a sink.
type file struct {
	out output.Sink
	at  string
}

// Write implements io.Writer for a page in one piece.
func (f file) Write(page []byte) (int, error) {
	if err := f.out.Write(f.at, page); err != nil {
		return 0, fmt.Errorf("page %s: %w", f.at, err)
	}
	return len(page), nil
}

// Inline hands prose to a place that takes no paragraphs, such as a label: one
// paragraph keeps its markup, several become their plain words.
func Inline(p procedure.Prose) template.HTML {
	s := strings.TrimSpace(p.Markup)
	if inner, ok := strings.CutPrefix(s, "<p>"); ok {
		inner, ok = strings.CutSuffix(inner, "</p>")
		if ok && !strings.Contains(inner, "<p>") {
			return template.HTML(inner)
		}
	}
	if !blockMarkup(s) {
		return template.HTML(s)
	}
	return template.HTML(template.HTMLEscapeString(p.Plain()))
}

// blockMarkup reports whether markup holds an element that a label may not.
func blockMarkup(s string) bool {
	for _, tag := range []string{"<p", "<ul", "<ol", "<pre", "<blockquote", "<h1", "<h2", "<h3", "<h4", "<h5", "<h6", "<table", "<hr", "<div"} {
		if strings.Contains(s, tag) {
			return true
		}
	}
	return false
}

// Quantity writes a quantity with the decimal sign of the page's language.
func (s Shell) Quantity(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	return s.Words.WithDecimal(q.String())
}
