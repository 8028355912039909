package page

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"matchmark/themes"
)

// WordsAsset is the script that holds what the pages' scripts say in a language. It is one
// file for all pages, a script that sets a global: pages opened from a folder may not fetch.
func WordsAsset(lang string) string { return "words-" + lang + ".js" }

// WordsScript is that script: the words NAME.script.KEY by script and key, without those
// of the preview server, which sends its own.
func WordsScript(words *themes.Words) ([]byte, error) {
	scripts := maps.Clone(words.Scripts())
	maps.DeleteFunc(scripts, func(name string, _ map[string]string) bool { return strings.HasPrefix(name+".", "preview.") })
	table, err := json.Marshal(scripts)
	if err != nil {
		return nil, fmt.Errorf("words of the scripts: %w", err)
	}
	return append(append([]byte("window.matchmarkWords = "), table...), ";\n"...), nil
}
