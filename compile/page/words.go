package page

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"golang.org/x/text/language"

	"matchmark/themes"
)

// WordsAsset is the script that holds what the pages' scripts say in a language. It is one
// file for all pages, a script that sets a global: pages opened from a folder may not fetch.
func WordsAsset(lang string) string { return "words-" + lang + ".js" }

// RightToLeft reports whether a language is written from right to left; its pages say so.
func RightToLeft(lang string) bool {
	script, _ := language.Make(lang).Script()
	return slices.Contains(rightToLeft, script.String())
}

// rightToLeft are scripts in use that are written so, by their codes in ISO 15924. Source: Unicode CLDR, scriptMetadata.txt, column RTL?.
var rightToLeft = []string{"Adlm", "Arab", "Hebr", "Nkoo", "Rohg", "Syrc", "Thaa"}

// hostScripts are those that only the class host serves, to tablets and to the board.
var hostScripts = []string{"class", "enrol", "board", "classroom", "matrix", "school"}

// BenchScripts are the scripts of the step view, and AidScripts those that it asks for once the step is there to be worked on. Each
// lot is one file, the scripts one behind the other and before them the words that they say: what they have in common packs
// better, and other pages do without.
var (
	BenchScripts = []string{"record", "photos", "job", "unfold", "findings", "measured", "repairs", "sign", "keeping", "act", "step"}
	AidScripts   = []string{"closer", "lookup", "hands", "begin"}
)

// WordsScript is that script: the words NAME.script.KEY by script and key, without those
// of the preview server and of the class host, which send their own, and of scripts that bring theirs.
func WordsScript(words *themes.Words) ([]byte, error) {
	scripts := maps.Clone(words.Scripts())
	maps.DeleteFunc(scripts, func(name string, _ map[string]string) bool {
		return strings.HasPrefix(name+".", "preview.") || slices.Contains(slices.Concat(hostScripts, BenchScripts, AidScripts), name)
	})
	table, err := json.Marshal(scripts)
	if err != nil {
		return nil, fmt.Errorf("words of the scripts: %w", err)
	}
	return append(append([]byte("window.matchmarkWords = "), table...), ";\n"...), nil
}

// HostWordsScript adds the words of the board's scripts to those of all pages.
func HostWordsScript(words *themes.Words) ([]byte, error) {
	return MoreWords(words, "board", "classroom", "matrix", "school")
}

// MoreWords is a script that adds the words of some scripts to those of all pages.
func MoreWords(words *themes.Words, scripts ...string) ([]byte, error) {
	more := map[string]map[string]string{}
	for _, name := range scripts {
		if said := words.Script(name); len(said) > 0 {
			more[name] = said
		}
	}
	table, err := json.Marshal(more)
	if err != nil {
		return nil, fmt.Errorf("words of %s: %w", strings.Join(scripts, ", "), err)
	}
	return append(append([]byte("Object.assign(window.matchmarkWords, "), table...), ");\n"...), nil
}
