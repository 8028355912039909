package compile

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"matchmark/compile/library"
	"matchmark/procedure/diagnostic"
	"matchmark/themes"
	"matchmark/themes/render"
)

// TestPagesAreThoseOfTheTemplates makes every page of the demo library and of
// generated ones twice, by the programs of themes/render and by html/template
// itself, which says what a page is.
func TestPagesAreThoseOfTheTemplates(t *testing.T) {
	for name, files := range map[string]fs.FS{"demo": os.DirFS("../content"), "generated": corpus(20), "variants": largeProcedure(40, 3)} {
		t.Run(name, func(t *testing.T) {
			pages := emitThrough(t, files, func(set *render.Set, w io.Writer, name string, view any) error {
				var got, want bytes.Buffer
				if err := set.ExecuteTemplate(&got, name, view); err != nil {
					return err
				}
				if err := set.Templates().ExecuteTemplate(&want, name, view); err != nil {
					return err
				}
				if !bytes.Equal(got.Bytes(), want.Bytes()) {
					return fmt.Errorf("template %s: %s", name, firstDifference(got.Bytes(), want.Bytes()))
				}
				for _, why := range set.Left() {
					return fmt.Errorf("left to html/template: %s", why)
				}
				_, err := w.Write(got.Bytes())
				return err
			})
			if pages < 10 {
				t.Errorf("only %d pages were compared", pages)
			}
		})
	}
}

func firstDifference(got, want []byte) string {
	i := 0
	for i < min(len(got), len(want)) && got[i] == want[i] {
		i++
	}
	around := func(b []byte) []byte { return b[max(0, min(i, len(b))-60):min(len(b), i+60)] }
	return fmt.Sprintf("at byte %d: %q, want %q", i, around(got), around(want))
}

// BenchmarkStepPage makes the step views of a generated library, and reports how
// much longer html/template takes for the same pages in the same run: the best
// time of each, which other work on the machine disturbs least.
func BenchmarkStepPage(b *testing.B) {
	type page struct {
		set         *render.Set
		view        any
		plain, fast time.Duration
	}
	const name = "site/steps"
	var pages []*page
	var mu sync.Mutex
	emitThrough(b, corpus(4), func(set *render.Set, w io.Writer, named string, view any) error {
		if named == name {
			mu.Lock()
			defer mu.Unlock()
			pages = append(pages, &page{set, view, time.Hour, time.Hour})
		}
		return nil
	})
	var buf bytes.Buffer
	best := func(old time.Duration, execute func(io.Writer, string, any) error, view any) time.Duration {
		buf.Reset()
		start := time.Now()
		if err := execute(&buf, name, view); err != nil {
			b.Fatal(err)
		}
		return min(old, time.Since(start))
	}
	for b.Loop() {
		for _, p := range pages {
			p.plain = best(p.plain, p.set.Templates().ExecuteTemplate, p.view)
			p.fast = best(p.fast, p.set.ExecuteTemplate, p.view)
		}
	}
	var plain, fast time.Duration
	for _, p := range pages {
		plain, fast = plain+p.plain, fast+p.fast
	}
	b.ReportMetric(float64(plain)/float64(fast), "ratio")
	b.ReportMetric(float64(fast.Microseconds())/float64(len(pages)), "µs/page")
	b.ReportMetric(float64(buf.Len())/1024, "KB/page")
}

// emitThrough makes all pages of a library, each by the given function, and returns how many.
func emitThrough(tb testing.TB, files fs.FS, execute themes.Execute) int {
	tb.Helper()
	theme, err := themes.Load()
	if err != nil {
		tb.Fatal(err)
	}
	var log diagnostic.Log
	lib, err := library.Load(files, &log)
	if err != nil || log.HasErrors() {
		tb.Fatalf("the library does not load: %v %v", err, log.Sorted())
	}
	var pages atomic.Int64
	emitWhole(tb, files, lib, theme.Through(func(set *render.Set, w io.Writer, name string, view any) error {
		pages.Add(1)
		return execute(set, w, name, view)
	}))
	return int(pages.Load())
}
