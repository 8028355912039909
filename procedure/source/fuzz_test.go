package source

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// seeds are the demo library's files, the cases of the messages page and the
// examples of the grammar.
func seeds(f *testing.F) []string {
	var out []string
	names, err := filepath.Glob("../../content/*/*.md")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		if len(src) < 4000 { // A seed of many pages makes each try slow.
			out = append(out, string(src))
		}
	}
	cases, err := examples.All()
	if err != nil {
		f.Fatal(err)
	}
	for _, c := range cases {
		for _, p := range append(c.Bad, c.Good...) {
			switch p.Place {
			case "machine":
				out = append(out, machineHead+p.Plain())
			case "step":
				out = append(out, procedureHead+stepHead+p.Plain()+":::\n")
			case "procedure":
				out = append(out, procedureHead+p.Plain())
			case "quiz":
				out = append(out, quizHead+p.Plain())
			default:
				out = append(out, p.Plain())
			}
		}
	}
	for _, k := range FileKinds() {
		out = append(out, k.Example)
	}
	return append(out, procedureHead+stepHead+everything+":::\n")
}

// FuzzRead reads any file as a library of its own. It never panics; each message
// points into the file, says what to do, and comes out the same a second time;
// markup is well-formed and holds the plain words, in their order.
func FuzzRead(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
		f.Add(strings.ReplaceAll(s, "\n", "\r\n"))
	}
	f.Fuzz(func(t *testing.T, src string) {
		files := fstest.MapFS{"a.md": {Data: []byte(src)}, "mixer.md": {Data: []byte(machineHead)}}
		read := func() (*procedure.Library, []diagnostic.Diagnostic) {
			var log diagnostic.Log
			lib, err := Read(files, &log)
			assert.NilError(t, err)
			return lib.Resolve(&log), log.Sorted()
		}
		lib, all := read()
		for _, d := range all {
			inside(t, d.Span)
			for _, s := range d.See {
				inside(t, s.Span)
			}
			if says, do := d.Says().String(), d.Advice.String(); says == "" || do == "" || strings.ContainsAny(says+do, "\n") || !utf8.ValidString(says+do) {
				t.Fatalf("a message without sense: %+v", d)
			}
		}
		if _, again := read(); printed(again) != printed(all) {
			t.Fatalf("the messages differ:\n%s\n%s", printed(all), printed(again))
		}
		for _, p := range lib.Procedures {
			markupOf(t, p.About)
			for _, s := range p.Steps {
				s.EachProse(func(p procedure.Prose) { markupOf(t, p) })
			}
		}
		for _, q := range lib.Quizzes {
			markupOf(t, q.About)
			for _, x := range q.Questions {
				markupOf(t, x.Stem)
				markupOf(t, x.Why)
				for _, c := range x.Choices {
					markupOf(t, c.Prose)
					markupOf(t, c.Feedback)
				}
			}
		}
		for _, m := range lib.Machines {
			markupOf(t, m.About)
		}
	})
}

func markupOf(t *testing.T, p procedure.Prose) {
	wellFormed(t, markup(p))
	if shown, plain := shownWords(markup(p)), strings.Fields(legal(p.Plain())); !slices.Equal(shown, plain) {
		t.Fatalf("the page shows\n%q, the plain words are\n%q", shown, plain)
	}
	for _, q := range p.Paragraphs() {
		last := 0
		for _, piece := range q.Pieces {
			inside(t, piece.Span)
			if piece.At < last || piece.At > len(q.Text) {
				t.Fatalf("the pieces of %q are out of order: %d after %d", q.Text, piece.At, last)
			}
			last = piece.At
		}
		inside(t, q.SpanOf(0, len(q.Text)))
	}
}

// shownWords are the words of a well-formed fragment; blocks and breaks end them.
func shownWords(markup string) []string {
	d := xml.NewDecoder(strings.NewReader("<x>" + markup + "</x>"))
	words := ""
	for {
		token, err := d.Token()
		if err != nil {
			return strings.Fields(words)
		}
		switch token := token.(type) {
		case xml.CharData:
			words += string(token)
		case xml.EndElement:
			if !strings.Contains(" em strong a code ", " "+token.Name.Local+" ") {
				words += " "
			}
		}
	}
}

// legal returns words as a page can hold them: without the characters that XML 1.0, section 2.2, leaves out.
func legal(words string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\r':
			return -1
		case c < ' ' && c != '\t' && c != '\n', c == '\uFFFE', c == '\uFFFF':
			return '\uFFFD'
		}
		return c
	}, words)
}

// inside fails the test when a span points out of its file, or into the middle of a character.
func inside(t *testing.T, s text.Span) {
	t.Helper()
	if s.File == nil {
		return
	}
	src := s.File.Source
	if s.Start < 0 || s.Start > s.End || s.End > len(src) {
		t.Fatalf("the span %d to %d lies outside the file of %d bytes", s.Start, s.End, len(src))
	}
	for _, at := range []int{s.Start, s.End} {
		if utf8.Valid(src) && at < len(src) && !utf8.RuneStart(src[at]) {
			t.Fatalf("the span %d to %d cuts a character", s.Start, s.End)
		}
	}
}

// FuzzTree turns any Markdown into our tree. It comes out as goldmark's own renderer
// writes it, but for what the dialect does in another way.
func FuzzTree(f *testing.F) {
	for _, e := range commonMark(f) {
		f.Add(e.Markdown)
	}
	f.Add(everything)
	f.Fuzz(func(t *testing.T, src string) {
		if !utf8.ValidString(src) {
			return
		}
		got, want := bothWays(t, src)
		if got != want {
			t.Fatalf("%q gives\n%s\nwant\n%s", src, got, want)
		}
		wellFormed(t, got)
	})
}

// FuzzOpening takes any opening line apart.
func FuzzOpening(f *testing.F) {
	for _, k := range blockKinds {
		line, _, _ := strings.Cut(k.Example, "\n")
		f.Add(strings.TrimPrefix(line, "::: "))
	}
	for _, s := range []string{"step a \"b\\\"c\" {x=\"y\\\\\" z}", "{", "a\"", "a {=", "a {b=\"", "a {b=} c", "\"\"", "a “b”", "\xff{\xff=\xff}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		if strings.ContainsAny(line, "\n") {
			return
		}
		var log diagnostic.Log
		file := text.NewFile("a.md", []byte(line))
		r := &reader{log: &log, file: file, src: file.Source}
		o := r.parseOpening(file.Span(0, len(line)))
		for _, s := range []text.Span{o.kindSpan, o.argumentSpan, o.titleSpan} {
			inside(t, s)
		}
		if o.kindSpan.Text() != o.kind || o.argumentSpan.Text() != o.argument {
			t.Fatalf("%q is said to stand at %q, %q at %q", o.kind, o.kindSpan.Text(), o.argument, o.argumentSpan.Text())
		}
		for _, v := range o.values {
			inside(t, v.span)
			if v.nameSpan.Text() != v.name || !strings.Contains(v.span.Text(), "\\") && v.hasValue && v.span.Text() != v.text {
				t.Fatalf("%q=%q is said to stand at %q, %q", v.name, v.text, v.nameSpan.Text(), v.span.Text())
			}
		}
		for _, d := range log.Sorted() {
			inside(t, d.Span)
		}
		// What no message is about is all there: the parts and the white space between them.
		if !o.broken && len(log.Sorted()) == 0 {
			rest := strings.NewReplacer(" ", "", "\t", "", "\r", "", "\"", "", "{", "", "}", "", "=", "").Replace(line)
			parts := o.kind + o.argument + o.titleSpan.Text()
			for _, v := range o.values {
				parts += v.name
				if v.hasValue {
					parts += v.span.Text()
				}
			}
			if got := strings.NewReplacer(" ", "", "\t", "", "\r", "", "\"", "", "{", "", "}", "", "=", "").Replace(parts); got != rest {
				t.Fatalf("%q is read as %q", line, parts)
			}
		}
	})
}

// FuzzMatter reads any front matter, of each kind of file.
func FuzzMatter(f *testing.F) {
	for _, k := range FileKinds() {
		f.Add(strings.TrimSuffix(strings.TrimPrefix(k.Example, "---\n"), "---\n"))
	}
	for _, s := range []string{"a: &a [*a]", "kind: course\nsessions: [{items: [{procedure: 1}]}]", "<<: *x", "? a\n: b", "- a", "a: |\n b", "'", "kind: [", "\t", "a: b: c", "!!binary x", "kind: quiz\npass: 1e9", "%YAML 1.2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, yaml string) {
		for _, kind := range []string{"", "kind: machine\n", "kind: course\n"} {
			lib, log := readFiles(t, map[string]string{"a.md": "---\n" + kind + yaml + "\n---\n", "library.yaml": yaml})
			for _, d := range log.Sorted() {
				inside(t, d.Span)
				if d.Wrong.Empty() || d.Advice.Empty() {
					t.Fatalf("a message without sense: %+v", d)
				}
			}
			if !log.HasErrors() && len(lib.Machines)+len(lib.Procedures)+len(lib.Courses)+len(lib.Quizzes)+len(lib.shared) != 1 {
				t.Fatalf("a file without errors is nothing")
			}
		}
	})
}

// FuzzTable reads any table as each register.
func FuzzTable(f *testing.F) {
	for _, s := range []string{
		"| id | name |\n|---|---|\n| a | A |\n", "| no | name | kind | torque |\n|--|--|--|--|\n| 4 | A | bolt | 45 N·m |\n",
		"id | name\n-|-\na | `b \\| c`\n", "| id |\n|:-:|\n| a | b | c |\n", "| id | name |\n|---|---|\n|\n| |\n||\n", "a\n| id | name |\n|-|-|\n", "Each: name A; kind bolt\n\n| no |\n|---|\n| 1 |\n\n- 1-3: note a\\; b; single use\n", "No.\tName\tType\n1\tA\tbolt\n\t\t\n- 1: note x\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, table string) {
		for _, form := range registerForms {
			src := machineHead + "::: register " + string(form.Kind) + "\n" + table + "\n:::\n"
			lib, log := readFiles(t, map[string]string{"a.md": src})
			for _, d := range log.Sorted() {
				inside(t, d.Span)
			}
			for _, m := range lib.Machines {
				for _, x := range m.Things() {
					inside(t, x.Row.Span)
				}
			}
		}
	})
}
