package page

import (
	"encoding/json"
	"fmt"

	"matchmark/themes"
)

// WordsAsset is the script that holds what the pages' scripts say in a language. It is one
// file for all pages, a script that sets a global: pages opened from a folder may not fetch.
func WordsAsset(lang string) string { return "words-" + lang + ".js" }

// WordsScript is that script: the words NAME.script.KEY by script and key.
func WordsScript(words *themes.Words) ([]byte, error) {
	table, err := json.Marshal(words.Scripts())
	if err != nil {
		return nil, fmt.Errorf("words of the scripts: %w", err)
	}
	return append(append([]byte("window.matchmarkWords = "), table...), ";\n"...), nil
}
