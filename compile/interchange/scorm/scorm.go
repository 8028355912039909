// Package scorm makes the files of a SCORM 1.2 package of a quiz: the quiz's page by itself,
// what it loads, and a script that talks to the learning system.
//
// Source: ADL, Sharable Content Object Reference Model 1.2 (2001).
package scorm

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/quizpage"
	"matchmark/procedure"
	"matchmark/themes"
)

// script is the asset that talks to the learning system.
const script = "scorm.js"

// Files returns the package's files by name. The pictures are those of the
// quiz's figures by library path, pictureFiles their files by site path.
func Files(lib *procedure.Library, q *procedure.Quiz, pictures map[string]*picture.Picture, pictureFiles map[string][]byte, theme *themes.Theme) (map[string][]byte, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	at := page.QuizPath(q)
	content, assets, err := quizpage.Alone(lib, pictures, words, q, script)
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{at: content}
	maps.Copy(files, pictureFiles)
	for _, asset := range assets {
		content, err := fs.ReadFile(theme.Assets(), asset)
		if asset == page.WordsAsset(words.Lang) {
			content, err = page.WordsScript(words)
		}
		if err != nil {
			return nil, fmt.Errorf("page %s needs %s: %w", at, asset, err)
		}
		files[page.AssetPath(asset)] = content
	}
	files["imsmanifest.xml"] = manifest(q, at, slices.Sorted(maps.Keys(files)))
	return files, nil
}
