package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
)

// englishWord is a word that stands in English sentences and in no German one.
var englishWord = regexp.MustCompile(`(?i)\b(?:the|is|are|of|and|to|it|its|with|for|that|this|has|have|from|or|on|by|there|be|you|your|been|each|all|if|file|folder|written|wrote|write|open|step|steps|session|errors?|warnings?|suggestions?|page|pages|library|nothing|made|cannot|would|which|when|where|who|them|they|time|team|times|(?-i:not))\b`)

// germanTyped is what is the same in every language though it has such words: options, commands and addresses.
var germanTyped = regexp.MustCompile("--[a-z][a-z-]*(?:[= ][a-z]+)?|\\b[a-z0-9]+(?:-[a-z0-9]+)+\\b|\\b[A-Z]{3,}\\b|`[^`]*`|\"[^\"]*\"|\\{[^}]*\\}|matchmark [a-z]+|https?://\\S+|\\b[\\w-]+=\\w+|trust/|\\S+\\.(?:md|json|csv|html|svg|yaml|db)\\b\\S*|(?m)^\\[.*\\]$|common-pace")

// authored are patterns for the pieces of text that a library's files hold: titles, cells and lines, the longest first.
func authored(t *testing.T, dir string) []string {
	var all []string
	assert.NilError(t, fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(filepath.Join(dir, name))
		for _, piece := range regexp.MustCompile(`[\n|"{}]|: |\. |- \[.\]|#+ `).Split(string(content), -1) {
			if piece = strings.Trim(piece, " *:.>-?"); len(piece) > 3 {
				all = append(all, regexp.QuoteMeta(piece))
			}
		}
		return err
	}))
	slices.SortFunc(all, func(a, b string) int { return len(b) - len(a) })
	return slices.Compact(all)
}

// Whatever command is typed, what it prints is German when that is asked for, but for what authors wrote and for what is typed.
func TestEveryCommandSpeaksGerman(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Chdir(t.TempDir())
	_, err := starter.Write("shop")
	assert.NilError(t, err)
	put := func(name, content string) {
		t.Helper()
		assert.NilError(t, os.MkdirAll(filepath.Dir(name), 0o777))
		assert.NilError(t, os.WriteFile(name, []byte(content), 0o666))
	}
	change := func(name, old, to string) {
		t.Helper()
		content, err := os.ReadFile(name)
		assert.NilError(t, err)
		assert.Assert(t, bytes.Contains(content, []byte(old)), "%s: %s", name, old)
		put(name, strings.Replace(string(content), old, to, 1))
	}
	change("shop/library.yaml", "language: en", "language: de")
	assert.NilError(t, os.CopyFS("later", os.DirFS("shop")))
	change("later/procedures/drill-belt-off.md", "time=3/5/8", "time=4/6/9")
	assert.NilError(t, os.CopyFS("broken", os.DirFS("shop")))
	change("broken/machines/bench-drill.md", "| belt | Drive belt", "| belt! | Drive belt")
	change("broken/machines/bench-drill.md", "| belt ", "| belt! ")
	records, err := txtar.ParseFile(filepath.Join(here, "testdata/script/workorder.txtar"))
	assert.NilError(t, err)
	for _, f := range records.Files {
		put(f.Name, string(f.Data))
	}
	put("times.csv", "step,minutes,team,repetition,interrupted\nopen-head,7,red,1,\nopen-head,9,blue,1,\nopen-head,90,red,2,\nopen-hed,4,,,\nbelt-off,41,red,1,yes\n")
	put("form.csv", "feedback drill-belt-off,clear,had to ask,wrong or missing,took longer,what exactly\n2,1,6,2,3,\n")
	put("result.csv", "drill-quiz,1,2,3,4,date\nAda Berg,A,true,2,18 N·m,2026-03-02\nBen Oyelaran,B,false,1,3 N·m,2026-03-02\nC,Q\n")
	put("judges.csv", "drill-quiz,1,2,3,4\nA. Weber,60,75,50,80\nB. Diaz,65,70,45,85\n")
	put("notes.txt", "")
	names := regexp.MustCompile(`\b(?:` + strings.Join(authored(t, "shop"), "|") + `)\b`)
	said := func(args ...string) string {
		var out bytes.Buffer
		run(t.Context(), append([]string{"--messages=de"}, args...), &console{out: &out, err: &out})
		return out.String()
	}
	look := func(args []string, text string) {
		t.Helper()
		if strings.TrimSpace(text) == "" {
			t.Errorf("%q says nothing", args)
		}
		bare := germanTyped.ReplaceAllString(text, " ")
		bare = names.ReplaceAllString(bare, " ")
		for line := range strings.Lines(bare) {
			if word := englishWord.FindString(line); word != "" {
				t.Errorf("%q: %q is English in %s", args, word, strings.TrimSpace(line))
			}
		}
	}
	for _, words := range []string{
		"check shop", "check broken", "check shop --allowed", "check broken --least error", "check nowhere",
		"compile shop -o site", "compile broken -o site", "compile shop -o site.zip --answer-keys keys", "compile shop -o shop", "compile shop -o notes.txt",
		"plan shop", "plan shop --session 30min", "plan shop --session 20min --people 1", "plan shop --teams 3 --session 60min", "plan broken", "plan shop --session 5min --set-up 4min --clear-down 4min",
		"plan shop --rate 85 --repetition 2 --session 60min", "plan shop --course no", "plan shop --confidence 0.9", "plan shop --session 60min --calendar plan.ics --dates 2027-01-11",
		"revise shop times.csv", "revise shop times.csv form.csv", "revise later times.csv --write", "revise later times.csv --write", "revise broken times.csv", "revise shop none.csv",
		"mark shop result.csv", "mark shop result.csv -o class.html --csv class.csv", "mark broken result.csv", "mark shop times.csv", "mark shop",
		"cutscore shop judges.csv", "cutscore shop --quiz drill-quiz --sheet sheet.html", "calibrate shop result.csv", "retention shop result.csv --on 2026-04-01", "competence shop result.csv --on 2026-04-01",
		"workorder ada.json ben.json -l shop -o order", "workorder old.json -l shop -o order", "workorder ada.json other.json -l shop", "workorder elsewhere.json -l shop", "workorder ada.json -l broken", "workorder none-such.json -l shop",
		"compare shop later", "compare shop later -o changes.html", "compare shop broken", "compare shop later --procedure no",
		"export shop --as scorm", "export shop --as qti --quiz no", "export shop --as qti -o notes.txt/a",
		"tidy shop", "renew shop", "renew broken", "register result.csv --as parts", "workbook shop --machine bench-drill", "workbook shop --machine bench-drill", "similar shop --machine bench-drill", "similar shop --machine no",
		"refitting shop --procedure no", "new fresh", "new shop", "explain no-such-code", "guide no-such-topic", "explain", "schema no", "completion tcsh",
		"backup --data empty", "restore --data empty", "import --data empty --who Ada", "import --data empty --who Ada --database postgres://localhost/x --workshop A", "serve shop --http off --https off --data class", "serve shop --http 99999 --data class", "serve broken --data class --http 0 --https off",
		"serve shop --data shop/class", "serve nowhere", "watch shop --serve 10.0.0.1:80", "watch nowhere", "chekc", "check --no",
	} {
		args := strings.Fields(words)
		look(args, said(args...))
	}
	// Those that run until they are stopped.
	for _, c := range []struct{ words, until string }{
		{"watch shop -o seen --serve 0", `Schreiben geht hier: http`},
		{"start --no-browser", `Die Startseite ist hier: http`},
		{"serve shop --data class --http 0 --https 0", `Strg-C beendet\.`},
	} {
		args := append([]string{"--messages=de"}, strings.Fields(c.words)...)
		ctx, stop := context.WithCancel(t.Context())
		var out screen
		ended := make(chan int, 1)
		go func() { ended <- run(ctx, args, &console{out: &out, err: &out}) }()
		out.find(t, c.until)
		stop()
		<-ended
		look(args, out.String())
	}
	look([]string{"backup"}, said("backup", "--data", "class"))
	look([]string{"restore"}, said("restore", "--data", "class"))
}
