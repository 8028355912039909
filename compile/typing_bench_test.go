package compile_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"runtime"
	"testing"
	"time"

	"matchmark/compile"
	"matchmark/compile/assist"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// BenchmarkTyping opens a file of a library, types in it and asks. Each is reported as a ratio to reading the one file, or to
// reading all of the library's files for what has to look at all, in the same run, and in milliseconds; and what the desk
// then holds in memory.
func BenchmarkTyping(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			if n > 1000 && testing.Short() {
				b.Skip("takes long")
			}
			files := compile.Corpus(n)
			const name = "procedures/procedure-00007.md"
			src := files[name].Data
			var reading, readingAll, opening, key, completing time.Duration
			keys := 0
			var held uint64
			for b.Loop() {
				start := time.Now()
				for name, f := range files {
					source.NewReader().Heading(text.NewFile(name, bytes.Clone(f.Data)))
				}
				readingAll += time.Since(start)

				before := inUse()
				d := assist.NewDesk(files)
				d.Type(name, src)
				start = time.Now()
				first(b, d, name)
				opening += time.Since(start)
				whole(b, d, name)
				held = inUse() - before

				for i := range 20 {
					words := bytes.Replace(src, []byte("socket"), []byte(fmt.Sprint("socket", i)), 1)
					start = time.Now()
					source.NewReader().Read(text.NewFile(name, bytes.Clone(words)), nil, &diagnostic.Log{})
					reading += time.Since(start)

					start = time.Now()
					d.Type(name, words)
					first(b, d, name)
					key += time.Since(start)

					start = time.Now()
					if _, err := d.Complete(name, len(words)/2); err != nil {
						b.Fatal(err)
					}
					completing += time.Since(start)
					keys++
				}
			}
			ms := func(d time.Duration, n int) float64 { return float64(d.Microseconds()) / 1000 / float64(n) }
			b.ReportMetric(float64(opening)/float64(readingAll), "opening/headings")
			b.ReportMetric(float64(key)/float64(reading), "key/reading")
			b.ReportMetric(float64(completing)/float64(reading), "completing/reading")
			b.ReportMetric(ms(opening, b.N), "ms-opening")
			b.ReportMetric(ms(key, keys), "ms-key")
			b.ReportMetric(ms(completing, keys), "ms-completing")
			b.ReportMetric(float64(held)/(1<<20), "MB")
		})
	}
}

func inUse() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// first waits for the messages on a file.
func first(tb testing.TB, d *assist.Desk, name string) {
	ctx, cancel := context.WithCancel(tb.Context())
	defer cancel()
	err := d.Check(ctx, []string{name}, func([]diagnostic.Diagnostic, bool) { cancel() })
	if !errors.Is(err, context.Canceled) {
		tb.Fatal(err)
	}
}

// whole waits for the messages on the whole library.
func whole(tb testing.TB, d *assist.Desk, name string) {
	if err := d.Check(tb.Context(), []string{name}, func([]diagnostic.Diagnostic, bool) {}); err != nil {
		tb.Fatal(err)
	}
}
