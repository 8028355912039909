package sheet

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"
	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

var runs = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// The path is painted by hand and read back by a decoder, as a camera would see it.
func TestCodeLeadsToThePage(t *testing.T) {
	for address, want := range map[string]string{
		"https://shop.example":        "https://shop.example/procedure/out/steps-belt.html",
		"https://shop.example/train/": "https://shop.example/train/procedure/out/steps-belt.html",
	} {
		c, err := NewCode(&procedure.Library{Address: address}, "procedure/out/steps-belt.html", "The steps")
		assert.NilError(t, err)
		if c.Address != want || c.Says != "The steps" {
			t.Errorf("the words beside the code are %q, %q", c.Says, c.Address)
		}
		const scale = 4
		img := image.NewGray(image.Rect(0, 0, c.Side*scale, c.Side*scale))
		for i := range img.Pix {
			img.Pix[i] = 255
		}
		if left := runs.ReplaceAllString(c.Path, ""); left != "" {
			t.Fatalf("the path holds more than runs: %q", left)
		}
		for _, m := range runs.FindAllStringSubmatch(c.Path, -1) {
			x, y, w := number(t, m[1]), number(t, m[2]), number(t, m[3])
			for dy := range scale {
				for dx := range w * scale {
					img.SetGray(x*scale+dx, y*scale+dy, color.Gray{})
				}
			}
		}
		got, err := qr.Decode(img)
		if err != nil || got != want {
			t.Errorf("the code reads %q, %v; want %q", got, err, want)
		}
	}
}

func number(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	assert.NilError(t, err)
	return n
}

func TestCodeOfAFolderPage(t *testing.T) {
	c, err := NewCode(&procedure.Library{Address: "https://shop.example/"}, "procedure/out/index.html", "x")
	if err != nil || c.Address != "https://shop.example/procedure/out/" {
		t.Errorf("got %v, %v", c, err)
	}
}

// A site in a folder has no address: its sheets say nothing, and hold a place that a class host fills.
func TestCodeWithoutAnAddress(t *testing.T) {
	page := pagetest.Page(t, emit(t, library()), "procedure/out/checklist-belt.html")
	pagetest.Expect(t, page, map[string][]string{
		`.sheet-code[hidden][data-to="/procedure/out/steps-belt.html"][data-says="The steps on a tablet"]`: {""},
		".sheet-code .address": nil,
	})
}

func TestAnAddressTooLongForACode(t *testing.T) {
	if _, err := NewCode(&procedure.Library{Address: "https://" + strings.Repeat("x", 4000)}, "index.html", "x"); err == nil {
		t.Error("4000 characters were encoded")
	}
}

func TestSheetsCarryTheCode(t *testing.T) {
	lib := library()
	lib.Address = "https://shop.example/"
	files := emit(t, lib)
	for at, want := range map[string]string{
		"procedure/out/checklist-belt.html": "https://shop.example/procedure/out/steps-belt.html",
		"procedure/out/tools-belt.html":     "https://shop.example/procedure/out/",
		"procedure/out/labels-chain.html":   "https://shop.example/procedure/out/",
	} {
		pagetest.Expect(t, pagetest.Page(t, files, at), map[string][]string{".sheet-code .address": {want}})
	}
}
