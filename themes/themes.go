// Package themes holds what the pages look like: templates, styles, scripts and
// the table of fixed words, all embedded. It knows nothing of procedures; emitters
// hand it finished views.
package themes

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"path"
	"strings"

	"matchmark/themes/render"
)

//go:embed templates assets words
var files embed.FS

// Theme is a parsed set of templates with its assets and words.
type Theme struct {
	files fs.FS
	words map[string]*Words
	// pages holds one template set per language, because the words that a
	// template asks for are bound when it is parsed.
	pages   map[string]*render.Set
	execute Execute
}

// View is what a page is made from. Language says whose words the template gets.
type View interface{ Language() string }

// Load parses the built-in theme. It fails on a template or a word table that is broken.
func Load() (*Theme, error) { return load(files) }

func load(files fs.FS) (*Theme, error) {
	words, err := loadWords(files)
	if err != nil {
		return nil, err
	}
	t := &Theme{files: files, words: words, pages: map[string]*render.Set{}, execute: (*render.Set).ExecuteTemplate}
	for lang, w := range words {
		if t.pages[lang], err = parse(files, w); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// parse reads every template below templates/. A template's name is its path
// there without ".html", such as "site/start"; parts that pages share are
// named by {{define}}.
func parse(files fs.FS, w *Words) (*render.Set, error) {
	funcs := template.FuncMap{"t": w.word, "n": w.count}
	set := template.New("").Option("missingkey=error").Funcs(funcs)
	err := fs.WalkDir(files, "templates", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".html" {
			return err
		}
		source, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		short := strings.TrimSuffix(strings.TrimPrefix(name, "templates/"), ".html")
		text, err := w.inserted(string(source))
		if err == nil {
			_, err = set.New(short).Parse(text)
		}
		if err != nil {
			return fmt.Errorf("template %s: %w", name, err)
		}
		return nil
	})
	return render.New(set, funcs), err
}

// Render writes the page that the named template makes of the view, in the view's
// language. It writes it in one piece, which the writer must not keep, and
// nothing on an error.
func (t *Theme) Render(w io.Writer, name string, view View) error {
	words, err := t.Words(view.Language())
	if err != nil {
		return err
	}
	return t.execute(t.pages[words.Lang], w, name, view)
}

// Execute makes one page of a set of templates.
type Execute func(set *render.Set, w io.Writer, name string, view any) error

// Through returns the theme with its pages made by the given function. Tests
// compare and measure what it is handed.
func (t *Theme) Through(execute Execute) *Theme {
	through := *t
	through.execute = execute
	return &through
}

// Assets returns the files that go into the site's assets folder.
func (t *Theme) Assets() fs.FS {
	sub, err := fs.Sub(t.files, "assets")
	if err != nil {
		// fs.Sub fails only for a path that is not valid, and this one is fixed.
		panic(err)
	}
	return sub
}
