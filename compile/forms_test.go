package compile_test

import (
	"bytes"
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/compile"
	"matchmark/compile/mend"
	"matchmark/content"
)

// filesOf copies a library into memory.
func filesOf(t testing.TB, files fs.FS) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(files, name)
		out[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// olderDemo is a demo of then with its procedures and refits in the older forms of the language; the demo of today has moved on.
func olderDemo(t testing.TB) fstest.MapFS {
	return overlaid(t, renewedDemo(t), "testdata/older-demo.txtar")
}

// renewedDemo is the same demo in the form that came after. What the demo of today has got since is not in it.
func renewedDemo(t testing.TB) fstest.MapFS {
	frozen := overlaid(t, fstest.MapFS{}, "testdata/renewed-demo.txtar")
	out := filesOf(t, content.Library())
	for name := range out {
		if frozen[name] == nil && path.Ext(name) == ".md" && path.Dir(name) != "." {
			delete(out, name)
		}
	}
	maps.Copy(out, frozen)
	return out
}

// overlaid lays the files of an archive over a library.
func overlaid(t testing.TB, out fstest.MapFS, name string) fstest.MapFS {
	t.Helper()
	archive, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range strings.Split(string(archive), "\n-- ")[1:] {
		name, text, _ := strings.Cut(file, " --\n")
		out[name] = &fstest.MapFile{Data: []byte(text + "\n")}
	}
	return out
}

// sourceSum is the sum of the source files that a step view carries. It alone differs between two forms of one text.
var sourceSum = regexp.MustCompile(`"content":"[0-9a-f]{16}"`)

// samePages compares two sites page by page.
func samePages(t *testing.T, got, want map[string][]byte) {
	t.Helper()
	if len(got) != len(want) || len(want) < 50 {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
	for name, page := range want {
		if !bytes.Equal(sourceSum.ReplaceAll(got[name], nil), sourceSum.ReplaceAll(page, nil)) {
			t.Errorf("%s differs", name)
		}
	}
}

// The older demo, that one written anew, and the same demo in the later form show the same pages, byte for byte.
func TestRenewChangesNoPage(t *testing.T) {
	older := olderDemo(t)
	before, _, _ := compile.InMemory(t, older, nil)
	renewed, err := mend.Renew(older)
	if err != nil {
		t.Fatal(err)
	}
	if len(renewed.Files) != 7 {
		t.Errorf("%d files were written anew", len(renewed.Files))
	}
	for _, f := range renewed.Files {
		older[f.Old.Name] = &fstest.MapFile{Data: f.Source}
	}
	after, _, _ := compile.InMemory(t, older, nil)
	samePages(t, after, before)
	today, _, _ := compile.InMemory(t, renewedDemo(t), nil)
	samePages(t, today, before)
	if again, err := mend.Renew(older); err != nil || len(again.Files) > 0 {
		t.Errorf("a second time %d files are written, %v", len(again.Files), err)
	}
}

// measured counts the lines of a procedure that are fences, and the characters that are neither running text nor list items:
// those of opening and closing lines, of attributes and of the headings of steps, titles included.
func measured(source string) (fences, characters int) {
	_, body, _ := strings.Cut(strings.TrimPrefix(source, "---\n"), "\n---\n")
	for line := range strings.Lines(body) {
		fence := strings.HasPrefix(line, ":::")
		if fence {
			fences++
		}
		if fence || strings.HasPrefix(line, "{") || strings.HasPrefix(line, "#") {
			characters += len([]rune(line))
		}
	}
	return fences, characters
}

// A demo's procedures and refits have less than half of the fences that they had in the older forms, and less than half
// of what is neither text nor list.
func TestHalfTheWriting(t *testing.T) {
	older, renewed := olderDemo(t), renewedDemo(t)
	sum := func(files fstest.MapFS) (fences, characters int) {
		for _, pattern := range []string{"procedures/*.md", "refits/*.md"} {
			names, err := fs.Glob(files, pattern)
			if err != nil || len(names) == 0 {
				t.Fatal(pattern, err)
			}
			for _, name := range names {
				if bytes.Equal(older[name].Data, renewed[name].Data) {
					continue // never written in the older forms
				}
				f, c := measured(string(files[name].Data))
				fences, characters = fences+f, characters+c
			}
		}
		return fences, characters
	}
	oldFences, oldCharacters := sum(older)
	fences, characters := sum(renewed)
	t.Logf("fences: %d, once %d; characters: %d, once %d", fences, oldFences, characters, oldCharacters)
	// 944 and 26,969 were counted when the newer forms came.
	if oldFences < 944 || fences > 944/2 {
		t.Errorf("%d fences, once %d", fences, oldFences)
	}
	if oldCharacters < 26_969 || characters > 26_969/2 {
		t.Errorf("%d characters that are neither text nor list, once %d", characters, oldCharacters)
	}
}

// The page of a machine that is made from another one says what must be looked at again; that of the other one does not.
func TestLookAgain(t *testing.T) {
	files := filesOf(t, content.Library())
	files["machines/small.md"] = &fstest.MapFile{Data: []byte("---\nkind: machine\nid: small\ntitle: Small oven\nlike: deck-oven\n---\n::: register parts\n| id | name | mass |\n|---|---|---|\n| insulation | Thin mat | 1 kg |\n:::\n")}
	pages, _, _ := compile.InMemory(t, files, nil)
	small := string(pages["machine/small.html"])
	for _, want := range []string{"Look at these again", "Spring clip of the insulation, because of: Thin mat"} {
		if !strings.Contains(small, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(string(pages["machine/deck-oven.html"]), "Look at these again") {
		t.Error("the other machine's page asks to look again")
	}
}
