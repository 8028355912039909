package compile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// madeAnew compiles from a cache and returns the units that were made anew.
func madeAnew(t *testing.T, files fs.FS, kept *cache.Cache) []string {
	t.Helper()
	_, found, made := inMemory(t, files, kept)
	if hasErrors(found) {
		t.Fatalf("the library has errors:\n%s", lines(t, errorsOf(found)))
	}
	return made.units()
}

func copyOf(files fstest.MapFS) fstest.MapFS {
	out := fstest.MapFS{}
	for name, f := range files {
		out[name] = &fstest.MapFile{Data: slices.Clone(f.Data)}
	}
	return out
}

// TestWhatIsMadeAnew changes one file at a time and wants exactly the units that read it.
func TestWhatIsMadeAnew(t *testing.T) {
	before := corpus(2)
	for name, f := range sharedSteps() {
		before[name] = f
	}
	// A second machine with a procedure of its own, which nothing below touches.
	before["machines/other.md"] = &fstest.MapFile{Data: []byte(strings.Replace(corpusMachine(0), "id: machine-0000", "id: other", 1))}
	before["procedures/other.md"] = &fstest.MapFile{Data: []byte(strings.NewReplacer("id: procedure-00000", "id: other", "machine: machine-0000", "machine: other").Replace(corpusProcedure(0, 0)))}
	before["words.md"] = &fstest.MapFile{Data: []byte("---\nkind: glossary\ntitle: Words\n---\n- **crate**: The box that parts go into.\n")}
	// The cache has one place for a unit whose own files are the same, so what shared steps
	// and pictures change comes last.
	kept := cache.Open(t.TempDir())
	madeAnew(t, before, kept)
	onMachine := []string{"procedures/procedure-00000.md", "procedures/procedure-00001.md", "shared/one.md", "shared/two.md"}
	for _, c := range []struct {
		what, file, old, now string
		want                 []string
	}{
		{what: "nothing"},
		{"a step's words", "procedures/procedure-00001.md", "with the *13 mm* socket", "with the socket", []string{"procedures/procedure-00001.md"}},
		{"a step's title", "procedures/procedure-00001.md", `"Undo bolt 2"`, `"Undo the second bolt"`,
			[]string{"machines/machine-0000.md", "procedures/procedure-00001.md", "the start page"}},
		{"a quiz", "quizzes/quiz-00000.md", "What comes off", "Which comes off", []string{"procedures/procedure-00000.md"}},
		{"a machine", "machines/machine-0000.md", "A frame with ten covers", "A frame with covers", append(slices.Clone(onMachine), "machines/machine-0000.md", "the start page")},
		{"a refit", "shared/two-refit.md", "Look at the cover.", "Look at the cover twice.", []string{"shared/two.md"}},
		{"shared steps", "shared/isolate.md", "Turn it off.", "Turn it right off.", []string{"shared/isolate.md", "shared/one.md", "shared/two.md"}},
		{"a picture of shared steps", "figures/switch.svg", `width="72"`, `width="70"`, []string{"shared/isolate.md", "shared/one.md", "shared/two.md", "the start page"}}, // it is on their cards
		{"a term's meaning", "words.md", "The box", "A box", append(slices.Clone(onMachine), "procedures/other.md", "shared/isolate.md", "the start page", "words.md")},    // the case before has changed the shared steps
	} {
		t.Run(c.what, func(t *testing.T) {
			after := copyOf(before)
			if c.file != "" {
				src := string(after[c.file].Data)
				if !strings.Contains(src, c.old) {
					t.Fatalf("%s holds no %q", c.file, c.old)
				}
				after[c.file].Data = []byte(strings.Replace(src, c.old, c.now, 1))
			}
			want := slices.Clone(c.want)
			slices.Sort(want)
			// Machines follow the cards of their procedures: their list may show what changed.
			got := slices.DeleteFunc(madeAnew(t, after, kept), func(s string) bool {
				return s == "machines/machine-0000.md" && !slices.Contains(want, s)
			})
			if !slices.Equal(got, want) {
				t.Errorf("made anew: %q\nwant %q", got, want)
			}
		})
	}
}

// TestCacheThatIsNoHelp compiles with caches that are damaged, cut short,
// foreign, full or not to be written. The site is the same as without.
func TestCacheThatIsNoHelp(t *testing.T) {
	files := corpus(2)
	want, _, _ := inMemory(t, files, nil)
	each := func(dir string, change func(name string, content []byte) []byte) {
		filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				src, _ := os.ReadFile(name)
				err = os.WriteFile(name, change(name, src), 0o600)
			}
			return err
		})
	}
	for name, spoil := range map[string]func(t *testing.T, dir string){
		"damaged": func(t *testing.T, dir string) {
			n := 0
			each(dir, func(_ string, src []byte) []byte {
				n++
				src[n*977%len(src)] ^= 0xff
				return src
			})
		},
		"cut short": func(t *testing.T, dir string) {
			each(dir, func(_ string, src []byte) []byte { return src[:len(src)/2] })
		},
		"emptied": func(t *testing.T, dir string) {
			each(dir, func(string, []byte) []byte { return nil })
		},
		"mixed up": func(t *testing.T, dir string) {
			var last []byte
			each(dir, func(_ string, src []byte) []byte { src, last = last, src; return src })
		},
		"read only": func(t *testing.T, dir string) {
			filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
				if err == nil && d.IsDir() {
					os.Chmod(name, 0o500)
				}
				return err
			})
			t.Cleanup(func() {
				filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error { os.Chmod(name, 0o700); return nil })
			})
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			inMemory(t, files, cache.Open(dir))
			spoil(t, dir)
			for range 2 {
				got, _, _ := inMemory(t, files, cache.Open(dir))
				sameSite(t, got, want)
			}
		})
	}
	t.Run("full", func(t *testing.T) {
		kept := cache.Open(t.TempDir()).Limited(1)
		for range 2 {
			got, _, _ := inMemory(t, files, kept)
			sameSite(t, got, want)
			kept.Trim()
		}
	})
}

// TestUnchangedFilesStay compiles twice into a folder, with one step changed in
// between: files whose bytes are the same keep their times.
func TestUnchangedFilesStay(t *testing.T) {
	for _, kept := range []*cache.Cache{nil, cache.Open(t.TempDir())} {
		t.Run(fmt.Sprintf("cache %v", kept != nil), func(t *testing.T) {
			site := filepath.Join(t.TempDir(), "site")
			files := corpus(2)
			siteOf(t, files, site, kept)
			before := folder(t, site)
			times := timesOf(t, site)
			name := "procedures/procedure-00001.md"
			files[name].Data = []byte(strings.Replace(string(files[name].Data), "at once", "now", 1))
			siteOf(t, files, site, kept)
			after, now := folder(t, site), timesOf(t, site)
			changed := 0
			for name := range after {
				if string(after[name]) != string(before[name]) {
					changed++
				} else if now[name] != times[name] {
					t.Errorf("%s has the same bytes and another time", name)
				}
			}
			if changed == 0 || changed > len(after)/2 {
				t.Errorf("%d files of %d changed", changed, len(after))
			}
			siteOf(t, files, site, kept)
			for name, was := range timesOf(t, site) {
				if was != now[name] {
					t.Errorf("nothing changed, and %s has another time", name)
				}
			}
		})
	}
}

func siteOf(t *testing.T, files fs.FS, site string, kept *cache.Cache) {
	t.Helper()
	var log diagnostic.Log
	if _, err := Site(t.Context(), files, site, &log, Options{Cache: kept}); err != nil {
		t.Fatal(err)
	}
}

func timesOf(t *testing.T, dir string) map[string]int64 {
	t.Helper()
	out := map[string]int64{}
	for name := range folder(t, dir) {
		info, err := os.Stat(filepath.Join(dir, name))
		assert.NilError(t, err)
		out[name] = info.ModTime().UnixNano()
	}
	return out
}

// TestTwoCompilesAtOnce holds a folder while another compile wants it.
func TestTwoCompilesAtOnce(t *testing.T) {
	site := filepath.Join(t.TempDir(), "site")
	siteOf(t, corpus(1), site, nil)
	before := folder(t, site)
	held, err := output.Begin(site)
	assert.NilError(t, err)
	var log diagnostic.Log
	_, err = Site(t.Context(), corpus(2), site, &log, Options{})
	var fault *output.Fault
	if !errors.As(err, &fault) || fault.Kind != output.Busy {
		t.Errorf("the second compile says %v", err)
	}
	held.Abort()
	sameSite(t, folder(t, site), before)
}

// TestEndedCompile ends a compile while it writes: the old site stands, and nothing is left beside it.
func TestEndedCompile(t *testing.T) {
	dir := t.TempDir()
	site := filepath.Join(dir, "site")
	siteOf(t, corpus(1), site, nil)
	before := folder(t, site)
	ctx, end := contextThatEnds(t)
	var log diagnostic.Log
	_, err := Site(ctx, corpus(20), site, &log, Options{Progress: func(p Progress) {
		if p.Stage == "pages" && p.Done == 25 {
			end()
		}
	}})
	if !errors.Is(err, ctx.Err()) || err == nil {
		t.Errorf("the compile says %v", err)
	}
	sameSite(t, folder(t, site), before)
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("left beside the site: %v, %v", left, err)
	}
}

func contextThatEnds(t *testing.T) (context.Context, func()) {
	ctx, end := context.WithCancel(t.Context())
	t.Cleanup(end)
	return ctx, end
}

// TestAdviceIsCounted compiles the demo with its advice in the log and with its advice
// counted, made anew and with nothing changed: both know of the same pieces.
func TestAdviceIsCounted(t *testing.T) {
	kept, dir := cache.Open(t.TempDir()), filepath.Join(t.TempDir(), "site")
	var first int
	for i, how := range []Options{{}, {Cache: kept}, {Cache: kept, LeaveOutAdvice: true}, {Cache: kept, LeaveOutAdvice: true}, {Cache: kept}} {
		var log diagnostic.Log
		sum, err := Site(t.Context(), content.Library(), dir, &log, how)
		assert.NilError(t, err)
		inLog := 0
		for _, d := range log.Sorted() {
			if d.Severity == diagnostic.Advice {
				inLog++
			}
		}
		if i == 0 {
			first = inLog
		}
		if inLog+sum.Advice != first || first == 0 || how.LeaveOutAdvice != (sum.Advice > 0) {
			t.Errorf("compile %d: %d pieces of advice in the log and %d counted, want %d together", i, inLog, sum.Advice, first)
		}
	}
}
