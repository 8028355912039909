package compile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// edits is how many random edits a soak makes: few in the normal run, fewer
// in a short one, or as many as MATCHMARK_SOAK says.
func edits(tb testing.TB) int {
	tb.Helper()
	if stated := os.Getenv("MATCHMARK_SOAK"); stated != "" {
		n, err := strconv.Atoi(stated)
		if err != nil {
			tb.Fatal(err)
		}
		return n
	}
	if testing.Short() {
		return 8
	}
	return 25
}

// TestSoak edits a library at random, as its authors do, and updates the site in
// place after each edit. Now and then, and at the end, the folder must hold the
// bytes, and the log the messages, of a cold compile of what the library then is.
func TestSoak(t *testing.T) {
	n := edits(t)
	e := &editor{t: t, dir: t.TempDir(), random: rand.New(rand.NewPCG(7, uint64(n))), broken: map[string][]byte{}}
	e.lay(content.Library())
	e.lay(corpus(8))
	e.lay(sharedSteps())
	site := filepath.Join(t.TempDir(), "site")
	kept := cache.Open(t.TempDir())
	begin := func() *Builder { return NewBuilder(os.DirFS(e.dir), Options{Cache: kept, LeaveOutAdvice: true}) }
	builder := begin()
	var changed []string
	var good map[string][]byte
	sound, compared := 0, 0
	for i := 0; i <= n; i++ {
		what := "nothing"
		if i > 0 {
			what, changed = e.edit()
		}
		all := i == 0
		if i > 0 && e.random.IntN(8) == 0 {
			what, all, builder = what+", watched anew", true, begin()
		}
		var log diagnostic.Log
		_, err := builder.Update(t.Context(), site, Change{Names: changed, All: all}, &log)
		if err != nil && !errors.Is(err, ErrDiagnostics) {
			t.Fatalf("edit %d, %s: %v", i, what, err)
		}
		if err == nil {
			sound++
			e.remember()
		} else if i == 0 {
			t.Fatalf("the library is broken from the start:\n%s", lines(t, errorsOf(log.Sorted())))
		}
		if i%5 != 0 && i != n {
			if err == nil {
				good = nil // not looked at
			}
			continue
		}
		compared++
		want, wantLog, _ := inMemory(t, os.DirFS(e.dir), nil)
		if (want == nil) != (err != nil) {
			t.Fatalf("edit %d, %s: the update says %v, a cold compile finds\n%s", i, what, err, lines(t, notAdvice(wantLog)))
		}
		if a, b := lines(t, notAdvice(log.Sorted())), lines(t, notAdvice(wantLog)); a != b {
			t.Fatalf("edit %d, %s: the messages are\n%s\nwant\n%s", i, what, a, b)
		}
		switch {
		case want != nil:
			good = want
			sameSite(t, folder(t, site), want)
		case good != nil: // a library with errors leaves the last good site
			sameSite(t, folder(t, site), good)
		}
		if t.Failed() {
			t.Fatalf("after edit %d, %s", i, what)
		}
	}
	t.Logf("%d edits: %d left the library sound, %d were compared with a cold compile", n, sound-1, compared-1)
	if sound < n/4 {
		t.Errorf("only %d edits of %d left the library sound: the rest says little", sound, n)
	}
}

// TestUnitsFindWhatTheWholeFinds breaks libraries at random and compares the
// messages of the units with those of a check that holds the whole library.
func TestUnitsFindWhatTheWholeFinds(t *testing.T) {
	e := &editor{t: t, dir: t.TempDir(), random: rand.New(rand.NewPCG(11, 13)), broken: map[string][]byte{}}
	e.lay(content.Library())
	e.lay(corpus(2))
	e.lay(sharedSteps())
	edits := 40
	if testing.Short() {
		edits = 12 // three of each kind
	}
	for i := range edits {
		var what string
		switch i % 4 {
		case 0:
			what, _ = e.breakFile(e.pick(e.files(".md")))
		case 1:
			what, _ = e.takeAway(e.pick(append(e.files(".svg"), e.files(".md")...)))
		case 2:
			what, _ = e.mistype(e.pick(e.files(".md")))
		default:
			for len(e.broken) > 1 {
				what, _ = e.repair()
			}
		}
		var log diagnostic.Log
		if _, err := checkWhole(os.DirFS(e.dir), &log); err != nil {
			t.Fatal(err)
		}
		_, got, _ := inMemory(t, os.DirFS(e.dir), nil)
		if a, b := lines(t, notAdvice(got)), lines(t, notAdvice(log.Sorted())); a != b {
			t.Fatalf("edit %d, %s: the units alone find\n%s\nthe whole alone\n%s", i, what, onlyIn(a, b), onlyIn(b, a))
		}
	}
}

// onlyIn returns the messages, as lines wrote them, that only the first of two lists has.
func onlyIn(a, b string) string {
	there := map[string]bool{}
	for _, m := range strings.Split(b, "  {") {
		there[strings.TrimRight(m, "},\n ]")] = true
	}
	var out []string
	for _, m := range strings.Split(a, "  {") {
		if !there[strings.TrimRight(m, "},\n ]")] {
			out = append(out, m)
		}
	}
	return strings.Join(out, "")
}

// mistype changes a letter of a name that stands somewhere in a file.
func (e *editor) mistype(name string) (string, []string) {
	src := e.read(name)
	if _, is := e.broken[name]; !is {
		e.broken[name] = bytes.Clone(src)
	}
	for _, mark := range []string{"machine: ", "procedure: ", "- remove ", "figure=", "needs=", "id: ", "include "} {
		at := bytes.Index(src, []byte(mark))
		if at >= 0 && e.random.IntN(2) == 0 {
			at += len(mark)
			src = append(src[:at:at], append([]byte("x"), src[at:]...)...)
			e.write(name, src)
			return "mistyped after " + mark + "in " + name, []string{name}
		}
	}
	return e.append(name)
}

// folder reads a site's files, but for the marker, which must list them.
func folder(tb testing.TB, dir string) map[string][]byte {
	tb.Helper()
	out := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		out[name], err = os.ReadFile(filepath.Join(dir, name))
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	listed := strings.Split(strings.TrimSpace(string(out[output.Marker])), "\n")[1:]
	delete(out, output.Marker)
	if len(listed) != len(out) {
		tb.Errorf("the marker lists %d files, and there are %d", len(listed), len(out))
	}
	for _, name := range listed {
		if out[name] == nil {
			tb.Errorf("the marker lists %q, which is not there", name)
		}
	}
	return out
}

// editor edits a library at random.
type editor struct {
	t      *testing.T
	dir    string
	random *rand.Rand
	count  int
	// broken holds what files that were broken or taken away were before.
	broken map[string][]byte
	// sound is the library when it last compiled, since how many edits it has not.
	sound   map[string][]byte
	unsound int
}

// patience is after how many edits of a broken library its author goes back to what last compiled.
const patience = 6

// remember keeps the library as one that compiles.
func (e *editor) remember() {
	e.unsound, e.sound = 0, map[string][]byte{}
	for _, name := range e.files("") {
		e.sound[name] = e.read(name)
	}
}

// goBack makes the library what it was when it last compiled.
func (e *editor) goBack() (string, []string) {
	var changed []string
	for _, name := range e.files("") {
		if _, was := e.sound[name]; !was {
			changed = append(changed, name)
			if err := os.Remove(filepath.Join(e.dir, filepath.FromSlash(name))); err != nil {
				e.t.Fatal(err)
			}
		}
	}
	for name, src := range e.sound {
		if now, err := os.ReadFile(filepath.Join(e.dir, filepath.FromSlash(name))); err != nil || !bytes.Equal(now, src) {
			changed = append(changed, name)
			e.write(name, src)
		}
	}
	slices.Sort(changed)
	clear(e.broken)
	return "back to what last compiled", changed
}

func (e *editor) lay(files fs.FS) {
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		src, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		e.write(name, src)
		return nil
	})
	if err != nil {
		e.t.Fatal(err)
	}
}

func (e *editor) write(name string, src []byte) {
	at := filepath.Join(e.dir, filepath.FromSlash(name))
	if err := errors.Join(os.MkdirAll(filepath.Dir(at), 0o777), os.WriteFile(at, src, 0o666)); err != nil {
		e.t.Fatal(err)
	}
}

func (e *editor) read(name string) []byte {
	src, err := os.ReadFile(filepath.Join(e.dir, filepath.FromSlash(name)))
	if err != nil {
		e.t.Fatal(err)
	}
	return src
}

// files lists the library's files that end so.
func (e *editor) files(end string) (out []string) {
	fs.WalkDir(os.DirFS(e.dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.HasSuffix(name, end) {
			out = append(out, name)
		}
		return err
	})
	return out
}

func (e *editor) pick(of []string) string { return of[e.random.IntN(len(of))] }

// edit makes one edit and returns the files that a watcher would name.
func (e *editor) edit() (what string, changed []string) {
	e.count++
	if e.unsound++; e.sound != nil && e.unsound > patience {
		return e.goBack()
	}
	// A library that is broken in many places shows nothing: what is broken is soon repaired.
	if len(e.broken) > 0 && e.random.IntN(3) > 0 {
		return e.repair()
	}
	for {
		name := e.pick(e.files(".md"))
		switch e.random.IntN(16) {
		case 0, 1, 2:
			return e.reword(name)
		case 3:
			return e.replace(name, "time=", fmt.Sprintf("time=%d/%d/%d was=", e.count%5+1, e.count%5+7, e.count%5+20))
		case 4:
			return e.retitle(name)
		case 5:
			return e.picture()
		case 6:
			return e.breakFile(name)
		case 7:
			return e.takeAway(name)
		case 8:
			return e.move(name)
		case 9:
			return e.copies()
		case 10:
			e.write("library.yaml", []byte(libraryFile(fmt.Sprintf("Workshop %d", e.count))))
			return "another title", []string{"library.yaml"}
		case 11:
			return e.takeAway(e.pick(e.files(".svg")))
		case 12, 13: // the title of a step or a figure
			return e.replace(name, `" {`, fmt.Sprintf(`, turn %d" {`, e.count))
		case 14:
			if copies := e.files("/procedure.md"); len(copies) > 0 {
				name = e.pick(copies)
			}
			return e.replace(name, "id: more-", fmt.Sprintf("id: more-%d-", e.count))
		case 15:
			return e.dropCopies()
		}
	}
}

// reword puts a sentence behind a full stop somewhere in a file's prose.
func (e *editor) reword(name string) (string, []string) {
	src := e.read(name)
	at := bytes.Index(src[e.random.IntN(len(src)):], []byte(".\n"))
	if at < 0 {
		return e.append(name)
	}
	return e.replace(name, ".\n", fmt.Sprintf(". Look twice, %d times.\n", e.count))
}

func (e *editor) append(name string) (string, []string) {
	e.write(name, append(e.read(name), '\n'))
	return "an empty line in " + name, []string{name}
}

// replace changes one of the places where old stands.
func (e *editor) replace(name, old, now string) (string, []string) {
	src := string(e.read(name))
	n := strings.Count(src, old)
	if n == 0 {
		return e.append(name)
	}
	at := 0
	for range e.random.IntN(n) + 1 {
		at += strings.Index(src[at:], old) + len(old)
	}
	now, was, _ := strings.Cut(now, " was=")
	if was == "" && strings.HasSuffix(old, "=") { // the old value goes
		rest := src[at:]
		src = src[:at-len(old)] + now + rest[strings.IndexAny(rest, " }"):]
	} else {
		src = src[:at-len(old)] + now + src[at:]
	}
	e.write(name, []byte(src))
	return fmt.Sprintf("%q is %q in %s", old, now, name), []string{name}
}

func (e *editor) retitle(name string) (string, []string) {
	return e.replace(name, "title: ", fmt.Sprintf("title: No. %d, ", e.count))
}

func (e *editor) picture() (string, []string) {
	name := e.pick(e.files(".svg"))
	src := bytes.Replace(e.read(name), []byte("</svg>"), fmt.Appendf(nil, `<rect x="1" y="1" width="%d" height="2"/></svg>`, e.count), 1)
	e.write(name, src)
	return "another picture " + name, []string{name}
}

func (e *editor) breakFile(name string) (string, []string) {
	src := e.read(name)
	if _, is := e.broken[name]; !is {
		e.broken[name] = bytes.Clone(src)
	}
	cut := e.random.IntN(len(src))
	e.write(name, append(src[:cut:cut], []byte("\n::: nonsense\n")...))
	return "broken " + name, []string{name}
}

func (e *editor) takeAway(name string) (string, []string) {
	if _, is := e.broken[name]; !is {
		e.broken[name] = e.read(name)
	}
	if err := os.Remove(filepath.Join(e.dir, name)); err != nil {
		e.t.Fatal(err)
	}
	return "taken away " + name, []string{name}
}

func (e *editor) repair() (string, []string) {
	var names []string
	for name := range e.broken {
		names = append(names, name)
	}
	slices.Sort(names)
	name := e.pick(names)
	e.write(name, e.broken[name])
	delete(e.broken, name)
	return "repaired " + name, []string{name}
}

func (e *editor) move(name string) (string, []string) {
	if _, is := e.broken[name]; is {
		return e.append(name)
	}
	to := path.Join(path.Dir(name), fmt.Sprintf("moved-%d.md", e.count))
	e.write(to, e.read(name))
	if err := os.Remove(filepath.Join(e.dir, name)); err != nil {
		e.t.Fatal(err)
	}
	return "moved " + name, []string{name, to}
}

// copies writes some generated procedures into a new folder: so many that their list
// becomes pages of its own, and the groups of the search index double.
func (e *editor) copies() (string, []string) {
	if len(e.files("/procedure.md")) > 80 {
		return e.dropCopies()
	}
	folder := fmt.Sprintf("more-%d", e.count)
	n := e.random.IntN(12) + 1
	for i := range n {
		id := fmt.Sprintf("id: more-%d-", i)
		e.write(fmt.Sprintf("%s/%d/procedure.md", folder, i), []byte(strings.Replace(corpusProcedure(e.count, 0), "id: procedure-", id, 1)))
	}
	return fmt.Sprintf("%d procedures in %s", n, folder), []string{folder}
}

// dropCopies deletes one of the folders that copies wrote, for good.
func (e *editor) dropCopies() (string, []string) {
	var folders []string
	for _, name := range e.files(".md") {
		if folder, _, _ := strings.Cut(name, "/"); strings.HasPrefix(folder, "more-") && !slices.Contains(folders, folder) {
			folders = append(folders, folder)
		}
	}
	if len(folders) == 0 {
		return e.copies()
	}
	folder := e.pick(folders)
	if err := os.RemoveAll(filepath.Join(e.dir, folder)); err != nil {
		e.t.Fatal(err)
	}
	for name := range e.broken {
		if strings.HasPrefix(name, folder+"/") {
			delete(e.broken, name)
		}
	}
	return "deleted " + folder, []string{folder}
}

// sharedSteps are two procedures on the generated machine that take in the same
// steps, and a refit file, which the other libraries lack.
func sharedSteps() fstest.MapFS {
	file := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	procedure := func(id string) *fstest.MapFile {
		return file("---\nkind: procedure\nid: " + id + "\ntitle: " + id + "\nmachine: machine-0000\nedition: \"1\"\n---\n::: include isolate\n:::\n" +
			"::: step bolts \"Undo\" {time=5 tools=\"socket-13, crate\" needs=isolated figure=panel-0}\nUndo the bolts.\n::: fasteners {figure=panel-0}\n- remove 1, 2, 3\n:::\n::: actions\n- remove cover-1\n:::\n:::\n")
	}
	return fstest.MapFS{
		"shared/isolate.md": file("---\nkind: steps\nid: isolate\ntitle: Isolate\n---\n::: step isolate-it \"Isolate\" {time=3 tools=padlock figure=switch}\nTurn it off.\n::: figure switch \"The switch\" {src=figures/switch.svg describe=\"A switch\"}\n:::\n::: actions\n- establish isolated\n- verify isolated\n:::\n:::\n"),
		"shared/one.md":     procedure("take-one"), "shared/two.md": procedure("take-two"),
		"shared/two-refit.md": file("---\nkind: refit\nprocedure: take-two\n---\n::: step look \"Look\" {time=1}\nLook at the cover.\n:::\n"),
		"figures/switch.svg":  file(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 80 60"><rect x="4" y="4" width="72" height="52" fill="none" stroke="#000"/></svg>`),
	}
}

func errorsOf(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	return slices.DeleteFunc(slices.Clone(all), func(d diagnostic.Diagnostic) bool { return d.Severity != diagnostic.Error })
}
