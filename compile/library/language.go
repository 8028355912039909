package library

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/themes"
)

var unknownLanguage = diagnostic.Rule{
	Code: "unknown-language", Severity: diagnostic.Error, Title: "No words in this language",
	Wrong: "The library's language is one that the pages' fixed words have not been written in.",
	Why:   "Buttons and cautions would be empty.",
	Do:    "Use a language that is there, or add its words to the theme.",
}

// CheckLanguage reports a language that the theme has no words for.
func CheckLanguage(lib *procedure.Library, log *diagnostic.Log) error {
	languages, err := themes.Languages()
	if err != nil {
		return fmt.Errorf("listing the languages of the theme: %w", err)
	}
	if slices.Contains(languages, themes.Primary(lib.Language)) {
		return nil
	}
	add(log, unknownLanguage, diagnostic.Diagnostic{
		Span:   lib.LanguageSpan,
		Wrong:  say.That("the pages have no words in the language %language", say.Quote(lib.Language)),
		Advice: say.That("Use one of: %words.", say.Each[say.Word](say.Commas, languages)),
	})
	return nil
}

// Rules documents the codes of this package.
func Rules() []diagnostic.Rule { return append(figureRules(), unknownLanguage) }
