package say

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
)

//go:embed de.json
var german []byte

// translations are the languages other than English that messages are said in, each read when it is first asked for.
var translations = map[string]func() Language{
	"de": sync.OnceValue(func() Language { return readTranslation(german) }),
}

// Translation is the words of a language, by its code such as "de" or "de-AT"; nil, which is English, for one that nobody has translated.
func Translation(code string) Language {
	primary, _, _ := strings.Cut(strings.ToLower(code), "-")
	if read := translations[primary]; read != nil {
		return read()
	}
	return nil
}

func readTranslation(content []byte) Language {
	var l Language
	if err := json.Unmarshal(content, &l); err != nil {
		panic(fmt.Sprintf("say: the translations are damaged: %v", err)) // they are built in, and a test reads them
	}
	return l
}

// decimalSign is the key under which a language has its sign between a number's whole and its fraction.
const decimalSign = "."
