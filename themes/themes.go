// Package themes holds what the pages look like and say: styles, scripts, signs and the
// table of fixed words, all embedded. The markup of a page lies beside what makes its view.
package themes

import (
	"embed"
	"fmt"
	"html/template"
	"io/fs"
)

//go:embed assets styles words
var files embed.FS

// Theme is a set of assets and words.
type Theme struct {
	files fs.FS
	words map[string]*Words
}

// Load reads the built-in theme. It fails on a word table that is broken.
func Load() (*Theme, error) { return load(files) }

func load(files fs.FS) (*Theme, error) {
	words, err := loadWords(files)
	if err != nil {
		return nil, err
	}
	return &Theme{files: files, words: words}, nil
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

// Styles returns the styles of a page that is one file: those of all pages, and its own by their name.
func (t *Theme) Styles(name string) ([]template.CSS, error) {
	var out []template.CSS
	for _, name := range []string{"assets/base.css", "styles/" + name} {
		content, err := fs.ReadFile(t.files, name)
		if err != nil {
			return nil, fmt.Errorf("styles: %w", err)
		}
		out = append(out, template.CSS(content))
	}
	return out, nil
}
