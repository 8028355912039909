package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
	"matchmark/procedure/held/heldtest"
)

// A link to a file inside a library is that file, and one to a folder inside is passed over; one that leads out is an error, whatever
// it leads to, so that nothing outside gets into a site and nothing is left out unseen. The library itself may be a link.
func TestLinksInALibrary(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	const quiz, picture = "quizzes/drill-quiz.md", "figures/head-left.svg"
	away := func(t *testing.T, lib, name, to string) { // moves a file or a folder, and puts a link in its place
		t.Helper()
		from := filepath.Join(lib, filepath.FromSlash(name))
		real := filepath.Join(filepath.Dir(from), filepath.FromSlash(to))
		assert.NilError(t, os.MkdirAll(filepath.Dir(real), 0o777))
		assert.NilError(t, os.Rename(from, real))
		if err := os.Symlink(to, from); err != nil {
			t.Skipf("no symbolic links here: %v", err) // Windows lets few people make one
		}
	}
	for name, c := range map[string]struct {
		link func(t *testing.T, lib string)
		says string // empty when nothing is wrong
	}{
		"file inside":    {func(t *testing.T, lib string) { away(t, lib, quiz, "../kept/quiz.txt") }, ""},
		"picture inside": {func(t *testing.T, lib string) { away(t, lib, picture, "../kept/picture.svg") }, ""},
		"folder inside":  {func(t *testing.T, lib string) { away(t, lib, "quizzes", "kept") }, ""},
		"round": {func(t *testing.T, lib string) {
			assert.NilError(t, os.Symlink(".", filepath.Join(lib, "again")))
		}, ""},
		"file outside":    {func(t *testing.T, lib string) { away(t, lib, quiz, "../../quiz.md") }, quiz + ":1:1: error unreadable-file: this file cannot be read: it leads out of the library"},
		"picture outside": {func(t *testing.T, lib string) { away(t, lib, picture, "../../picture.svg") }, `error picture-outside: picture "` + picture + `" lies outside the library`},
		"folder outside":  {func(t *testing.T, lib string) { away(t, lib, "quizzes", "../quizzes") }, "quizzes:1:1: error unreadable-file: this link leads out of the library, and nothing behind it is read"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			lib := filepath.Join(dir, "lib")
			_, err := starter.Write(lib)
			assert.NilError(t, err)
			c.link(t, lib)
			assert.NilError(t, os.Symlink("lib", filepath.Join(dir, "link")))
			for _, at := range []string{lib, filepath.Join(dir, "link")} {
				out := said(t, "check", at)
				if clean := strings.Contains(out, "No fault found in 1 procedure."); clean != (c.says == "") || !strings.Contains(out, c.says) {
					t.Errorf("%s\nwant %q", out, c.says)
				}
			}
		})
	}
}

// On a stick, which has neither links nor modes, a library is compiled, changed and compiled again; only class data have no place there.
func TestOnAStick(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	dir := t.TempDir()
	lib, site := filepath.Join(dir, "Bücher 工場"), filepath.Join(dir, "site")
	heldtest.Without(t)
	typed := func(want int, args ...string) string {
		t.Helper()
		var out bytes.Buffer
		if code := run(t.Context(), args, &console{out: &out, err: &out}); code != want {
			t.Errorf("%q ends with %d: %s", args, code, &out)
		}
		return out.String()
	}
	typed(exitFine, "new", lib)
	typed(exitFine, "compile", lib, "-o", site)
	times := filepath.Join(dir, "times.csv")
	assert.NilError(t, os.WriteFile(times, []byte("step,minutes\nopen-head,9\nopen-head,9\nopen-head,8\n"), 0o666))
	typed(exitFine, "revise", lib, times, "--write")
	typed(exitFine, "tidy", lib)
	typed(exitFine, "compile", lib, "-o", site)
	data := filepath.Join(dir, "class")
	assert.NilError(t, os.Mkdir(data, 0o755)) // the mode that all on a stick has
	assert.NilError(t, os.Chmod(data, 0o755))
	out := typed(exitWorld, "serve", lib, "--data", data, "--http", "0", "--https", "off")
	if !strings.Contains(out, "cannot be kept from other users") || !strings.Contains(out, "with --data") {
		t.Error(out)
	}
}
