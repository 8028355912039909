package pagetest

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"gotest.tools/v3/assert"
)

var runs = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// Scan paints the path of a QR code in a square of side modules and reads it as a camera would see it, by a reader that shares
// nothing with what drew it: github.com/makiuchi-d/gozxing, which reads ISO/IEC 18004.
func Scan(t *testing.T, path string, side int) string {
	t.Helper()
	const scale = 4
	img := image.NewGray(image.Rect(0, 0, side*scale, side*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	if left := runs.ReplaceAllString(path, ""); left != "" {
		t.Fatalf("the path holds more than runs: %q", left)
	}
	for _, m := range runs.FindAllStringSubmatch(path, -1) {
		x, y, w := number(t, m[1]), number(t, m[2]), number(t, m[3])
		for dy := range scale {
			for dx := range w * scale {
				img.SetGray(x*scale+dx, y*scale+dy, color.Gray{})
			}
		}
	}
	seen, err := gozxing.NewBinaryBitmapFromImage(img)
	assert.NilError(t, err)
	read, err := qrcode.NewQRCodeReader().Decode(seen, nil)
	assert.NilError(t, err)
	return read.GetText()
}

func number(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	assert.NilError(t, err)
	return n
}
