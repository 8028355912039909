// Package compile turns a library into a site: it loads, checks, works out and
// hands the result to the emitters. It prints nothing.
package compile

import (
	"fmt"
	"io/fs"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
	"matchmark/themes"
)

// Load reads and checks a library. Faults of the author's go to the log; the
// error is the world's, such as a folder that cannot be read.
func Load(fsys fs.FS, log *diagnostic.Log) (*procedure.Library, error) {
	read, err := source.Read(fsys, log)
	if err != nil {
		return nil, err
	}
	lib := read.Resolve(log)
	check.Library(lib, log)
	checkFigures(fsys, lib, log)
	if err := checkLanguage(lib, log); err != nil {
		return nil, err
	}
	// The order of work is judged once every name leads somewhere: a mistyped
	// name would otherwise show as a part that hangs on nothing.
	if !log.HasErrors() {
		checkOrder(lib, log)
	}
	log.Allow(lib.Files)
	return lib, nil
}

var unknownLanguage = diagnostic.Rule{
	Code: "unknown-language", Severity: diagnostic.Error, Title: "No words in this language",
	Wrong: "The library's language is one that the pages' fixed words have not been written in.",
	Why:   "Buttons and cautions would be empty.",
	Do:    "Use a language that is there, or add its words to the theme.",
}

// checkLanguage reports a language that the theme has no words for.
func checkLanguage(lib *procedure.Library, log *diagnostic.Log) error {
	theme, err := themes.Load()
	if err != nil {
		return &InternalError{fmt.Errorf("loading the theme: %w", err)}
	}
	if _, err := theme.Words(lib.Language); err == nil {
		return nil
	}
	add(log, unknownLanguage, diagnostic.Diagnostic{
		Span:    lib.LanguageSpan,
		Message: fmt.Sprintf("the pages have no words in the language %q", lib.Language),
		Do:      "Use one of: " + strings.Join(theme.Languages(), ", ") + ".",
	})
	return nil
}

// Rules documents the codes that need files other than the sources.
func Rules() []diagnostic.Rule { return append(figureRules(), unknownLanguage) }

// checkOrder carries the machine's state through every procedure, on all processors.
func checkOrder(lib *procedure.Library, log *diagnostic.Log) {
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) { order.Run(lib.Procedures[i], refit.AdditionsOf(lib.Procedures[i]), log) })
}
