// Package page holds what the pages of all emitters share: the shell around
// the content, the places of pages in the site, and figures with their balloons.
package page

import (
	"cmp"
	"html/template"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/xhtml"
	"matchmark/themes"
)

// Shell is what stands around the content of every page. Views embed it, and
// their pages hand it to Site or Lone.
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
	// Alone is true for a page that lies by itself: nothing leads from it to other pages of
	// the site, but for ways to where the site is served, at Address, if anybody knows.
	Alone   bool
	Address string
	// Framing is true for a page that opens others of the site in frames.
	Framing bool
	// Styles and Scripts are names below assets/ that this page needs besides
	// the shell's own.
	Styles, Scripts []string
	Words           *themes.Words
}

// Crumb is one link of the way from the start page to a page.
type Crumb struct{ Title, Link string }

// Heading is what the browser shows for the page: its title and, where there is room, the site's.
func (s Shell) Heading() string {
	const room = 70 // characters that a tab or a list of bookmarks shows
	both := s.Title + " · " + s.Site
	if s.Title == s.Site || utf8.RuneCountInString(both) > room {
		return s.Title
	}
	return both
}

// isStart reports whether the page is the start page, which alone leads authors to the reference.
func (s Shell) isStart() bool { return !s.Alone && len(s.Crumbs) == 0 }

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

// Way returns the link to another page of the site; empty where that page cannot be reached.
func (s Shell) Way(to string) string {
	switch {
	case !s.Alone:
		return s.Link(to)
	case s.Address == "":
		return ""
	}
	return strings.TrimSuffix(s.Address, "/") + "/" + to
}

// Assets are the names below assets/ of all that a page by itself loads.
func (s Shell) Assets() []string {
	return slices.Concat([]string{"mark.svg", "base.css", "theme.js", WordsAsset(s.Lang), "shell.js"}, s.Styles, s.Scripts)
}

// Root returns the relative path from the page at a site path to the site's root.
func Root(at string) string { return strings.Repeat("../", strings.Count(path.Clean(at), "/")) }

// Markup hands an author's prose to a page, as elements that are safe on a page.
func Markup(p procedure.Prose) template.HTML { return template.HTML(xhtml.String(p.Nodes)) }

// Caution is what stands behind a signal word.
type Caution struct {
	Signal procedure.Signal
	Text   template.HTML
	// Standing is true for one that holds for a whole chapter.
	Standing bool
}

// Inline hands prose to a place that takes no paragraphs, such as a label.
func Inline(p procedure.Prose) template.HTML { return Markup(p.Inline()) }

// Quantity writes a quantity with the decimal sign of the page's language.
func (s Shell) Quantity(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	return s.Words.WithDecimal(q.String())
}

// StepTool names something that a step needs: with the amount that it uses up, or the revision of a document.
func (s Shell) StepTool(name string, of *procedure.Thing, used measure.Quantity) string {
	if of != nil && of.Tool != nil {
		name = s.Revised(of.Tool)
	}
	if used.IsZero() {
		return name
	}
	return name + " " + s.Quantity(used)
}

// Revised is a tool's name, of a document with its revision.
func (s Shell) Revised(t *procedure.Tool) string {
	if t.Revision == "" {
		return t.Name
	}
	return s.Words.T("document.revision", t.Name, t.Revision)
}

// here is the page's short name at the end of the crumbs.
func (s Shell) here() string { return cmp.Or(s.Here, s.Title) }
