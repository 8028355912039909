package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"gotest.tools/v3/golden"
)

// here is the folder of this package.
var here = func() string {
	dir, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	return dir
}()

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"matchmark": main})
}

// TestScripts runs the command as it is typed. With -update the expected outputs
// in the scripts are written anew.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       golden.FlagUpdate(),
		Setup: func(env *testscript.Env) error {
			env.Setenv("GORACE", "atexit_sleep_ms=0")                          // the race detector else waits a second at each exit
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, ".cache")) // each script starts without a cache
			return nil
		},
		Condition: func(name string) (bool, error) {
			if name != "root" { // the user whom no permission stops
				return false, fmt.Errorf("unknown condition %q", name)
			}
			return os.Geteuid() == 0, nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":    exits,
			"sametree": sameTree,
			"many":     many,
			"waitfor":  waitFor,
			"reword":   reword,
			"fits":     holdsSchema,
		},
	})
}

// exits runs a command and wants an exit code: exits 2 matchmark complie
func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	if neg || err != nil || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND...")
	}
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d\n%s", got, want, ts.ReadFile("stderr"))
	}
}

// sameTree wants two folders to hold the same files with the same bytes: sametree a b
func sameTree(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: sametree A B")
	}
	a, b := readTree(ts, args[0]), readTree(ts, args[1])
	if len(a) < 10 || len(a) != len(b) {
		ts.Fatalf("%d files and %d files", len(a), len(b))
	}
	for name, content := range a {
		if other, there := b[name]; !there || !bytes.Equal(content, other) {
			ts.Fatalf("%s differs", name)
		}
	}
}

func readTree(ts *testscript.TestScript, dir string) map[string][]byte {
	files := map[string][]byte{}
	root := os.DirFS(ts.MkAbs(dir))
	ts.Check(fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files[name], err = fs.ReadFile(root, name)
		return err
	}))
	return files
}

// many adds copies of the starter's procedure to a library, each with an id of its own: many 500 lib
func many(ts *testscript.TestScript, neg bool, args []string) {
	n, err := strconv.Atoi(args[0])
	if neg || err != nil || len(args) != 2 {
		ts.Fatalf("usage: many N LIBRARY")
	}
	folder := filepath.Join(ts.MkAbs(args[1]), "procedures")
	source := ts.ReadFile(filepath.Join(folder, "drill-belt-off.md"))
	for i := range n {
		id := fmt.Sprintf("copy-%d", i)
		content := strings.Replace(source, "id: drill-belt-off", "id: "+id, 1)
		ts.Check(os.WriteFile(filepath.Join(folder, id+".md"), []byte(content), 0o666))
	}
}

// waitFor waits until a file is there: waitfor .site.matchmark/new
func waitFor(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: waitfor FILE")
	}
	for range 2000 {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	ts.Fatalf("%s did not appear", args[0])
}

// reword replaces words that a file must have, once: reword '8 N·m' '9 N·m' lib/machine.md
func reword(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: reword OLD NEW FILE")
	}
	content := ts.ReadFile(args[2])
	if !strings.Contains(content, args[0]) {
		ts.Fatalf("%s does not have %q", args[2], args[0])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(strings.Replace(content, args[0], args[1], 1)), 0o666))
}

// holdsSchema wants a file to hold what the schema of a command says: fits mark stdout
func holdsSchema(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: fits COMMAND FILE")
	}
	ts.Check(fitsSchema(filepath.Join(here, "schema"), args[0], []byte(ts.ReadFile(args[1]))))
}
