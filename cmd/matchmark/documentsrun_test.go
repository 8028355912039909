package main

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
)

// ofStarter is the document that each new library has.
const ofStarter = "compile/starter/library/README.md"

// placeholder stands in a command line for what the reader puts there.
var placeholder = regexp.MustCompile(`\b(CODE|COMMAND|NAME|OTHER)\b`)

// runsOn are the commands that run until they are ended, with what they print when they are ready.
var runsOn = map[string]string{"watch": `http://\S+`, "serve": `http://\S+`, "start": `http://\S+`}

// Every command line in the documents does what is said there: each is carried out, in the order in which they are read, on the starter library, or on the
// demo where none is named. What the reader has by then lies there: records, results, lists.
func TestDocumentsAreCarriedOut(t *testing.T) {
	if testing.Short() && os.Getenv("MATCHMARK_DOCUMENTS") == "" {
		t.Skip("it takes half a minute; bash .ci/all documents runs it")
	}
	pages := documents(t)
	order := append([]string{"README.md"}, guideOrder(pages)...)
	reader(t)
	ran := map[string]bool{}
	for _, name := range order {
		if name == ofStarter { // whoever reads it stands in the library that it lies in
			_, err := starter.Write("own")
			assert.NilError(t, err)
			t.Chdir("own")
		}
		for _, line := range typedLines(pages[name]) {
			line = onlyCommand(line)
			if ran[line] || placeholder.MatchString(line) || strings.Contains(line, "--workshop") { // the last needs a PostgreSQL server
				continue
			}
			ran[line] = true
			carryOut(t, name, line)
			if line == "matchmark new shop" {
				likeAnother(t)
			}
		}
	}
	if len(ran) < 40 {
		t.Errorf("only %d command lines were carried out", len(ran))
	}
	t.Chdir("..")
	for _, made := range []string{"site/index.html", "trainer/index.html", "order/index.html", "class.html", "short.html", "judges.html", "matrix.html", "mixer.xlsx", "drill/class.db"} {
		_, err := os.Stat(made)
		assert.Check(t, err)
	}
}

// guideOrder are the documents but for README, and for SPREADSHEET.md, which TestFromASpreadsheet does.
func guideOrder(pages map[string]string) (order []string) {
	for _, name := range slices.Sorted(maps.Keys(pages)) {
		if name != "README.md" && name != "SPREADSHEET.md" && name != ofStarter {
			order = append(order, name)
		}
	}
	return append(order, ofStarter)
}

// onlyCommand is a command line without its remark, and without where its output goes.
func onlyCommand(line string) string {
	for _, end := range []string{"  #", " > ", " | "} {
		line, _, _ = strings.Cut(line, end)
	}
	return strings.TrimSpace(line)
}

// reader makes the folder in which somebody reads the documents, and goes there.
func reader(t *testing.T) {
	earlier, err := filepath.Abs("testdata/earlier/28e9791/records/job.json")
	assert.NilError(t, err)
	job, err := os.ReadFile(earlier)
	assert.NilError(t, err)
	demo, err := os.ReadFile("../../content/records/mixer-no-4.json")
	assert.NilError(t, err)
	dir := t.TempDir()
	t.Chdir(dir)
	for name, value := range map[string]string{"XDG_CACHE_HOME": "cache", "XDG_DATA_HOME": "data", "XDG_CONFIG_HOME": "config", "HOME": "home"} {
		t.Setenv(name, filepath.Join(dir, value))
	}
	for _, name := range []string{"HTTP", "HTTPS"} {
		t.Setenv("MATCHMARK_SERVE_"+name, "0")
	}
	for name, content := range map[string]string{
		"ada.json": string(job), "ben.json": string(job), "content/records/mixer-no-4.json": string(demo),
		"results.csv": "drill-quiz,date,key-where,start-button,slide-bolts,slide-torque\nAda Berg,2026-03-02,A,true,A,18\nBen Holm,2026-03-02,B,true,A,18\n",
		"times.csv":   "step,minutes\nisolate,3\nopen-head,7\n",
		"bolts.csv":   "Number,Kind,Name,Thread,Count\n1,screw,Cover screw,M8,2\n2,bolt,Foot bolt,M10,4\n",
	} {
		assert.NilError(t, os.MkdirAll(filepath.Dir(name), 0o777))
		write(t, name, []byte(content))
	}
	_, err = starter.Write("shop-de")
	assert.NilError(t, err)
}

// likeAnother adds a machine to the reader's library that is like the one that it has.
func likeAnother(t *testing.T) {
	write(t, "shop/machines/small-drill.md", []byte("---\nkind: machine\nid: small-drill\ntitle: Small bench drill\nlike: bench-drill\n---\n"))
}

// carryOut runs a command line and wants it to end well.
func carryOut(t *testing.T, document, line string) {
	t.Helper()
	args := words(line)[1:]
	for i, a := range args {
		args[i] = strings.NewReplacer("/srv/shop", "shop", "/var/lib/matchmark", "data/matchmark/class").Replace(a)
	}
	if len(args) == 0 {
		args = []string{"start"} // a double click
	}
	if slices.Contains(args, "--set-pin") {
		typePIN(t)
	}
	if slices.Contains(args, "class-backup.db") {
		copies, err := filepath.Glob("data/matchmark/class/backups/*.db")
		assert.NilError(t, err)
		assert.Assert(t, len(copies) > 0)
		content, err := os.ReadFile(copies[0])
		assert.NilError(t, err)
		write(t, "class-backup.db", content)
	}
	ready, on := runsOn[args[0]]
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	out := new(screen)
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, args, &console{out: out, err: out}) }()
	if on && !slices.Contains(args, "--help") {
		go func() {
			for ctx.Err() == nil && !regexp.MustCompile(ready).MatchString(out.String()) {
				time.Sleep(20 * time.Millisecond)
			}
			stop()
		}()
	}
	code := <-ended // the limit of go test is the one there is
	if code != exitFine && !(on && code == exitInterrupted) {
		t.Errorf("%s: %s ends with %d:\n%s", document, line, code, out)
	}
}

// typePIN has a PIN typed at the standard input.
func typePIN(t *testing.T) {
	t.Helper()
	from, to, err := os.Pipe()
	assert.NilError(t, err)
	_, err = to.WriteString("a long enough 4711\n")
	assert.NilError(t, err)
	assert.NilError(t, to.Close())
	before := os.Stdin
	os.Stdin = from
	t.Cleanup(func() {
		os.Stdin = before
		from.Close()
	})
}
