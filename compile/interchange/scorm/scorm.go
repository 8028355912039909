// Package scorm makes the files of a SCORM 1.2 package of a quiz: the site's own
// quiz page, what it needs, and a script that talks to the learning system.
//
// Source: ADL, Sharable Content Object Reference Model 1.2 (2001).
package scorm

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/quizpage"
	"matchmark/procedure"
	"matchmark/themes"
)

// script is the asset that talks to the learning system, and before is the one
// that it must run ahead of.
const (
	script = "scorm.js"
	before = "quiz.js"
)

// Files returns the package's files by name. The pictures are those of the
// quiz's figures by library path, pictureFiles their files by site path.
func Files(lib *procedure.Library, q *procedure.Quiz, pictures map[string]*picture.Picture, pictureFiles map[string][]byte, theme *themes.Theme) (map[string][]byte, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	at := page.QuizPath(q)
	content, err := takePage(lib, q, pictures, theme)
	if err != nil {
		return nil, err
	}
	alone, needs, err := rewriter{at: at, address: lib.Address}.rewrite(content)
	if err != nil {
		return nil, fmt.Errorf("page %s: %w", at, err)
	}
	files := map[string][]byte{at: alone}
	for _, name := range needs {
		content, there := pictureFiles[name]
		switch asset, ok := strings.CutPrefix(name, "assets/"); {
		case ok && asset == page.WordsAsset(words.Lang):
			content, err = page.WordsScript(words)
			there = err == nil
		case ok:
			content, err = fs.ReadFile(theme.Assets(), asset)
			there = err == nil
		}
		if !there {
			return nil, fmt.Errorf("page %s needs %s, which is not there", at, name)
		}
		files[name] = content
	}
	files["imsmanifest.xml"] = manifest(q, at, slices.Sorted(maps.Keys(files)))
	return files, nil
}

// takePage is the page of the site on which the quiz is taken.
func takePage(lib *procedure.Library, q *procedure.Quiz, pictures map[string]*picture.Picture, theme *themes.Theme) ([]byte, error) {
	one := *lib
	one.Quizzes = []*procedure.Quiz{q}
	var out output.Memory
	if err := quizpage.Emit(&one, pictures, theme, &out); err != nil {
		return nil, err
	}
	return out.Files()[page.QuizPath(q)], nil
}
