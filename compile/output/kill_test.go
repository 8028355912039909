package output

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

const killFiles = 40

// TestMain lets the test binary run as the compile that TestKilledCompile kills.
func TestMain(m *testing.M) {
	if dir := os.Getenv("MATCHMARK_KILLED_COMPILE"); dir != "" {
		if os.Getenv("MATCHMARK_KILLED_SWAP") == inPlace {
			updateForever(dir)
		}
		way := slices.IndexFunc(swaps, func(s swap) bool { return s.name == os.Getenv("MATCHMARK_KILLED_SWAP") })
		compileForever(dir, swaps[way].exchange)
	}
	os.Exit(m.Run())
}

// compileForever writes one site after another; each holds its own number in every file.
func compileForever(dir string, exchange func(a, b string) error) {
	for edition := 1; ; edition++ {
		build, err := begin(dir, exchange)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		for n := range killFiles {
			if err := build.Write(fmt.Sprintf("page/%d.html", n), fmt.Appendf(nil, "edition %d", edition)); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
		}
		if err := build.Commit(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		if edition == 1 {
			fmt.Println("ready")
		}
	}
}

// inPlace names the way of writing that changes files in place.
const inPlace = "update"

// updateForever writes a site and updates every file of it in place, again and again.
func updateForever(dir string) {
	fail := func(err error) {
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	build, err := Begin(dir)
	fail(err)
	for n := range killFiles {
		fail(build.Write(fmt.Sprintf("page/%d.html", n), []byte("edition 0")))
	}
	fail(build.Commit())
	for edition := 1; ; edition++ {
		u, err := BeginUpdate(dir)
		fail(err)
		content := fmt.Appendf(nil, "edition %d", edition)
		for n := range killFiles {
			fail(u.Put(fmt.Sprintf("page/%d.html", n), content, sha256.Sum256(content)))
		}
		fail(u.Commit(nil))
		if edition == 1 {
			fmt.Println("ready")
		}
	}
}

func TestKilledUpdate(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	moments := rand.New(rand.NewPCG(3, 4))
	for range 30 {
		killCompile(t, dir, inPlace, time.Duration(moments.IntN(20_000))*time.Microsecond)
		// It may be a mix at this moment, until the next start has carried it on.
		update(t, dir, nil).Abort()
		wantWhole(t, dir)
		if left := names(t, filepath.Dir(dir)); len(left) != 1 {
			t.Fatalf("left beside the site: %v", left)
		}
	}
}

func TestKilledCompile(t *testing.T) {
	for _, swap := range swaps {
		t.Run(swap.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "site")
			moments := rand.New(rand.NewPCG(1, 2))
			for range 30 {
				killCompile(t, dir, swap.name, time.Duration(moments.IntN(20_000))*time.Microsecond)
				if swap.name == "exchange" {
					wantWhole(t, dir) // at every moment, not only once mended
				}
				mustBegin(t, dir).Abort()
				wantWhole(t, dir)
				if left := names(t, filepath.Dir(dir)); len(left) != 1 {
					t.Fatalf("left beside the site: %v", left)
				}
			}
		})
	}
}

// killCompile starts a compile, waits for its first site and kills it some time later.
func killCompile(t *testing.T, dir, swap string, after time.Duration) {
	t.Helper()
	compile := exec.Command(os.Args[0])
	compile.Env = append(os.Environ(), "MATCHMARK_KILLED_COMPILE="+dir, "MATCHMARK_KILLED_SWAP="+swap)
	compile.Stderr = os.Stderr
	out, err := compile.StdoutPipe()
	assert.NilError(t, err)
	assert.NilError(t, compile.Start())
	if _, err := out.Read(make([]byte, 1)); err != nil {
		t.Fatalf("the compile ended by itself: %v", err)
	}
	time.Sleep(after)
	assert.NilError(t, compile.Process.Kill())
	var exit *exec.ExitError
	if err := compile.Wait(); !errors.As(err, &exit) || exit.ExitCode() != -1 {
		t.Fatalf("the compile was not killed: %v", err)
	}
}

// wantWhole checks that the folder holds all files of one edition and nothing else.
func wantWhole(t *testing.T, dir string) {
	t.Helper()
	if _, err := os.Stat(filepath.Join(dir, Marker)); errors.Is(err, fs.ErrNotExist) {
		t.Fatal("the site has no marker")
	}
	files := read(t, dir)
	if len(files) != killFiles+1 {
		t.Fatalf("the site has %d files, want %d", len(files), killFiles+1)
	}
	for name, content := range files {
		if name != Marker && content != files["page/0.html"] {
			t.Fatalf("the site mixes %q and %q", content, files["page/0.html"])
		}
	}
}
