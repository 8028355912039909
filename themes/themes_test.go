package themes

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
)

func TestLoad(t *testing.T) {
	theme, err := Load()
	assert.NilError(t, err)
	if got := theme.Languages(); !slices.Equal(got, []string{"de", "en"}) {
		t.Errorf("languages %v", got)
	}
	if _, err := fs.Stat(theme.Assets(), "base.css"); err != nil {
		t.Error(err)
	}
}

func TestBrokenWordsAreRefused(t *testing.T) {
	if _, err := load(fstest.MapFS{"words/en.yaml": {Data: []byte("a: b\na: c\n")}}); err == nil {
		t.Error("a broken table of words was taken")
	}
}

func TestWordsOfALanguage(t *testing.T) {
	theme, err := load(fstest.MapFS{"words/en.yaml": {Data: []byte("step.one: one step\nstep.other: \"{0} steps\"\n")}})
	assert.NilError(t, err)
	words, err := theme.Words("en-GB")
	assert.NilError(t, err)
	if got, want := words.Count("step", 1)+", "+words.Count("step", 3), "one step, 3 steps"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if _, err := theme.Words("fr"); err == nil || !strings.Contains(err.Error(), "there are words for en") {
		t.Errorf("unknown language: %v", err)
	}
}

// The whole numbers that CLDR gives as samples of each form (plurals.xml, @integer; release 32, as in
// golang.org/x/text/feature/plural/data_test.go), and English and German beside them.
func TestWordsWithANumberByCLDR(t *testing.T) {
	table := ""
	for _, form := range []string{"zero", "one", "two", "few", "many", "other"} {
		table += "step." + form + ": \"{0} " + form + " {1}\"\n"
	}
	theme, err := load(fstest.MapFS{"words/cs.yaml": {Data: []byte(table)}, "words/pl.yaml": {Data: []byte(table)}, "words/ar.yaml": {Data: []byte(table)},
		"words/de.yaml": {Data: []byte("step.one: one\nstep.other: other {0}\n")}, "words/ru.yaml": {Data: []byte("step.one: one\nstep.other: other {0}\n")}})
	assert.NilError(t, err)
	for _, c := range []struct {
		lang, form string
		numbers    []int
	}{
		{"cs", "one", []int{1}},
		{"cs", "few", []int{2, 3, 4}},
		{"cs", "other", []int{0, 5, 12, 19, 100, 1000, 10000, 100000, 1000000}},
		{"pl", "one", []int{1}},
		{"pl", "few", []int{2, 3, 4, 22, 24, 32, 34, 42, 44, 52, 54, 62, 102, 1002}},
		{"pl", "many", []int{0, 5, 12, 19, 100, 1000, 10000, 100000, 1000000}},
		{"ar", "zero", []int{0}},
		{"ar", "one", []int{1}},
		{"ar", "two", []int{2}},
		{"ar", "few", []int{3, 10, 103, 110, 1003}},
		{"ar", "many", []int{11, 26, 111, 1011}},
		{"ar", "other", []int{100, 102, 200, 202, 300, 302, 400, 402, 500, 502, 600, 1000, 10000, 100000, 1000000}},
	} {
		words, err := theme.Words(c.lang)
		assert.NilError(t, err)
		for _, n := range c.numbers {
			if got, want := words.Count("step", n, "x"), fmt.Sprint(n, " ", c.form, " x"); got != want {
				t.Errorf("%s: %q, want %q", c.lang, got, want)
			}
		}
	}
	// A form that a table lacks is that of KEY.other: German takes one and other, Russian few for 3.
	for lang, want := range map[string]string{"de": "other 0, one, other 3", "ru": "other 0, one, other 3"} {
		words, err := theme.Words(lang)
		assert.NilError(t, err)
		if got := words.Count("step", 0) + ", " + words.Count("step", 1) + ", " + words.Count("step", 3); got != want {
			t.Errorf("%s: %q, want %q", lang, got, want)
		}
	}
}

func TestStylesOfAFile(t *testing.T) {
	theme, err := Load()
	assert.NilError(t, err)
	for _, name := range []string{"result.css", "compare.css"} {
		if styles, err := theme.Styles(name); err != nil || len(styles) != 2 {
			t.Errorf("%s: %d sheets, %v", name, len(styles), err)
		}
	}
	if _, err := theme.Styles("none.css"); err == nil {
		t.Error("styles were found that there are not")
	}
}

func TestNumber(t *testing.T) {
	w := &Words{decimal: ","}
	for x, want := range map[float64]string{4.5: "4,5", 4: "4", 100: "100", -0.01: "0", 1.25: "1,3"} {
		if got := w.Number(x, 1); got != want {
			t.Errorf("%v: got %q, want %q", x, got, want)
		}
	}
}

func TestWordsWithValues(t *testing.T) {
	w := &Words{table: map[string]string{
		"two": "{0} of {1}, {0}", "late": "{1}{0}", "other": "{a} { {} {2} {0", "none": "{", "end": "é{0}",
	}}
	for _, c := range []struct {
		key  string
		args []any
		want string
	}{
		{"two", []any{2, "bolts"}, "2 of bolts, 2"},
		{"two", []any{"{1}", "{0}"}, "{1} of {0}, {1}"}, // a value is not looked into
		{"late", []any{1.5, true}, "true1.5"},
		{"two", []any{2}, "2 of {1}, 2"},
		{"two", nil, "{0} of {1}, {0}"},
		{"other", []any{"x"}, "{a} { {} {2} {0"},
		{"none", []any{"x"}, "{"},
		{"end", []any{errors.New("x")}, "éx"},
		{"unknown", []any{"x"}, "[unknown]"},
	} {
		if got := w.T(c.key, c.args...); got != c.want {
			t.Errorf("%s of %v: %q, want %q", c.key, c.args, got, c.want)
		}
	}
}

// A key is used by .T("key") or .Count("key") in Go, which the markup of the pages
// is turned into, and say("key") or say.count("key") in a script. A key
// put together in Go is written as a constant start that ends in a dot:
// .T("verb." + ...) uses the whole family. Derived steps and made questions have
// theirs under names of their own.
var (
	goUse     = regexp.MustCompile(`\.(T|Count)\("([a-z0-9.-]+)"`)
	ownUse    = regexp.MustCompile(`()"((?:refit|quiz\.made)\.[a-z0-9.-]+)"`)
	scriptUse = regexp.MustCompile(`\bsay(\.count)?\("([a-z0-9.-]+)"`)
)

func TestEveryKeyIsUsedAndThere(t *testing.T) {
	theme, err := Load()
	assert.NilError(t, err)
	used, counted, families := map[string]string{}, map[string]string{}, map[string]string{}
	use := func(key string, counts bool, where string) {
		switch {
		case strings.HasSuffix(key, "."):
			families[key] = where
		case counts:
			counted[key] = where
		default:
			used[key] = where
		}
	}
	scan := func(root string, ext string, expr *regexp.Regexp, prefix func(name string) string) {
		err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || path.Ext(name) != ext || strings.HasSuffix(name, "_test.go") {
				return err
			}
			source, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			for _, m := range expr.FindAllStringSubmatch(string(source), -1) {
				use(prefix(name)+m[2], m[1] == "Count" || m[1] == ".count", filepath.ToSlash(name))
			}
			return nil
		})
		assert.NilError(t, err)
	}
	none := func(string) string { return "" }
	scan("../compile", ".go", goUse, none)
	scan(".", ".go", goUse, none)
	scan("../procedure/refit", ".go", ownUse, none)
	scan("../procedure/quiz/generate", ".go", ownUse, none)
	scan("../compile/writing/script", ".js", scriptUse, func(string) string { return "preview.write.script." })
	scan("assets", ".js", scriptUse, func(name string) string {
		return strings.TrimSuffix(filepath.Base(name), ".js") + ".script."
	})

	for _, lang := range theme.Languages() {
		words := theme.words[lang]
		used := maps.Clone(used)
		for key, where := range counted {
			used[key+".other"] = where
			for _, form := range forms {
				if words.takes(form) {
					used[key+"."+form] = where
				}
			}
		}
		for _, key := range slices.Sorted(maps.Keys(used)) {
			if !words.Has(key) {
				t.Errorf("%s has no words for %q, used in %s", lang, key, used[key])
			}
		}
		for _, key := range slices.Sorted(maps.Keys(words.table)) {
			if words.table[key] == "" {
				t.Errorf("%s: the words for %q are empty", lang, key)
			}
			if _, ok := used[key]; ok || inFamily(key, families) {
				continue
			}
			t.Errorf("%s: the words for %q are never used", lang, key)
		}
	}
}

func inFamily(key string, families map[string]string) bool {
	for f := range families {
		if strings.HasPrefix(key, f) {
			return true
		}
	}
	return false
}

// Every language fills in the same things: a {0} that one has and another lacks loses a number.
func TestPlaceholdersAgree(t *testing.T) {
	theme, err := Load()
	assert.NilError(t, err)
	english := theme.words["en"].table
	for lang, words := range theme.words {
		for key := range english {
			if !words.Has(key) {
				t.Errorf("%s lacks %q", lang, key)
			}
		}
		for key, s := range words.table {
			source, left := english[key], ""
			if base, form := strings.TrimSuffix(key, path.Ext(key)), strings.TrimPrefix(path.Ext(key), "."); english[base+".other"] != "" && words.takes(form) {
				source = english[base+".other"]
				if words.alone(form) {
					left = "{0}" // "one step" needs no number where that form is for 1 and nothing else
				}
			}
			if source == "" {
				t.Errorf("en lacks %q, which %s has", key, lang)
			} else if a, b := placeholders(source, left), placeholders(s, left); !slices.Equal(a, b) {
				t.Errorf("%s: %q has %v, en has %v", lang, key, b, a)
			}
		}
	}
}

// placeholders are those of a text, each once, but for one that may be left out.
func placeholders(s, left string) []string {
	found := placeholder.FindAllString(s, -1)
	slices.Sort(found)
	return slices.DeleteFunc(slices.Compact(found), func(p string) bool { return p == left })
}

var placeholder = regexp.MustCompile(`\{\d\}`)

// takes reports whether a language takes a form for whole numbers, and alone whether it is that of one number only: "one" in
// English, and not in Russian, where it is that of 21 too.
func (w *Words) takes(form string) bool { return w.numbers(form) > 0 }
func (w *Words) alone(form string) bool { return w.numbers(form) == 1 }

func (w *Words) numbers(form string) (count int) {
	for n := range 1000 {
		if w.form(n) == form {
			count++
		}
	}
	return count
}
