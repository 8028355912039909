package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/spreadsheet"
)

// The page on the way from a spreadsheet and ten photos to a procedure, done as it says.
func TestFromASpreadsheet(t *testing.T) {
	page, err := os.ReadFile("../../SPREADSHEET.md")
	assert.NilError(t, err)
	t.Chdir(t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	for _, dir := range []string{"shop/lists", "shop/figures"} {
		assert.NilError(t, os.MkdirAll(dir, 0o777))
	}
	content, err := spreadsheet.Write(sheetsOn(string(page)))
	assert.NilError(t, err)
	write(t, "shop/lists/grinder.xlsx", content)
	for n := range 10 {
		write(t, "shop/figures/photo-"+string(rune('0'+(n+1)/10))+string(rune('0'+(n+1)%10))+".jpg", photo(t, n))
	}
	written := regexp.MustCompile("(?s)```markdown (\\S+)\n(.*?)```").FindAllStringSubmatch(string(page), -1)
	for _, file := range written {
		write(t, file[1], []byte(file[2]))
	}
	if len(written) != 2 {
		t.Errorf("the page writes %d files", len(written))
	}
	ran := 0
	for _, block := range regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllStringSubmatch(string(page), -1) {
		for line := range strings.Lines(block[1]) {
			words := strings.Fields(line)
			said, code := runTyped(t, words[1:])
			if code != exitFine {
				t.Fatalf("%s ends with %d:\n%s", line, code, said)
			}
			ran++
			switch words[1] {
			case "check":
				if strings.Contains(said, "warning") || strings.Contains(said, "error") {
					t.Errorf("check says\n%s", said)
				}
			case "register":
				for _, wanted := range []string{"::: register fasteners\n", "Spindle nut", "9 N·m", "1 N·m"} {
					if !strings.Contains(said, wanted) {
						t.Errorf("the register does not say %q:\n%s", wanted, said)
					}
				}
			}
		}
	}
	if ran != 4 {
		t.Errorf("%d commands were run", ran)
	}
	for _, made := range []string{"site/procedure/wheel-off/steps.html", "site/procedure/wheel-off-back/steps.html", "grinder-filled.xlsx"} {
		if _, err := os.Stat(made); err != nil {
			t.Error(err)
		}
	}
}

// runTyped runs a command and returns what it prints.
func runTyped(t *testing.T, args []string) (said string, code int) {
	t.Helper()
	out, err := os.CreateTemp(t.TempDir(), "out")
	assert.NilError(t, err)
	defer out.Close()
	code = run(t.Context(), args, newConsole(out, out))
	all, err := os.ReadFile(out.Name())
	assert.NilError(t, err)
	return string(all), code
}

// sheetsOn reads the sheets that a page shows as tables.
func sheetsOn(page string) (out []spreadsheet.Sheet) {
	for _, m := range regexp.MustCompile("(?s)Sheet `(\\w+)`:\n\n(.*?)\n\n").FindAllStringSubmatch(page, -1) {
		s := spreadsheet.Sheet{Name: m[1]}
		for line := range strings.SplitSeq(m[2], "\n") {
			if strings.HasPrefix(line, "|---") {
				continue
			}
			var row []spreadsheet.Cell
			for cell := range strings.SplitSeq(strings.Trim(line, "|"), "|") {
				row = append(row, spreadsheet.Cell{Text: strings.TrimSpace(cell)})
			}
			s.Rows = append(s.Rows, row)
		}
		out = append(out, s)
	}
	return out
}

func photo(t *testing.T, n int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 800, 600))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{Y: uint8(20*n + i%800/8)}.Y
	}
	var b bytes.Buffer
	assert.NilError(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

func write(t *testing.T, name string, content []byte) {
	t.Helper()
	assert.NilError(t, os.WriteFile(filepath.FromSlash(name), content, 0o666))
}
