package compile

import (
	"bytes"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
)

// BenchmarkCompile compiles 1,000 generated procedures of 30 steps into memory,
// all pages, sheets and quizzes, and reports the time as a ratio to goldmark
// alone converting the same bytes in the same run.
func BenchmarkCompile(b *testing.B) {
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

func convertAll(tb testing.TB, md goldmark.Markdown, files fstest.MapFS) {
	var buf bytes.Buffer
	for name, f := range files {
		if !strings.HasSuffix(name, ".md") {
			continue
		}
		buf.Reset()
		if err := md.Convert(f.Data, &buf); err != nil {
			tb.Fatal(err)
		}
	}
}

func compileInMemory(tb testing.TB, files fs.FS) *output.Memory {
	var log diagnostic.Log
	lib, err := library.Load(files, &log)
	if err != nil {
		tb.Fatal(err)
	}
	if found := log.Sorted(); log.HasErrors() {
		var out strings.Builder
		_ = diagnostic.Printer{Excerpt: true}.Print(&out, found[:min(5, len(found))])
		tb.Fatalf("the generated library has errors:\n%s", out.String())
	}
	sink := &output.Memory{}
	if _, err := emit(files, lib, sink, &log, func(Progress) {}); err != nil {
		tb.Fatal(err)
	}
	return sink
}
