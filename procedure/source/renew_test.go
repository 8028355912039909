package source

import (
	"io/fs"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/golden"
	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
)

// failer is what fails, a test or a property.
type failer interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
	Error(...any)
	Errorf(string, ...any)
}

// renewedLibrary reads a library, writes it anew, and returns the new files with both libraries.
func renewedLibrary(t failer, files fs.FS) (before, after *procedure.Library, out fstest.MapFS) {
	t.Helper()
	read := func(files fs.FS) (*procedure.Library, []rewrite.Edit, []diagnostic.Diagnostic) {
		var log diagnostic.Log
		lib, err := Read(files, &log)
		if err != nil {
			t.Fatal(err)
		}
		resolved := lib.Resolve(&log)
		all := log.Sorted()
		lib.OldForms(&log)
		var edits []rewrite.Edit
		for _, d := range log.Sorted() {
			if d.Code == "old-form" && len(d.Fixes) > 0 {
				edits = append(edits, d.Fixes[0].Edits...)
			}
		}
		return resolved, edits, all
	}
	before, edits, all := read(files)
	for _, d := range all {
		if d.Severity == diagnostic.Error {
			t.Fatalf("the library has errors:\n%s", printed(all))
		}
	}
	made, err := rewrite.Make(edits)
	if err != nil {
		t.Fatal(err)
	}
	out = fstest.MapFS{}
	names, _ := markdownFiles(files, &diagnostic.Log{})
	for _, name := range names {
		src, _ := fs.ReadFile(files, name)
		out[name] = &fstest.MapFile{Data: src}
	}
	for _, f := range made {
		out[f.Old.Name] = &fstest.MapFile{Data: f.Source}
	}
	after, again, all := read(out)
	for _, d := range all {
		if d.Severity == diagnostic.Error {
			t.Fatalf("written anew it has errors:\n%s", printed(all))
		}
	}
	if len(again) > 0 {
		t.Errorf("written anew, %s would be written again:\n%s", again[0].Span.File.Name, again[0].Text)
	}
	return before, after, out
}

// same reports steps that say something else when they are written anew.
func same(t failer, before, after *procedure.Library) {
	t.Helper()
	for i, p := range before.Procedures {
		q := after.Procedures[i]
		if procedure.Fingerprint(p) != procedure.Fingerprint(q) {
			t.Errorf("%s differs", p.ID)
		}
		a, b := p.WrittenSteps(), q.WrittenSteps()
		if len(a) != len(b) {
			t.Errorf("%s has %d steps, and then %d", p.ID, len(a), len(b))
			continue
		}
		for i := range a {
			if x, y := procedure.Fingerprint(plainCallouts(a[i])), procedure.Fingerprint(plainCallouts(b[i])); x != y {
				t.Errorf("%s, step %s:\n%s\n%s", p.ID, a[i].ID, x, y)
			}
		}
	}
}

// plainCallouts returns a step whose blocks of acts show the same rows and figures as one kind.
func plainCallouts(s *procedure.Step) *procedure.Step {
	out := *s
	out.Blocks = nil
	for _, b := range s.Blocks {
		b = procedure.Clone(b)
		for _, p := range procedure.Texts(b) {
			*p = p.Joined()
		}
		if c, ok := b.(*procedure.Callout); ok {
			b = &procedure.ActionList{Common: c.Common, Actions: c.Actions}
			if c.Figure.ID != s.Figure.ID && c.Figure.ID != "" {
				out.Blocks = append(out.Blocks, &procedure.Illustration{Figure: c.Figure})
			}
		}
		out.Blocks = append(out.Blocks, b)
	}
	return &out
}

func TestRenew(t *testing.T) {
	old := procedureHead + `Two people.

## Before you start
Read all.

::: step hood-off "Take *the* hood [off]" {time=6/8/12 people=2 tools="ratchet, socket-13" figure=over}
::: caution caution {about=hood}
Sharp.
:::
Undo the screws.
- one
- two
::: fasteners {figure=over}
- remove 1
- remove 2: slowly
:::
::: actions {reach="45 cm" from="95 cm"}
- remove hood
- clean hood
:::
::: inspect {of=hood}
- Edge: no burr
:::
> **Quoted** words.

::: key-point "Pull *it* off. Never \"lever\""
A lever nicks it.

- twice
:::
::: key-point "List first"
- once
:::
::: tip
A tray.
:::
:::
::: figure own "Own" {src=a.svg}
- 1 at 1,2 balloon 3,4
:::
::: step guard "Guard" {time=3}
::: caution warning
It turns.
:::
Lift it.
::: actions
- clean hood
:::
::: actions
- inspect hood
:::
    code
::: variant belt
::: fasteners {figure=belt}
- loosen 4
:::
:::
# End
:::
`
	machine := machineHead + "::: register variants\n| id | name |\n|---|---|\n| belt | Belt |\n:::\n"
	before, after, out := renewedLibrary(t, fstest.MapFS{"job.md": {Data: []byte(old)}, "mixer.md": {Data: []byte(machine)}})
	same(t, before, after)
	const file = "testdata/renewed.md"
	if golden.FlagUpdate() {
		if err := os.WriteFile(file, out["job.md"].Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(file); err != nil || string(out["job.md"].Data) != string(want) {
		t.Errorf("%v, got\n%s", err, out["job.md"].Data)
	}
}

// pieces are what an older step may hold, one after the other, in any order.
var pieces = []string{
	"Undo the screws.\n", "Two\nlines.\n", "- one\n- two\n", "1. first\n2. second\n", "  Set in by two.\n", "    code\n", "### Small\n", "## Large\n", "# Largest\n",
	"Under\n=====\n", "> Quoted.\n", "> **Bold** quoted.\n", "- [ ] literal box\n", "* [x] ticked\n", "<!-- a note -->\n", "| a | b |\n|---|---|\n| 1 | 2 |\n", "{braces} in text\n", "---\n",
	"::: fasteners\n- remove 1\n:::\n", "::: fasteners {figure=front}\n- remove 1, 2\n- keep 3: carries it\n:::\n", "::: fasteners {figure=side}\n* loosen 4: *slowly*\n:::\n",
	"::: fasteners\n- inspect 1\n- remove 1\n\n  Two turns.\n:::\n", "::: actions\n- remove hub\n:::\n", "::: actions {reach=\"45 cm\" grip=fair}\n- clean hub\n- remove hub\n- remove lid\n:::\n",
	"::: actions\n- inspect 15\n- inspect 16\n:::\n", "::: actions\n- remove 1\n- remove hub\n:::\n", "::: actions\n1. support hub with hoist,\n   sling\n2. lift hub with hoist: now\n:::\n",
	"::: caution caution {about=1}\nSharp.\n:::\n", "::: caution danger\nIt turns.\n- a list\n:::\n", "::: caution {about=\"1, 2\" out-only}\nHot.\n:::\n", "::: inspect {of=hub}\n- Bore: at most 3 mm\n:::\n",
	"::: inspect\n- Rim: no cracks\n:::\n", "::: key-point \"Pull *it*, [never] lever\"\nIt nicks.\n\n- twice\n:::\n", "::: key-point \"List\"\n- once\n:::\n", "::: tip\nA tray.\n:::\n", "\n",
	"::: variant belt\nTurn it.\n::: actions\n- clean hub\n:::\n::: fasteners {figure=front}\n- remove 2\n:::\n:::\n", ":::: tip\nFour colons.\n::::\n",
}

// Whatever an older step holds, in any order: written anew it says the same, and a second time nothing is written.
func TestRenewSaysTheSame(t *testing.T) {
	machine := machineHead + "::: register variants\n| id | name |\n|---|---|\n| belt | Belt |\n:::\n\n::: figure front \"Front\" {src=a.svg}\n- 1 at 1,2 balloon 3,4\n- 2 at 1,2 balloon 3,4\n:::\n"
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		b.WriteString(procedureHead)
		b.WriteString(rapid.SampledFrom([]string{"", "Two people.\n\n", "## Before\n\nRead.\n\n", "# All\n\n"}).Draw(t, "about"))
		for i := range rapid.IntRange(1, 3).Draw(t, "steps") {
			figure := rapid.SampledFrom([]string{"", " figure=front", " figure=side"}).Draw(t, "figure")
			title := rapid.SampledFrom([]string{"Look", "Take *it* off {now}", "5 mm & more_or_less", "A \\\"word\\\""}).Draw(t, "title")
			b.WriteString("::: step s" + strconv.Itoa(i) + " \"" + title + "\" {time=3" + figure + "}\nLook.\n")
			for _, p := range rapid.SliceOfN(rapid.SampledFrom(pieces), 1, 7).Draw(t, "pieces") {
				b.WriteString(p)
				if rapid.Bool().Draw(t, "gap") {
					b.WriteString("\n")
				}
			}
			b.WriteString(":::\n")
			b.WriteString(rapid.SampledFrom([]string{"", "\n", "\n::: figure own" + strconv.Itoa(i) + " \"Own\" {src=b.svg}\n- 9 at 1,2 balloon 3,4\n:::\n"}).Draw(t, "between"))
		}
		ending := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line ends")
		job := strings.ReplaceAll(b.String(), "\n", ending)
		files := fstest.MapFS{"job.md": {Data: []byte(job)}, "mixer.md": {Data: []byte(machine)}}
		var log diagnostic.Log
		lib, err := Read(files, &log)
		if err != nil {
			t.Fatal(err)
		}
		if lib.Resolve(&log); log.HasErrors() {
			t.Skip("a library with errors is not written anew")
		}
		before, after, _ := renewedLibrary(t, files)
		same(t, before, after)
	})
}
