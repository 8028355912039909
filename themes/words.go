package themes

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"

	"matchmark/procedure/decimal"
)

// Words is the table of fixed words of the pages in one language.
type Words struct {
	// Lang is the table's language, a BCP 47 primary tag such as "en".
	Lang  string
	tag   language.Tag
	table map[string]string
	// decimal is the decimal sign, which pages ask for more often than for any other word.
	decimal string
	// scripts holds the words of each script.
	scripts map[string]map[string]string
}

func loadWords(files fs.FS) (map[string]*Words, error) {
	names, err := fs.Glob(files, wordFiles)
	if err != nil {
		return nil, err
	}
	out := map[string]*Words{}
	for _, name := range names {
		source, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		w := &Words{Lang: languageOf(name), tag: language.Make(languageOf(name)), table: map[string]string{}}
		if err := yaml.Unmarshal(source, &w.table); err != nil {
			return nil, fmt.Errorf("words of %s: %w", w.Lang, err)
		}
		w.decimal, w.scripts = w.T("number.decimal"), scriptWords(w.table)
		out[w.Lang] = w
	}
	return out, nil
}

// Words returns the words for a language tag; "de-AT" is served with the words of "de".
func (t *Theme) Words(lang string) (*Words, error) {
	if w, ok := t.words[Primary(lang)]; ok {
		return w, nil
	}
	return nil, fmt.Errorf("there are no words for the language %q; there are words for %s", lang, strings.Join(t.Languages(), ", "))
}

// Languages lists the languages that there are words for.
func (t *Theme) Languages() []string {
	var out []string
	for lang := range t.words {
		out = append(out, lang)
	}
	slices.Sort(out)
	return out
}

// Languages lists the languages that the built-in theme has words for, without loading it.
func Languages() ([]string, error) {
	names, err := fs.Glob(files, wordFiles)
	for i, name := range names {
		names[i] = languageOf(name)
	}
	return names, err
}

// Primary returns the language of a tag: "de" of "de-AT".
func Primary(tag string) string {
	primary, _, _ := strings.Cut(strings.ToLower(tag), "-")
	return primary
}

// wordFiles are the tables of fixed words, one a language.
const wordFiles = "words/*.yaml"

func languageOf(file string) string { return strings.TrimSuffix(path.Base(file), ".yaml") }

// Has reports whether the table has the key.
func (w *Words) Has(key string) bool {
	_, ok := w.table[key]
	return ok
}

// T returns the words for a key with {0}, {1} ... replaced by the arguments.
// A key that is not in the table shows as itself in brackets: a test makes
// sure that this never reaches a page.
func (w *Words) T(key string, args ...any) string {
	s, ok := w.table[key]
	if !ok {
		return "[" + key + "]"
	}
	return filled(s, args)
}

// filled puts arguments into words.
func filled(s string, args []any) string {
	if len(args) == 0 {
		return s
	}
	var room [128]byte // on the stack, enough for nearly all words
	out := room[:0]
	for {
		i := strings.IndexByte(s, '{')
		if i < 0 || i+2 >= len(s) {
			return string(append(out, s...))
		}
		place := int(s[i+1]) - '0'
		if place < 0 || place >= len(args) || s[i+2] != '}' {
			out, s = append(out, s[:i+1]...), s[i+1:]
			continue
		}
		out, s = appendValue(append(out, s[:i]...), args[place]), s[i+3:]
	}
}

// appendValue appends what fmt prints of a value.
func appendValue(out []byte, value any) []byte {
	switch value := value.(type) {
	case string:
		return append(out, value...)
	case int:
		return strconv.AppendInt(out, int64(value), 10)
	}
	return fmt.Append(out, value)
}

// Count returns the words for a number of things, with {0} the number: KEY.one, KEY.few and so on, whichever form the
// language takes for that number, or KEY.other if the table lacks that form.
func (w *Words) Count(key string, n int, args ...any) string {
	form := key + "." + w.form(n)
	if !w.Has(form) {
		form = key + ".other"
	}
	return w.T(form, append([]any{n}, args...)...)
}

// forms are the names that CLDR gives to the forms of words that go with a number.
var forms = map[plural.Form]string{plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other"}

// form is the form that the language takes for a whole number.
func (w *Words) form(n int) string {
	return forms[plural.Cardinal.MatchPlural(w.tag, n, 0, 0, 0, 0)]
}

// WithDecimal puts the decimal sign of the language into a number that is written with a point.
func (w *Words) WithDecimal(number string) string { return strings.Replace(number, ".", w.decimal, 1) }

// Number writes a number with at most the given digits after the decimal sign of the language, halves rounded away from zero.
func (w *Words) Number(x float64, digits int) string {
	s := decimal.Format(x, digits)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return w.WithDecimal(s)
}

// Script returns the words that a script asks for: for the script "step" the
// keys "step.script.X" under their short names X. The map must not be changed.
func (w *Words) Script(name string) map[string]string { return w.scripts[name] }

// Scripts returns the words of all scripts, by script. The map must not be changed.
func (w *Words) Scripts() map[string]map[string]string { return w.scripts }

func scriptWords(table map[string]string) map[string]map[string]string {
	out := map[string]map[string]string{}
	for key, s := range table {
		name, short, ok := strings.Cut(key, ".script.")
		if !ok {
			continue
		}
		if out[name] == nil {
			out[name] = map[string]string{}
		}
		out[name][short] = s
	}
	return out
}
