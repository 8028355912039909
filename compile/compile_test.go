package compile

import (
	"bytes"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/compile/starter"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// sinkStage puts files into any sink, which has none before.
type sinkStage struct{ output.Sink }

func (sinkStage) have(cache.File) bool     { return false }
func (s sinkStage) put(f cache.File) error { return s.Write(f.Path, f.Content) }

// inMemory compiles a library unit by unit into memory; on errors the files are nil.
func inMemory(tb testing.TB, files fs.FS, kept *cache.Cache) (map[string][]byte, []diagnostic.Diagnostic, *traced) {
	tb.Helper()
	made := &traced{}
	b := NewBuilder(files, Options{Cache: kept, Trace: made.line})
	var log diagnostic.Log
	sink := &output.Memory{}
	if err := b.read(); err != nil {
		tb.Fatal(err)
	}
	if _, err := b.compile(tb.Context(), sinkStage{sink}, wanted{}, &log); err == ErrDiagnostics {
		return nil, log.Sorted(), made
	} else if err != nil {
		tb.Fatal(err)
	}
	return sink.Files(), log.Sorted(), made
}

// traced collects what a builder says that it made.
type traced struct {
	mu    sync.Mutex
	lines []string
}

func (t *traced) line(line string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.lines = append(t.lines, line)
}

// units are the units that were made anew since they were asked for last, in order.
func (t *traced) units() (out []string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, line := range t.lines {
		what, why, _ := strings.Cut(line, ": ")
		for _, kind := range []kind{checkKind, pagesKind} {
			if name, is := strings.CutPrefix(what, "made "+kindNames[kind]+" "); is && why != "from the cache" && !strings.HasPrefix(name, "of group") {
				out = append(out, name)
			}
		}
	}
	t.lines = nil
	slices.Sort(out)
	return slices.Compact(out)
}

// sameSite compares two sites byte by byte.
func sameSite(tb testing.TB, got, want map[string][]byte) {
	tb.Helper()
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if _, there := got[name]; !there {
			tb.Errorf("%s is missing", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		before, there := want[name]
		switch {
		case !there:
			tb.Errorf("%s is too many", name)
		case !bytes.Equal(before, got[name]):
			tb.Errorf("%s has other bytes", name)
		}
	}
}

// lines writes messages as an author gets them, places and all.
func lines(tb testing.TB, all []diagnostic.Diagnostic) string {
	tb.Helper()
	var b strings.Builder
	if err := diagnostic.PrintJSON(&b, nil, all); err != nil {
		tb.Fatal(err)
	}
	return b.String()
}

// libraries are those on which the units are compared with the whole.
func libraries() map[string]fs.FS {
	generated := 30
	if testing.Short() {
		generated = 10
	}
	return map[string]fs.FS{"demo": content.Library(), "starter": starter.Library(), "generated": corpus(generated)}
}

func TestUnitsMakeTheWholeSite(t *testing.T) {
	for name, files := range libraries() {
		t.Run(name, func(t *testing.T) {
			want, wantLog := wholeSite(t, files)
			got, log, _ := inMemory(t, files, nil)
			sameSite(t, got, want)
			if a, b := lines(t, notAdvice(log)), lines(t, notAdvice(wantLog)); a != b {
				t.Errorf("the messages are\n%s\nwant\n%s", a, b)
			}
			if len(log) != len(wantLog) {
				t.Errorf("%d messages with advice, want %d", len(log), len(wantLog))
			}
		})
	}
}

// notAdvice leaves advice out, whose places are not kept.
// The keys of quizzes are the trainer's: no page, script or index of the site leads to one.
func TestNothingLeadsToAKey(t *testing.T) {
	site, _, _ := inMemory(t, content.Library(), nil)
	keys := 0
	for name, file := range site {
		if strings.HasSuffix(name, "/key.html") {
			keys++
		}
		if bytes.Contains(file, []byte("key.html")) {
			t.Errorf("%s leads to a key", name)
		}
	}
	if keys == 0 {
		t.Error("the demo has no key to a quiz")
	}
}

func notAdvice(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	return slices.DeleteFunc(slices.Clone(all), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Advice })
}
