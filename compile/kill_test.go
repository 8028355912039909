package compile

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// compileForever compiles one library, then the other, and so on, into the same
// folder. It says when the first site stands.
func compileForever(first, second, site string) error {
	for i := 0; ; i++ {
		library := []string{first, second}[i%2]
		if err := compileFolder(library, site, ""); err != nil {
			return err
		}
		if i == 0 {
			fmt.Println("ready")
		}
	}
}

// TestKilled kills compiles at random moments, 10, three in a short run, or as many
// as MATCHMARK_KILLS says. Whenever that is, the folder holds one of the two sites, whole.
func TestKilled(t *testing.T) {
	kills := 10
	if testing.Short() {
		kills = 3
	}
	if stated := os.Getenv("MATCHMARK_KILLS"); stated != "" {
		var err error
		if kills, err = strconv.Atoi(stated); err != nil {
			t.Fatal(err)
		}
	}
	dir := t.TempDir()
	site := filepath.Join(dir, "site")
	var want [2]map[string][]byte
	var libraries [2]string
	for i := range want {
		libraries[i] = filepath.Join(dir, fmt.Sprintf("library-%d", i))
		files := corpus(2 + i)
		files["library.yaml"].Data = []byte(libraryFile(fmt.Sprintf("Library %d", i)))
		onDisk(t, libraries[i], files)
		want[i], _, _ = inMemory(t, files, nil)
	}
	moments := rand.New(rand.NewPCG(3, 5))
	var seen [2]int
	for n := range kills {
		killOne(t, libraries, site, 3*moments.Float64())
		got := folder(t, site)
		which := 0
		if strings.Contains(string(got["index.html"]), "Library 1") {
			which = 1
		}
		seen[which]++
		sameSite(t, got, want[which])
		if t.Failed() {
			t.Fatalf("after kill %d", n+1)
		}
	}
	// What the last kill left in the way is mended by the next compile.
	assert.NilError(t, compileFolder(libraries[0], site, ""))
	left, err := os.ReadDir(dir)
	assert.NilError(t, err)
	if len(left) != 3 {
		t.Errorf("left beside the site: %v", left)
	}
	t.Logf("%d kills: the first site stood %d times, the second %d times", kills, seen[0], seen[1])
}

// killOne starts compiles, waits for the first site and kills the process after
// some times as long again.
func killOne(t *testing.T, libraries [2]string, site string, after float64) {
	t.Helper()
	start := time.Now()
	run := exec.Command(os.Args[0], libraries[0], libraries[1], site)
	run.Env = append(os.Environ(), "MATCHMARK_JOB=forever")
	run.Stderr = os.Stderr
	out, err := run.StdoutPipe()
	assert.NilError(t, err)
	assert.NilError(t, run.Start())
	if _, err := bufio.NewReader(out).ReadString('\n'); err != nil {
		t.Fatalf("the compile ended by itself: %v", err)
	}
	time.Sleep(time.Duration(after * float64(time.Since(start))))
	run.Process.Kill()
	run.Wait() // it was killed, and says so
}
