package compile

import (
	"bytes"
	"errors"
	"io/fs"
	"runtime/debug"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"matchmark/compile/output"
	"matchmark/compile/reference"
	"matchmark/compile/site"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/themes"
)

// BenchmarkCompile compiles 1,000 generated procedures of 30 steps into memory,
// all pages, sheets and quizzes, and reports the time as a ratio to goldmark
// alone converting the same bytes in the same run, on as many processors and with
// garbage collected as seldom. make bench measures compiles into folders.
func BenchmarkCompile(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(collectAt))
	files := corpus(1000)
	yardstick := goldmark.New(goldmark.WithExtensions(extension.Table))
	var plain, whole time.Duration
	for b.Loop() {
		start := time.Now()
		convertAll(b, yardstick, files)
		plain += time.Since(start)

		start = time.Now()
		compileInMemory(b, files)
		whole += time.Since(start)
	}
	b.ReportMetric(float64(whole)/float64(plain), "ratio")
	b.ReportMetric(float64(plain.Milliseconds())/float64(b.N), "ms-goldmark")
}

// BenchmarkPapers compiles 200 generated procedures into memory without papers for trainers and with all of those that a job has, in turn,
// and reports what these papers cost as a share of the compile without them.
func BenchmarkPapers(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(collectAt))
	plain, papers := corpus(200), corpus(200)
	papers["library.yaml"].Data = append(papers["library.yaml"].Data, "papers: [risk, isolation, assessment, release, deck, feedback, follow-up]\n"...)
	var without, with time.Duration
	for b.Loop() {
		start := time.Now()
		compileInMemory(b, plain)
		without += time.Since(start)

		start = time.Now()
		compileInMemory(b, papers)
		with += time.Since(start)
	}
	b.ReportMetric(float64(with-without)/float64(without), "share")
	b.ReportMetric(float64(with.Milliseconds())/float64(b.N), "ms-papers")
}

func convertAll(tb testing.TB, md goldmark.Markdown, files fstest.MapFS) {
	tb.Helper()
	var names []string
	for name := range files {
		if strings.HasSuffix(name, ".md") {
			names = append(names, name)
		}
	}
	errs := make([]error, len(names))
	parallel.Each(names, func(i int) { errs[i] = md.Convert(files[names[i]].Data, new(bytes.Buffer)) })
	if err := firstError(errs); err != nil {
		tb.Fatal(err)
	}
}

func compileInMemory(tb testing.TB, files fs.FS) {
	s := NewBuilder(files, Options{})
	s.unsummed = true // as Site does without a cache
	if err := s.read(); err != nil {
		tb.Fatal(err)
	}
	var log diagnostic.Log
	if _, err := s.compile(tb.Context(), sinkStage{nowhere{}}, wanted{}, &log); err != nil {
		tb.Fatalf("%v\n%s", err, lines(tb, log.Sorted()[:min(5, len(log.Sorted()))]))
	}
}

// nowhere drops what is written, as the yardstick does.
type nowhere struct{}

func (nowhere) Write(path string, _ []byte) error { return output.CheckPath(path) }

// BenchmarkOrderCheck runs every check of a procedure with 200 steps on a machine
// with 4 variants, and reports the processors' time as a ratio to that of rendering its pages, sheets
// and the way back included, in the same run. What each site has once, such as the reference, is not counted.
func BenchmarkOrderCheck(b *testing.B) {
	files := largeProcedure(200, 4)
	var log diagnostic.Log
	lib, err := checkWhole(files, &log)
	if err != nil || log.HasErrors() {
		b.Fatalf("the generated procedure does not load: %v %v", err, log.Sorted()[:min(3, len(log.Sorted()))])
	}
	theme, err := themes.Load()
	if err != nil {
		b.Fatal(err)
	}
	var checking, rendering time.Duration
	for b.Loop() {
		start := busyTime()
		var log diagnostic.Log
		check.Library(lib, &log)
		for _, p := range lib.Procedures {
			order.Run(p, refit.AdditionsOf(p), &log)
		}
		checking += busyTime() - start

		start = busyTime()
		emitWhole(b, files, lib, theme)
		rendering += busyTime() - start
		start = busyTime()
		if err := errors.Join(site.EmitAssets(lib, theme, nowhere{}), reference.Emit(lib, theme, nowhere{})); err != nil {
			b.Fatal(err)
		}
		rendering -= busyTime() - start
	}
	b.ReportMetric(float64(checking)/float64(rendering), "ratio")
	b.ReportMetric(float64(checking.Microseconds())/float64(b.N)/1000, "ms-check")
}
