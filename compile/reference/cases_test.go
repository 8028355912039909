package reference_test

import (
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/compile"
	"matchmark/compile/reference"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
)

// casesFolder is where the cases lie, for -update.
const casesFolder = "../../procedure/check/examples/"

// Every code has a case and every case a code. The bad side brings the code, and
// messages at the marked places and nowhere else, as its message section has
// them byte for byte; the good side brings nothing at all.
func TestEveryCodeHasItsCase(t *testing.T) {
	cases, err := examples.All()
	assert.NilError(t, err)
	rules := map[string]diagnostic.Rule{}
	for _, r := range reference.Rules() {
		if _, twice := rules[string(r.Code)]; twice {
			t.Errorf("the code %s is registered twice", r.Code)
		}
		rules[string(r.Code)] = r
		if r.Title == "" || r.Wrong == "" || r.Why == "" || r.Do == "" {
			t.Errorf("the code %s is not explained", r.Code)
		}
		if !slices.ContainsFunc(cases, func(c examples.Case) bool { return c.Code == string(r.Code) }) {
			t.Errorf("the code %s has no case: write %s%s.txtar", r.Code, casesFolder, r.Code)
		}
	}
	for _, c := range cases {
		t.Run(c.Code, func(t *testing.T) {
			r, ok := rules[c.Code]
			if !ok {
				t.Fatalf("no rule has the code %s", c.Code)
			}
			bad(t, c, r)
			good(t, c)
		})
	}
}

// The library that cases lie on brings no message of any kind.
func TestBaseLibraryIsClean(t *testing.T) {
	files, err := examples.Compose()
	assert.NilError(t, err)
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	if _, err := compile.Load(fsys, &log); err != nil {
		t.Fatal(err)
	}
	// Its refitting is derived, which is told.
	all := slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool { return d.Code == "refit-gap" })
	if len(all) > 0 {
		t.Error(printed(t, all))
	}
}

func bad(t *testing.T, c examples.Case, r diagnostic.Rule) {
	files, err := c.Library(false)
	assert.NilError(t, err)
	var marks []place
	for _, name := range slices.Sorted(maps.Keys(files)) {
		plain, marked := examples.Unmark(files[name])
		files[name] = plain
		for _, m := range marked {
			switch {
			case slices.Contains(c.Setup, "latin-1 "+name):
				m[0], m[1] = len(latin1(plain[:m[0]])), len(latin1(plain[:m[1]]))
			case slices.Contains(c.Setup, "backspace "+name):
				m[1] = m[0] + 1
			}
			marks = append(marks, place{name, m[0], m[1]})
		}
	}
	all := load(t, c, files)
	if c.Partial {
		if !strings.Contains(printed(t, all), strings.TrimSpace(c.Message)) {
			t.Errorf("the bad side brings\n%s\nand not\n%s", printed(t, all), c.Message)
		}
		return
	}
	var places []place
	for _, d := range all {
		if d.Span.Valid() {
			places = append(places, place{d.Span.File.Name, d.Span.Start, d.Span.End})
		}
	}
	got := printed(t, all)
	if !slices.Equal(places, marks) {
		t.Errorf("the messages point at %v, the marks stand at %v\n%s", places, marks, got)
	}
	if !slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Code == r.Code && d.Severity == r.Severity }) {
		t.Errorf("the bad side does not bring %s %s:\n%s", r.Severity, r.Code, got)
	}
	if golden.FlagUpdate() {
		writeMessage(t, c.Code, got)
	} else if got != c.Message {
		t.Errorf("the bad side brings\n%s\nits message section is\n%s", got, c.Message)
	}
}

func good(t *testing.T, c examples.Case) {
	files, err := c.Library(true)
	assert.NilError(t, err)
	c.Setup = nil
	if c.Partial {
		for _, d := range load(t, c, files) {
			if string(d.Code) == c.Code {
				t.Errorf("the good side brings\n%s", printed(t, []diagnostic.Diagnostic{d}))
			}
		}
		return
	}
	if all := load(t, c, files); len(all) > 0 {
		t.Errorf("the good side brings\n%s", printed(t, all))
	}
}

// place is a range of a file.
type place struct {
	file       string
	start, end int
}

// load reads and checks a library after the case's setup. Advice of other codes, and what was not checked, is
// left out: it comes on sound libraries too, and each new piece would touch all cases.
func load(t *testing.T, c examples.Case, files map[string]string) []diagnostic.Diagnostic {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var shut, broken string
	for _, s := range c.Setup {
		what, name, _ := strings.Cut(s, " ")
		switch what {
		case "without": // done by the case itself
		case "unreadable":
			shut = name
		case "breaking":
			broken = name
		case "huge":
			fsys[name].Data = make([]byte, 21<<20)
		case "large":
			fsys[name].Data = append(fsys[name].Data, make([]byte, 5<<20)...)
		case "backspace":
			fsys[name].Data = []byte(strings.ReplaceAll(files[name], "␈", "\b"))
		case "latin-1":
			fsys[name].Data = latin1(files[name])
		default:
			t.Fatalf("unknown setup %q", s)
		}
	}
	var log diagnostic.Log
	if _, err := compile.Load(shutFile{fsys, shut, broken}, &log); err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool {
		return d.Severity < diagnostic.Warning && string(d.Code) != c.Code
	})
}

// latin1 is a text in ISO 8859-1.
func latin1(s string) []byte {
	var out []byte
	for _, r := range s {
		out = append(out, byte(r))
	}
	return out
}

// shutFile is a file system with one file that nobody may open, and one that breaks the program.
type shutFile struct {
	fs.FS
	name, breaks string
}

func (s shutFile) Open(name string) (fs.File, error) {
	if name == s.breaks {
		panic("the file breaks the program")
	}
	if name == s.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return s.FS.Open(name)
}

func printed(t *testing.T, all []diagnostic.Diagnostic) string {
	t.Helper()
	var b strings.Builder
	assert.NilError(t, (diagnostic.Printer{Excerpt: true}).Print(&b, all))
	return b.String()
}

// writeMessage puts a message into its case.
func writeMessage(t *testing.T, code, message string) {
	t.Helper()
	name := casesFolder + code + ".txtar"
	src, err := os.ReadFile(name)
	assert.NilError(t, err)
	const heading = "-- message --\n"
	before, _, _ := strings.Cut(string(src), heading)
	assert.NilError(t, os.WriteFile(name, []byte(before+heading+message), 0o644))
}
