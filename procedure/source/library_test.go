package source

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

func TestFilesOfALibrary(t *testing.T) {
	lib, log := readFiles(t, map[string]string{
		"README.md":          "Not part of the library.",
		"notes.txt":          "Nor this.",
		".hidden/a.md":       "Nor this.",
		"m/.draft.md":        "Nor this.",
		"m/README.md":        strings.Replace(machineHead, "mixer", "below", 1),
		"m/upper.MD":         strings.Replace(machineHead, "mixer", "upper", 1),
		"machine.md":         machineHead,
		"library.yaml":       "\uFEFFtitle: Shop\r\nlanguage: de-AT\r\naddress: https://shop.example/a\r\n",
		"deep/er/machine.md": strings.Replace(machineHead, "mixer", "deeper", 1),
	})
	if all := log.Sorted(); len(all) > 0 {
		t.Fatal(printed(all))
	}
	var got []string
	for _, m := range lib.Machines {
		got = append(got, m.ID)
	}
	if fmt.Sprint(got) != "[deeper below upper mixer]" {
		t.Errorf("machines in the order %v", got)
	}
	if lib.Title != "Shop" || lib.Language != "de-AT" || lib.Address != "https://shop.example/a/" {
		t.Errorf("settings %q %q %q", lib.Title, lib.Language, lib.Address)
	}
}

func TestEmptyLibrary(t *testing.T) {
	lib, log := readFiles(t, map[string]string{"notes.txt": "x"})
	if got := printed(log.Sorted()); !strings.HasPrefix(got, "error library-empty: ") || lib.Language != "en" {
		t.Errorf("got %q", got)
	}
}

// badFS fails in ways that a disk does.
type badFS struct {
	fstest.MapFS
	open, readDir string
}

func (b badFS) Open(name string) (fs.File, error) {
	if name == b.open {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("input/output error")}
	}
	return b.MapFS.Open(name)
}

func (b badFS) ReadDir(name string) ([]fs.DirEntry, error) {
	if name == b.readDir {
		return nil, &fs.PathError{Op: "readdir", Path: name, Err: fs.ErrPermission}
	}
	return b.MapFS.ReadDir(name)
}

func TestUnreadable(t *testing.T) {
	files := fstest.MapFS{"a.md": {Data: []byte(machineHead)}, "sub/b.md": {Data: []byte(machineHead)}, "library.yaml": {Data: []byte("title: x\n")}}
	for _, c := range []struct{ open, readDir, want string }{
		{"a.md", "", "a.md:1:1: error unreadable-file: this file cannot be read: input/output error"},
		{"library.yaml", "", "library.yaml:1:1: error unreadable-file: this file cannot be read: input/output error"},
		{"", "sub", "sub:1:1: error unreadable-file: this cannot be read: permission denied"},
	} {
		var log diagnostic.Log
		lib, err := Read(badFS{files, c.open, c.readDir}, &log)
		assert.NilError(t, err)
		if got, _, _ := strings.Cut(printed(log.Sorted()), "\n"); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
		if len(lib.Machines) == 0 {
			t.Error("the files that can be read are lost")
		}
	}
	var log diagnostic.Log
	if _, err := Read(badFS{files, "", "."}, &log); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("a folder that cannot be read at all: %v", err)
	}
}

func TestTooLarge(t *testing.T) {
	page := strings.Repeat("A short line.\n\n", 1000)
	for name, c := range map[string]struct{ src, want string }{
		"file":         {machineHead + strings.Repeat(page, 300), "mixer.md:1:1"},
		"paragraph":    {machineHead + "Words.\n\n" + strings.Repeat("A short line.\n", 10000), "mixer.md:8:1"},
		"line":         {machineHead + strings.Repeat("a", 200000), "mixer.md:1:1"},
		"front matter": {"---\n" + strings.Repeat("# A note.\n\n", 7000) + "---\n", "mixer.md:2:1"},
	} {
		_, log := readFiles(t, map[string]string{"mixer.md": c.src})
		if all := log.Sorted(); len(all) != 1 || all[0].Code != "file-too-large" || !strings.HasPrefix(printed(all), c.want) {
			t.Errorf("%s: got %.200s", name, printed(all))
		}
	}
	if _, log := readFiles(t, map[string]string{"mixer.md": machineHead + page}); len(log.Sorted()) > 0 {
		t.Errorf("a page of 15 KB is taken for too large")
	}
}

func TestRegisters(t *testing.T) {
	lib, log := readFiles(t, map[string]string{"mixer.md": machineHead + `
::: register parts "What comes off"
| name | id | letter | mass | side | twin | under | base |
|:--|---|:-:|--:|---|---|---|---|
| Left \| foot | left | L | 3.4 kg | left | right | hood,guard | |
| Frame | frame |
| Right foot | right | R |  |  |  | | yes |
:::

::: register fasteners
| no | name | kind | count | torque | tolerance | angle | single-use | joins |
|---|---|---|---|---|---|---|---|---|
| 4 | Foot bolt | tab washer | 2 | 45 Nm | 10 % | 90 deg | yes | left, frame |
:::
`})
	if all := log.Sorted(); len(all) > 0 {
		t.Fatal(printed(all))
	}
	m := lib.Machines[0]
	left := m.Thing("left").Part
	if left.Name != "Left | foot" || left.Letter != "L" || left.Mass.String() != "3.4 kg" || left.Side != "left" || left.Twin.ID != "right" || fmt.Sprint(ids(left.Under)) != "[hood guard]" || left.Base {
		t.Errorf("%+v", left)
	}
	if left.Span.Text() != "left" || left.Under[1].Span.Text() != "guard" {
		t.Errorf("places %q %q", left.Span.Text(), left.Under[1].Span.Text())
	}
	if !m.Thing("right").Part.Base || m.Thing("frame").Part.Base {
		t.Error("base parts")
	}
	f := m.Thing("4").Fastener
	if f.Number != 4 || f.Kind != procedure.TabWasher || f.Count != 2 || f.Torque.String() != "45 N·m" || f.Tolerance.String() != "10 %" || f.Angle.String() != "90°" || !f.SingleUse {
		t.Errorf("%+v", f)
	}
	if m.RegisterTitles[procedure.PartRegister] != "What comes off" {
		t.Errorf("titles %v", m.RegisterTitles)
	}
}

func TestInclusion(t *testing.T) {
	steps := func(id, body string) string {
		return "---\nkind: steps\nid: " + id + "\ntitle: Steps\n---\n" + body
	}
	step := func(id string) string { return "::: step " + id + " \"Step\" {time=1}\nWords.\n:::\n" }
	include := func(id string) string { return "::: include " + id + "\n:::\n" }
	read := func(body string, shared map[string]string) (string, string) {
		files := map[string]string{"job.md": procedureHead + body, "mixer.md": machineHead}
		for id, body := range shared {
			files[id+".md"] = steps(id, body)
		}
		lib, log := readFiles(t, files)
		p := lib.Resolve(log).Procedures[0]
		var got []string
		for i, s := range p.Steps {
			got = append(got, s.ID)
			if s.Number != i+1 {
				t.Errorf("step %s has the number %d", s.ID, s.Number)
			}
		}
		var codes []string
		for _, d := range log.Sorted() {
			codes = append(codes, fmt.Sprintf("%s@%s:%d", d.Code, d.Span.At().File, d.Span.At().Line))
		}
		return strings.Join(got, " "), strings.Join(codes, " ")
	}
	for _, c := range []struct {
		name, body  string
		shared      map[string]string
		steps, want string
	}{
		{"between steps", step("a") + include("x") + step("d"), map[string]string{"x": step("b") + step("c")}, "a b c d", ""},
		{"through another", include("x"), map[string]string{"x": step("a") + include("y") + step("d"), "y": step("b") + step("c")}, "a b c d", ""},
		{"itself", step("a") + include("x"), map[string]string{"x": step("b") + include("x")}, "a b", "include-cycle@x.md:9"},
		{"in a ring", include("x"), map[string]string{"x": include("y") + step("a"), "y": step("b") + include("x")}, "b a", "include-cycle@y.md:9"},
		{"twice", include("x") + include("x"), map[string]string{"x": step("a")}, "a", "repeated-include@job.md:10"},
		{"twice by two ways", include("x") + include("y"), map[string]string{"x": include("z"), "y": include("z"), "z": step("a")}, "a", "repeated-include@y.md:6"},
		{"not there", step("a") + include("y"), map[string]string{"x": step("b")}, "a", "undefined-name@job.md:11 unused-file@x.md:3"},
	} {
		got, codes := read(c.body, c.shared)
		if got != c.steps || codes != c.want {
			t.Errorf("%s: steps %q, want %q; messages %q, want %q", c.name, got, c.steps, codes, c.want)
		}
	}

	// Forty files that take in the next one twice would be a million million steps.
	shared := map[string]string{"f40": step("a")}
	for i := range 40 {
		shared[fmt.Sprintf("f%d", i)] = strings.Repeat(include(fmt.Sprintf("f%d", i+1)), 2)
	}
	if got, codes := read(include("f0"), shared); got != "a" || strings.Count(codes, "repeated-include") != 40 {
		t.Errorf("a tower of inclusions: %q, %q", got, codes)
	}
}

func TestQuizAndCourse(t *testing.T) {
	lib, log := readFiles(t, map[string]string{
		"check.md": quizHead + "About *it*.\n" + `::: question a {type=single step=look about="6, gearbox" points=3 critical}
Which?
It [x] is.

- [x] **One** of
  them
  > Right.
- [ ] Two

> Because.
>
> Really.
:::
::: question b {type=order}
Order?
1. x
2. y
3. z
:::
::: question c {type=number answer="45 N·m" tolerance="2 N·m"}
How tight?
:::
::: question d {type=point figure=front answer=6}
Where?
:::
`,
		"course.md": "---\nkind: course\nid: week\ntitle: Week\nsessions:\n  - title: One\n    items:\n      - procedure: job\n        from: look\n        to: end\n      - quiz: check\n---\nWords.\n",
	})
	if all := log.Sorted(); len(all) > 0 {
		t.Fatal(printed(all))
	}
	q := lib.Quizzes[0]
	a := q.Questions[0]
	if q.Pass != 80 || markup(q.About) != "<p>About <em>it</em>.</p>" || a.Points != 3 || !a.Critical || a.Step.ID != "look" ||
		markup(a.Stem) != "<p>Which?\nIt [x] is.</p>" || a.Why.Plain() != "Because. Really." {
		t.Errorf("%+v\n%+v", q, a)
	}
	if len(a.About) != 2 || a.About[0].ID != "6" || a.About[1].Span.Text() != "gearbox" || q.Forms != 1 {
		t.Errorf("about %+v, %d forms", a.About, q.Forms)
	}
	if c := a.Choices; len(c) != 2 || !c[0].Right || markup(c[0].Prose) != "<strong>One</strong> of\nthem" || markup(c[0].Feedback) != "<p>Right.</p>" || c[1].Right || markup(c[1].Prose) != "Two" {
		t.Errorf("%+v", c)
	}
	if b := q.Questions[1]; len(b.Choices) != 3 || markup(b.Choices[2].Prose) != "z" {
		t.Errorf("%+v", b)
	}
	if c := q.Questions[2]; c.Number.String() != "45 N·m" || c.Tolerance.String() != "2 N·m" {
		t.Errorf("%+v", c)
	}
	if d := q.Questions[3]; d.Figure.ID != "front" || d.Target.ID != "6" {
		t.Errorf("%+v", d)
	}
	items := lib.Courses[0].Sessions[0].Items
	if len(items) != 2 || items[0].Ref.ID != "job" || items[0].From.ID != "look" || items[0].To.Span.Text() != "end" || !items[1].IsQuiz || items[1].Ref.Span.Text() != "check" {
		t.Errorf("%+v", items)
	}
}
