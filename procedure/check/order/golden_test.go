package order

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// TestRules runs each rule on its pair of libraries. The bad one brings the
// rule's message at each place between « and », as printed in the file, and the
// good one brings nothing to put right.
func TestRules(t *testing.T) {
	for _, c := range Checks() {
		t.Run(string(c.Code), func(t *testing.T) {
			name := filepath.Join("testdata", string(c.Code)+".txtar")
			src, err := os.ReadFile(name)
			assert.NilError(t, err)
			p := parsePair(string(src))
			bad, marked := check(t, p.library(t, "bad"))
			var places []string
			for _, d := range bad.Sorted() {
				if d.Code == c.Code {
					places = append(places, place(d.Span.File.Name, d.Span.Start, d.Span.End))
				}
			}
			if got, want := strings.Join(places, " "), strings.Join(marked, " "); got != want || len(marked) == 0 {
				t.Errorf("the message points at %s; the marks stand at %s", got, want)
			}
			if got := printed(t, bad, c.Code); got != p.message() {
				if golden.FlagUpdate() {
					p.write(t, name, got)
				} else {
					t.Errorf("the bad library brings\n%s, want\n%s", got, p.message())
				}
			}
			good, _ := check(t, p.library(t, "good"))
			if got := printed(t, good, c.Code); got != "" {
				t.Errorf("the good library brings\n%s", got)
			}
		})
	}
}

// TestPairsHaveRules finds pairs whose rule is gone.
func TestPairsHaveRules(t *testing.T) {
	names, err := filepath.Glob("testdata/*-*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatal("no pairs", err)
	}
	codes := map[string]bool{}
	for _, c := range Checks() {
		if codes[string(c.Code)] {
			t.Errorf("the code %s is there twice", c.Code)
		}
		codes[string(c.Code)] = true
		if c.Title == "" || c.Wrong == "" || c.Why == "" || c.Do == "" {
			t.Errorf("the rule %s lacks a part of its documentation", c.Code)
		}
	}
	for _, name := range names {
		if code := strings.TrimSuffix(filepath.Base(name), ".txtar"); !codes[code] {
			t.Errorf("no rule has the code %s", code)
		}
	}
}

// pair is one file of testdata: sections with/PLACE (lines of both sides), bad/PLACE,
// good/PLACE and message. A place is one of base.txtar's, or the path of a whole file.
type pair struct {
	head     string
	names    []string
	sections map[string]string
}

func parsePair(src string) pair {
	p := pair{sections: map[string]string{}}
	for line := range strings.Lines(src) {
		if name, ok := strings.CutPrefix(line, "-- "); ok && strings.HasSuffix(name, " --\n") {
			p.names = append(p.names, strings.TrimSuffix(name, " --\n"))
		} else if len(p.names) == 0 {
			p.head += line
		} else {
			p.sections[p.names[len(p.names)-1]] += line
		}
	}
	return p
}

func (p pair) message() string { return p.sections["message"] }

// library returns the files of one side: the base with what both sides share and the side's own parts in their places.
func (p pair) library(t *testing.T, side string) map[string]string {
	t.Helper()
	src, err := os.ReadFile("testdata/base.txtar")
	assert.NilError(t, err)
	files := parsePair(string(src)).sections
	lines := map[string]string{}
	for _, from := range []string{"with", side} {
		for _, name := range p.names {
			if place, ok := strings.CutPrefix(name, from+"/"); ok {
				lines[place] += p.sections[name]
			}
		}
	}
	for name, text := range files {
		var out strings.Builder
		for line := range strings.Lines(text) {
			if place, ok := strings.CutPrefix(line, "@"); ok {
				line = lines[strings.TrimSpace(place)]
				delete(lines, strings.TrimSpace(place))
			}
			out.WriteString(line)
		}
		files[name] = out.String()
	}
	for place, text := range lines {
		if !strings.Contains(place, ".") {
			t.Fatalf("there is no place %q", place)
		}
		files[place] = text
	}
	return files
}

func (p pair) write(t *testing.T, name, message string) {
	t.Helper()
	p.sections["message"] = message
	out := p.head
	for _, s := range p.names {
		out += "-- " + s + " --\n" + p.sections[s]
	}
	assert.NilError(t, os.WriteFile(name, []byte(out), 0o644))
}

// check reads a library and runs the order check on its procedures. It returns
// the places of the marks as well.
func check(t *testing.T, files map[string]string) (*diagnostic.Log, []string) {
	t.Helper()
	fsys := fstest.MapFS{}
	var marked []string
	for name, text := range files {
		plain, spans := unmark(text)
		for _, s := range spans {
			marked = append(marked, place(name, s[0], s[1]))
		}
		fsys[name] = &fstest.MapFile{Data: []byte(plain)}
	}
	log := &diagnostic.Log{}
	read, err := source.Read(fsys, log)
	assert.NilError(t, err)
	lib := read.Resolve(log)
	if log.HasErrors() {
		t.Fatalf("the library does not read: %v", log.Sorted())
	}
	log = &diagnostic.Log{}
	for _, p := range lib.Procedures {
		Run(p, refit.AdditionsOf(p), log)
	}
	return log, marked
}

// unmark takes the marks « and » out and returns the ranges that stood between them.
func unmark(s string) (plain string, spans [][2]int) {
	for {
		before, rest, found := strings.Cut(s, "«")
		plain += before
		if !found {
			return plain, spans
		}
		words, rest, _ := strings.Cut(rest, "»")
		spans = append(spans, [2]int{len(plain), len(plain) + len(words)})
		plain += words
		s = rest
	}
}

func place(file string, start, end int) string { return fmt.Sprintf("%s:%d-%d", file, start, end) }

// printed writes messages as the command does. Advice of other rules is left out.
func printed(t *testing.T, log *diagnostic.Log, code diagnostic.Code) string {
	t.Helper()
	var all []diagnostic.Diagnostic
	for _, d := range log.Sorted() {
		if d.Severity > diagnostic.Advice || d.Code == code {
			all = append(all, d)
		}
	}
	var b strings.Builder
	assert.NilError(t, (diagnostic.Printer{Excerpt: true}).Print(&b, all))
	return b.String()
}
