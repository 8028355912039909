package page

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"matchmark/themes"
)

// WordsAsset is the script that holds what the pages' scripts say in a language. It is one
// file for all pages, a script that sets a global: pages opened from a folder may not fetch.
func WordsAsset(lang string) string { return "words-" + lang + ".js" }

// hostScripts are those that only the class host serves, to tablets and to the board.
var hostScripts = []string{"class", "enrol", "board", "classroom", "matrix"}

// WordsScript is that script: the words NAME.script.KEY by script and key, without those
// of the preview server and of the class host, which send their own.
func WordsScript(words *themes.Words) ([]byte, error) {
	scripts := maps.Clone(words.Scripts())
	maps.DeleteFunc(scripts, func(name string, _ map[string]string) bool {
		return strings.HasPrefix(name+".", "preview.") || slices.Contains(hostScripts, name)
	})
	table, err := json.Marshal(scripts)
	if err != nil {
		return nil, fmt.Errorf("words of the scripts: %w", err)
	}
	return append(append([]byte("window.matchmarkWords = "), table...), ";\n"...), nil
}

// HostWordsScript adds the words of the board's scripts to those of all pages.
func HostWordsScript(words *themes.Words) ([]byte, error) {
	table, err := json.Marshal(map[string]map[string]string{"board": words.Script("board"), "classroom": words.Script("classroom"), "matrix": words.Script("matrix"), "school": words.Script("school")})
	if err != nil {
		return nil, fmt.Errorf("words of the board: %w", err)
	}
	return append(append([]byte("Object.assign(window.matchmarkWords, "), table...), ");\n"...), nil
}
