package compile

import (
	"bytes"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/compile/starter"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// inMemory compiles a library unit by unit into memory; on errors the files are nil.
func inMemory(tb testing.TB, files fs.FS, kept *cache.Cache) (map[string][]byte, []diagnostic.Diagnostic, *Session) {
	tb.Helper()
	s := NewSession(files, Options{Cache: kept})
	var log diagnostic.Log
	sink := &output.Memory{}
	if err := s.read(func() {}); err != nil {
		tb.Fatal(err)
	}
	if err := s.compile(tb.Context(), sinkStage{sink}, &log); err == ErrDiagnostics {
		return nil, log.Sorted(), s
	} else if err != nil {
		tb.Fatal(err)
	}
	return sink.Files(), log.Sorted(), s
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
	if err := diagnostic.PrintJSON(&b, all); err != nil {
		tb.Fatal(err)
	}
	return b.String()
}

// libraries are those on which the units are compared with the whole.
func libraries() map[string]fs.FS {
	return map[string]fs.FS{"demo": content.Library(), "starter": starter.Library(), "generated": corpus(30)}
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
func notAdvice(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	return slices.DeleteFunc(slices.Clone(all), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Advice })
}
