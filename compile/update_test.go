package compile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"

	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
)

// author is a library on disk with a builder that keeps its site up to date.
type author struct {
	t          *testing.T
	dir, site  string
	kept       *cache.Cache
	builder    *Builder
	made       traced
	lines      []string // of the trace of the last update
	recompiled []string
}

func watch(t *testing.T, n int) *author {
	w := &author{t: t, dir: t.TempDir(), site: filepath.Join(t.TempDir(), "site"), kept: cache.Open(t.TempDir())}
	onDisk(t, w.dir, corpus(n))
	w.start()
	return w
}

// start begins to watch as somebody does who comes back to the library.
func (w *author) start() {
	w.builder = NewBuilder(os.DirFS(w.dir), Options{Cache: w.kept, LeaveOutAdvice: true, Trace: w.made.line})
}

func (w *author) replace(name, old, now string) {
	w.t.Helper()
	at := filepath.Join(w.dir, name)
	src, err := os.ReadFile(at)
	if err != nil || !bytes.Contains(src, []byte(old)) {
		w.t.Fatalf("%s holds no %q: %v", name, old, err)
	}
	if err := os.WriteFile(at, bytes.Replace(src, []byte(old), []byte(now), 1), 0o666); err != nil {
		w.t.Fatal(err)
	}
}

// update brings the site up to date and wants the messages, and the bytes, of a cold compile.
func (w *author) update(change Change) (sound bool) {
	w.t.Helper()
	var log diagnostic.Log
	_, err := w.builder.Update(w.t.Context(), w.site, change, &log)
	if err != nil && !errors.Is(err, ErrDiagnostics) {
		w.t.Fatal(err)
	}
	w.lines = slices.Clone(w.made.lines)
	w.recompiled = w.made.units()
	want, found, _ := inMemory(w.t, os.DirFS(w.dir), nil)
	if a, b := lines(w.t, notAdvice(log.Sorted())), lines(w.t, notAdvice(found)); a != b {
		w.t.Errorf("the messages are\n%s\nwant\n%s", a, b)
	}
	if (err == nil) != (want != nil) {
		w.t.Fatalf("the update says %v", err)
	}
	if want != nil {
		sameSite(w.t, folder(w.t, w.site), want)
	}
	return err == nil
}

// What was edited while nobody author reaches the site when somebody watches again.
func TestEditsBetweenTwoWatches(t *testing.T) {
	w := watch(t, 3)
	w.update(Change{All: true})
	w.start()
	w.replace("procedures/procedure-00001.md", "Put the bolt", "Lay the bolt")
	w.update(Change{All: true})
	w.start()
	w.replace("procedures/procedure-00002.md", "Put the bolt", "Lay the bolt")
	w.update(Change{All: true})
}

// The first edit of a title after a start that found the site as it should be makes
// the pieces that show it, and not all of the pages on the whole.
func TestFirstTitleAfterAStart(t *testing.T) {
	w := watch(t, 45)
	w.update(Change{All: true})
	w.start()
	w.update(Change{All: true})
	w.builder.warming.Wait()
	for i := range 3 {
		w.replace("procedures/procedure-00007.md", `"Undo bolt`, fmt.Sprintf(`"Turn %d, undo bolt`, i))
		w.update(Change{Names: []string{"procedures/procedure-00007.md"}})
		var written, all int
		for _, line := range w.lines {
			if _, err := fmt.Sscanf(line, "wrote %d of the %d files", &written, &all); err == nil {
				break
			}
		}
		if written == 0 || written > all/2 {
			t.Errorf("edit %d: %d of %d files of the start page and its like were written", i, written, all)
		}
	}
}

// A library that has an error when watching begins is looked at where it changes, until
// the last error is repaired; then its site is made.
func TestErrorFromTheStart(t *testing.T) {
	const broken, other = "procedures/procedure-00001.md", "procedures/procedure-00002.md"
	w := watch(t, 6)
	w.replace(broken, "::: step step-03", "::: nonsense step-03")
	if w.update(Change{All: true}) {
		t.Fatal("the library has no error")
	}
	w.replace(other, "- remove 5\n", "- remove 500\n")
	w.update(Change{Names: []string{other}})
	made := func() []string { // but for what is made from their cards
		return slices.DeleteFunc(slices.Clone(w.recompiled), func(s string) bool { return s == "machines/machine-0000.md" || s == "the start page" })
	}
	if got := made(); !slices.Equal(got, []string{other}) {
		t.Errorf("%q were looked at, want %q", got, other)
	}
	w.replace(broken, "::: nonsense step-03", "::: step step-03")
	w.update(Change{Names: []string{broken}})
	if got := made(); !slices.Equal(got, []string{broken}) {
		t.Errorf("%q were looked at, want %q", got, broken)
	}
	w.replace(other, "- remove 500\n", "- remove 5\n")
	if !w.update(Change{Names: []string{other}}) {
		t.Fatal("the library still has an error")
	}
	w.replace(other, "Put the bolt", "Lay the bolt")
	w.update(Change{Names: []string{other}})
	if !slices.Equal(w.recompiled, []string{other}) {
		t.Errorf("%q were made anew", w.recompiled)
	}
}

// Of a folder that is moved in or away, a watcher names the folder and not the pictures in it.
func TestFolderOfPictures(t *testing.T) {
	w := watch(t, 2)
	w.update(Change{All: true})
	move := func(from, to string) {
		t.Helper()
		if err := os.Rename(filepath.Join(w.dir, from), filepath.Join(w.dir, to)); err != nil {
			t.Fatal(err)
		}
	}
	w.replace("figures/panel.svg", `width="720"`, `width="700"`)
	onDisk(t, filepath.Join(w.dir, "more"), fstest.MapFS{"note/README.txt": {Data: []byte("nothing to compile")}})
	w.update(Change{Names: []string{"more", "figures/panel.svg"}})
	move("figures", "away")
	if w.update(Change{Names: []string{"figures", "away"}}) {
		t.Error("nothing is missing")
	}
	w.replace("away/panel.svg", `width="700"`, `width="690"`)
	move("away", "figures")
	if !w.update(Change{Names: []string{"away", "figures"}}) {
		t.Error("something is missing")
	}
}
