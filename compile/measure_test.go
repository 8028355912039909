package compile

import (
	"bytes"
	"context"
	"crypto/sha256"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"gotest.tools/v3/assert"

	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
)

var (
	measure = flag.Bool("measure", false, "measure compiles and print medians and ratios")
	sizes   = flag.String("sizes", "10,100", "how many procedures the measured libraries have, smallest first")
	rounds  = flag.Int("rounds", 3, "how often each measurement is taken")
)

// collectAt is the heap growth at which both the compile and its yardstick collect
// garbage, and mostMemory the bytes from which on they collect more often, as the command sets them.
const (
	collectAt  = 400
	mostMemory = 768 << 20
)

// mostInMemory is up to how many procedures all files of a site are held in memory, to
// measure what writing them takes: no compile that makes these files can take less.
const mostInMemory = 1000

// TestMain lets the test binary run as a process that is measured, or killed.
func TestMain(m *testing.M) {
	if job := os.Getenv("MATCHMARK_JOB"); job != "" {
		if err := doJob(job, os.Args[1:]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	flag.Parse()
	os.Exit(m.Run())
}

// clock measures a round of a job: the time that passed, and the processors' time
// that the process had, which a busy machine changes less.
type clock struct {
	start time.Time
	busy  time.Duration
}

func startClock() clock { return clock{time.Now(), busyTime()} }

// stop prints both in nanoseconds.
func (c clock) stop() {
	fmt.Println(time.Since(c.start).Nanoseconds(), (busyTime() - c.busy).Nanoseconds())
}

// doJob carries out what a child process is for. It prints how long each round took.
func doJob(job string, args []string) error {
	debug.SetGCPercent(collectAt)
	debug.SetMemoryLimit(mostMemory)
	library := args[0]
	switch job {
	case "goldmark":
		md := goldmark.New(goldmark.WithExtensions(extension.Table))
		return yardstick(library, func(src []byte) error {
			return md.Convert(src, new(bytes.Buffer))
		})
	case "hash":
		clock := startClock()
		err := eachSource(library, func(src []byte) error { sha256.Sum256(src); return nil })
		clock.stop()
		return err
	case "compile":
		clock := startClock()
		err := compileFolder(library, args[1], args[2])
		clock.stop()
		return err
	case "write":
		return writeAgain(library, args[1])
	case "edit":
		return editSteps(library, args[1], args[2], args[3])
	case "forever":
		return compileForever(library, args[1], args[2])
	}
	return fmt.Errorf("no job %q", job)
}

// yardstick reads a library's files and then converts all of them, on all processors.
func yardstick(library string, convert func([]byte) error) error {
	var sources [][]byte
	for _, name := range sourceFiles(library) {
		src, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		sources = append(sources, src)
	}
	errs := make([]error, len(sources))
	clock := startClock()
	parallel.Each(make([]string, len(sources)), func(i int) { errs[i] = convert(sources[i]) })
	clock.stop()
	return firstError(errs)
}

// writeAgain writes the files of a site into another folder, on all processors, once it has read them.
func writeAgain(site, out string) error {
	files, err := contentOf(site)
	if err != nil {
		return err
	}
	names := slices.Sorted(maps.Keys(files))
	errs := make([]error, len(names))
	clock := startClock()
	parallel.Each(names, func(i int) {
		at := filepath.Join(out, names[i])
		if errs[i] = os.MkdirAll(filepath.Dir(at), 0o777); errs[i] == nil {
			errs[i] = os.WriteFile(at, files[names[i]], 0o666)
		}
	})
	clock.stop()
	return firstError(errs)
}

func contentOf(dir string) (map[string][]byte, error) {
	out := map[string][]byte{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		below, err := filepath.Rel(dir, name)
		if err == nil {
			out[below], err = os.ReadFile(name)
		}
		return err
	})
	return out, err
}

// eachSource reads every file of a library and hands it over, on all processors.
func eachSource(library string, work func([]byte) error) error {
	names := sourceFiles(library)
	errs := make([]error, len(names))
	parallel.Each(names, func(i int) {
		src, err := os.ReadFile(names[i])
		if err == nil {
			err = work(src)
		}
		errs[i] = err
	})
	return firstError(errs)
}

func firstError(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func sourceFiles(library string) (out []string) {
	filepath.WalkDir(library, func(name string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.HasSuffix(name, ".md") {
			out = append(out, name)
		}
		return err
	})
	return out
}

// compileFolder compiles a library into a folder; kept may be "" for no cache.
func compileFolder(library, site, kept string) error {
	how := Options{LeaveOutAdvice: true} // as the command does
	if kept != "" {
		how.Cache = cache.Open(kept)
	}
	var log diagnostic.Log
	_, err := Site(context.Background(), os.DirFS(library), site, &log, how)
	return err
}

// stepEdits are the edits of one step that are measured: what stands in the source, and what an edit puts there.
var stepEdits = map[string]struct{ old, now string }{
	"words": {"Put the bolt into its bag at once.", "Put the bolt into bag %d at once."},
	"title": {`"Undo bolt 2"`, `"Undo bolt two, turn %d"`},
	"time":  {`"Undo bolt 2" {time=2/4/7`, `"Undo bolt 2" {time=2/%d/30`},
}

// editSteps holds a library open as watch does, and times the update after each of some
// edits of one step, of its words, its title or its time.
func editSteps(library, site, kept, what string) error {
	builder := NewBuilder(os.DirFS(library), Options{Cache: cache.Open(kept), LeaveOutAdvice: true})
	var log diagnostic.Log
	if _, err := builder.Update(context.Background(), site, Change{All: true}, &log); err != nil {
		return err
	}
	name := "procedures/procedure-00005.md"
	if _, err := os.Stat(filepath.Join(library, name)); err != nil {
		name = "procedures/procedure-00000.md"
	}
	src, err := os.ReadFile(filepath.Join(library, name))
	if err != nil {
		return err
	}
	edit := stepEdits[what]
	if !bytes.Contains(src, []byte(edit.old)) {
		return fmt.Errorf("%s holds no %q", name, edit.old)
	}
	for i := range 9 {
		now := bytes.Replace(src, []byte(edit.old), fmt.Appendf(nil, edit.now, i+2), 1)
		if err := os.WriteFile(filepath.Join(library, name), now, 0o666); err != nil {
			return err
		}
		clock := startClock()
		var log diagnostic.Log
		if _, err := builder.Update(context.Background(), site, Change{Names: []string{name}}, &log); err != nil {
			return err
		}
		clock.stop()
	}
	return os.WriteFile(filepath.Join(library, name), src, 0o666)
}

// taken is what a measurement gave: the median time that passed and that of the
// processors, and the largest memory.
type taken struct {
	time, busy time.Duration
	memory     float64 // MB
}

// take runs a job some times, each in a process of its own; before prepares each run.
func take(tb testing.TB, times int, before func(), job string, args ...string) taken {
	tb.Helper()
	var all, busy []time.Duration
	var most int64
	for range times {
		if before != nil {
			before()
		}
		run := exec.Command(os.Args[0], args...)
		run.Env = append(os.Environ(), "MATCHMARK_JOB="+job)
		run.Stderr = os.Stderr
		out, err := run.Output()
		if err != nil {
			tb.Fatalf("%s %v: %v", job, args, err)
		}
		for line := range strings.Lines(string(out)) {
			var passed, had time.Duration
			if _, err := fmt.Sscan(line, &passed, &had); err != nil {
				tb.Fatal(err)
			}
			all, busy = append(all, passed), append(busy, had)
		}
		most = max(most, peakKB(run.ProcessState))
	}
	slices.Sort(all)
	slices.Sort(busy)
	return taken{all[len(all)/2], busy[len(busy)/2], float64(most) / 1024}
}

// TestMeasure measures the promises of speed, with their yardsticks in the same run.
func TestMeasure(t *testing.T) {
	if !*measure {
		t.Skip("only with -measure, as make bench does")
	}
	var counts []int
	for _, field := range strings.Split(*sizes, ",") {
		n, err := strconv.Atoi(field)
		assert.NilError(t, err)
		counts = append(counts, n)
	}
	dir := t.TempDir()
	at := func(name string, n int) string { return filepath.Join(dir, fmt.Sprintf("%s-%d", name, n)) }
	clear := func(names ...string) func() {
		return func() {
			for _, name := range names {
				assert.NilError(t, os.RemoveAll(name))
			}
		}
	}
	report := func(format string, args ...any) { fmt.Printf(format+"\n", args...) }
	report("%s, %d processors, %s/%s, garbage collected at %d %% and above %d MB, medians of %d", runtime.Version(), runtime.GOMAXPROCS(0), runtime.GOOS, runtime.GOARCH, collectAt, mostMemory>>20, *rounds)
	onDisk(t, at("library", 1), corpus(1))
	one := take(t, *rounds, clear(at("site", 1)), "compile", at("library", 1), at("site", 1), "")
	report("a library of one procedure, cold: %v; processors %v", round(one.time), round(one.busy))
	var first taken
	for i, n := range counts {
		library, site, kept := at("library", n), at("site", n), at("cache", n)
		onDisk(t, library, corpus(n))
		plain := take(t, *rounds, nil, "goldmark", library)
		hash := take(t, *rounds, nil, "hash", library)
		cold := take(t, *rounds, clear(site), "compile", library, site, "")
		var written taken
		if n <= mostInMemory {
			written = take(t, *rounds, clear(at("again", n)), "write", site, at("again", n))
			clear(at("again", n))()
		}
		keeping := take(t, *rounds, clear(site, kept), "compile", library, site, kept)
		unchanged := take(t, *rounds, nil, "compile", library, site, kept)
		cached := take(t, *rounds, clear(site), "compile", library, site, kept)
		bytes := sourceBytes(t, library)
		report("%d procedures, %.1f MB of Markdown", n, bytes)
		line := func(what string, x, of taken, yard string) {
			report("  %-23s %10v  %5.2f x %s; processors %10v  %5.2f x;  %4.0f MB", what, round(x.time), ratio(x.time, of.time), yard, round(x.busy), ratio(x.busy, of.busy), x.memory)
		}
		line("goldmark alone", plain, plain, "goldmark")
		line("cold", cold, plain, "goldmark")
		if n <= mostInMemory {
			line("writing its files alone", written, plain, "goldmark")
		}
		line("cold, filling a cache", keeping, plain, "goldmark")
		line("from the cache", cached, plain, "goldmark")
		line("reading and hashing", hash, hash, "hashing")
		line("nothing changed", unchanged, hash, "hashing")
		for _, what := range []string{"words", "title", "time"} {
			line("a step's "+what+" edited", take(t, 1, nil, "edit", library, site, kept, what), one, "a library of one")
		}
		report("  peak memory of a cold compile: %.1f times the source", cold.memory/bytes)
		if i == 0 {
			first = cold
			continue
		}
		grown := math.Log(float64(n) / float64(counts[0]))
		report("  growth from %d: exponent %.2f in time, %.2f in processors' time, %.2f in memory", counts[0],
			math.Log(ratio(cold.time, first.time))/grown, math.Log(ratio(cold.busy, first.busy))/grown, math.Log(cold.memory/first.memory)/grown)
	}
}

func ratio(a, of time.Duration) float64 { return float64(a) / float64(of) }

func round(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }

func sourceBytes(tb testing.TB, library string) (mb float64) {
	tb.Helper()
	for _, name := range sourceFiles(library) {
		info, err := os.Stat(name)
		if err != nil {
			tb.Fatal(err)
		}
		mb += float64(info.Size()) / (1 << 20)
	}
	return mb
}

func onDisk(tb testing.TB, dir string, files fstest.MapFS) {
	tb.Helper()
	for name, f := range files {
		at := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o777); err != nil {
			tb.Fatal(err)
		}
		if err := os.WriteFile(at, f.Data, 0o666); err != nil {
			tb.Fatal(err)
		}
	}
}
