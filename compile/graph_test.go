package compile

import (
	"bytes"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"matchmark/content"
	"matchmark/procedure/diagnostic"
	"matchmark/themes"
)

// opened is a folder that remembers which files were opened.
type opened struct {
	fs.FS
	mu    sync.Mutex
	names map[string]bool
}

func (o *opened) Open(name string) (fs.File, error) {
	o.mu.Lock()
	o.names[name] = true
	o.mu.Unlock()
	return o.FS.Open(name)
}

// everyKind is a library with every kind of unit, in memory.
func everyKind(tb testing.TB) fstest.MapFS {
	tb.Helper()
	out := corpus(12)
	maps.Copy(out, sharedSteps())
	maps.Copy(out, likeAnother(corpusProcedure(1, 0)))
	out["stray.md"] = &fstest.MapFile{Data: []byte("---\nkind: quiz\nid: stray\ntitle: A quiz on nothing\nprocedure: procedure-00001\npass: 80\n---\n")}
	err := fs.WalkDir(content.Library(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == "library.yaml" {
			return err
		}
		src, err := fs.ReadFile(content.Library(), name)
		out[path.Join("demo", name)] = &fstest.MapFile{Data: bytes.ReplaceAll(src, []byte("src=figures/"), []byte("src=demo/figures/"))}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// likeAnother is a machine that is like the generated one and has its tools from a registers file, which has
// them from a table, with a procedure.
func likeAnother(procedure string) fstest.MapFS {
	out := fstest.MapFS{}
	for name, text := range map[string]string{
		"machines/small.md":   "---\nkind: machine\nid: small\ntitle: Small machine\nlike: machine-0000\n---\n::: register tools {from=lists/tools.md}\n:::\n",
		"lists/tools.md":      "---\nkind: registers\ntitle: Tools\n---\n::: register tools {from=lists/tools.csv}\n:::\n",
		"lists/tools.csv":     "ID,Name,Type\nsocket-13,Long socket 13 mm,tool\n",
		"procedures/small.md": strings.NewReplacer("procedure-00001", "small-job", "machine: machine-0000", "machine: small").Replace(procedure),
	} {
		out[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return out
}

// results are all results of a snapshot that were made.
func (s *snapshot) results() map[key]*result {
	out := map[key]*result{}
	for _, shard := range s.shards {
		for k, c := range shard {
			if c.now.Load() != nil {
				out[k] = c.now.Load()
			}
		}
	}
	return out
}

// TestKeysCoverWhatIsRead makes every result of a library once all that it says it reads is
// there. Then its maker opens no file but those that it says it reads, and makes no other result.
func TestKeysCoverWhatIsRead(t *testing.T) {
	files := everyKind(t)
	t.Run("check", func(t *testing.T) {
		b := NewBuilder(files, Options{})
		if err := b.Check(t.Context(), nil, nil, &diagnostic.Log{}); err != nil {
			t.Fatal(err)
		}
		walkResults(t, files, b.now.results())
	})
	delete(files, "stray.md") // which is an error
	b := NewBuilder(files, Options{})
	var log diagnostic.Log
	if err := b.read(); err != nil {
		t.Fatal(err)
	}
	if _, err := b.compile(t.Context(), sinkStage{nowhere{}}, wanted{}, &log); err != nil {
		t.Fatalf("%v\n%s", err, lines(t, errorsOf(log.Sorted())))
	}
	all := b.now.results()
	made := walkResults(t, files, all)
	for _, name := range []string{"machines/machine-0000.md", "lists/tools.md", "lists/tools.csv"} {
		covered := map[string]bool{}
		if cover(covered, all, key{sharedKind, "machines/small.md"}); !covered[name] {
			t.Errorf("the machine does not read %s", name)
		}
	}
	for of := range kinds {
		if made[of] == 0 && of != idsKind {
			t.Errorf("no %s was made", kindNames[of])
		}
	}
}

// walkResults makes results again, one after the other, and returns how many of each kind.
func walkResults(t *testing.T, files fs.FS, all map[key]*result) map[kind]int {
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	folder := &opened{FS: files, names: map[string]bool{}}
	walked := NewBuilder(folder, Options{})
	walked.theme = theme
	s := &snapshot{Builder: walked, files: folder}
	made, seen := map[kind]int{}, map[key]bool{}
	var walk func(k key)
	walk = func(k key) {
		if seen[k] {
			return
		}
		seen[k] = true
		for _, r := range all[k].reads {
			walk(r.key)
		}
		covered := map[string]bool{}
		cover(covered, all, k)
		before := s.results()
		if before[k] != nil {
			return // what the site index asks of models, see below
		}
		clear(folder.names)
		s.get(k)
		made[k.kind]++
		for name := range folder.names {
			if info, err := fs.Stat(files, name); !covered[name] && !(k.kind == listingKind && err == nil && info.IsDir()) {
				t.Errorf("the %s opens %s, and does not say so", k, name)
			}
		}
		for other := range s.results() {
			switch {
			case other == k || before[other] != nil:
			case other.kind == idsKind: // matters to messages on errors, where it is noted
			case k == key{pagesKind, siteName} && other.kind == sharedKind: // of files that it reads
			default:
				t.Errorf("the %s asks for the %s, and does not say so", k, other)
			}
		}
	}
	for _, k := range slices.SortedFunc(maps.Keys(all), func(a, b key) int { return strings.Compare(a.String(), b.String()) }) {
		walk(k)
	}
	for k, r := range s.results() {
		if all[k] != nil && (r.sums[part] != all[k].sums[part] || !k.kind.byReads() && r.sums[whole] != all[k].sums[whole]) {
			t.Errorf("the %s has another sum when it is made again", k)
		}
	}
	return made
}

// cover marks the files that the sum of a result tells apart: those that it reads, and those
// of the results that it reads as a whole, if their sums are those of what they read.
func cover(files map[string]bool, all map[key]*result, k key) {
	if k.kind == fileKind || k.kind == pictureKind {
		files[k.name] = true
	}
	for _, r := range all[k].reads {
		if r.kind.leaf() || r.kind.byReads() && r.aspect == whole {
			cover(files, all, r.key)
		}
	}
}

// overlays are what an editor may hold over everyKind, step by step.
func overlays(files fstest.MapFS) []Overlay {
	change := func(name, old, now string) []byte {
		return bytes.Replace(files[name].Data, []byte(old), []byte(now), 1)
	}
	return []Overlay{
		{"procedures/procedure-00001.md": change("procedures/procedure-00001.md", "- remove 5\n", "- remove 500\n")},
		{"procedures/procedure-00001.md": change("procedures/procedure-00001.md", "- remove 5\n", "- remove 50\n"), "machines/machine-0000.md": change("machines/machine-0000.md", "| padlock |", "| padlok |")},
		{"machines/machine-0000.md": change("machines/machine-0000.md", "id: machine-0000", "id: machine-0001")},
		{"procedures/new.md": []byte(strings.Replace(corpusProcedure(1, 0), "id: procedure-00001", "id: procedure-00002", 1))},
		{"library.yaml": []byte("title: [\n")},
		{"shared/isolate.md": []byte("---\nkind: steps\nid: isolate\n---\n")},
		{"figures/panel.svg": []byte("<svg")},
		{"lists/tools.csv": change("lists/tools.csv", ",tool", ",tol")},
		{"lists/tools.csv": change("lists/tools.csv", "socket-13", "socket-14"), "lists/tools.md": change("lists/tools.md", "::: register tools", "::: register fluids")},
		{"machines/small.md": change("machines/small.md", " {from=lists/tools.md}", ""), "machines/machine-0000.md": change("machines/machine-0000.md", "id: machine-0000", "id: machine-0000\nlike: small")},
		{},
		{"demo/courses/oven-fan.md": change("demo/courses/oven-fan.md", "procedure: ", "procedure: x")},
		nil,
	}
}

// TestOverlayIsAsGoodAsSaved checks a library with unsaved text over it, and wants what a
// check finds in a folder in which the same text is saved.
func TestOverlayIsAsGoodAsSaved(t *testing.T) {
	files := everyKind(t)
	b := NewBuilder(files, Options{})
	var first *snapshot
	var firstSays string
	for i, over := range overlays(files) {
		saved := copyOf(files)
		for name, text := range over {
			saved[name] = &fstest.MapFile{Data: text}
		}
		var got, want diagnostic.Log
		if err := b.Check(t.Context(), over, nil, &got); err != nil {
			t.Fatal(err)
		}
		if i > 0 && i%3 != 0 && testing.Short() {
			continue // what it leaves behind is in the next one
		}
		if err := NewBuilder(saved, Options{}).Check(t.Context(), nil, nil, &want); err != nil {
			t.Fatal(err)
		}
		if a, b := lines(t, got.Sorted()), lines(t, want.Sorted()); a != b {
			t.Errorf("overlay %d: the check finds\n%s\nand in the saved text\n%s", i, onlyIn(a, b), onlyIn(b, a))
		}
		if i == 0 {
			first, firstSays = b.now, lines(t, got.Sorted())
			if !got.HasErrors() {
				t.Error("the overlay is not read")
			}
		}
	}
	// The first snapshot says what it said, whatever came after it.
	var log diagnostic.Log
	if first.report(&log, nil); lines(t, log.Sorted()) != firstSays {
		t.Error("a snapshot says something else than before")
	}
}

// TestOverlayCostsWhatItChanges lays one change over a library and wants no other unit looked at.
func TestOverlayCostsWhatItChanges(t *testing.T) {
	made := &traced{}
	b := NewBuilder(corpus(12), Options{Trace: made.line})
	name := "procedures/procedure-00001.md"
	src, err := fs.ReadFile(b.folder, name)
	if err != nil {
		t.Fatal(err)
	}
	for i, over := range []Overlay{nil, {name: append(src[:len(src):len(src)], "\nMore.\n"...)}, nil} {
		var log diagnostic.Log
		if err := b.Check(t.Context(), over, nil, &log); err != nil {
			t.Fatal(err)
		}
		if got := made.units(); i > 0 && !slices.Equal(got, []string{name}) {
			t.Errorf("round %d: %q were looked at, want %q", i, got, name)
		}
	}
}
