//go:build browser

package browsertest

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"net/http"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/picture"
)

// TestOrientationAsChromium compares the pictures that the site gets from a
// photo of each Exif orientation with what Chromium shows of the photo itself.
func TestOrientationAsChromium(t *testing.T) {
	inTestAll(t)
	b := openTab(t, newProfile(t))
	for value := byte(1); value <= 8; value++ {
		photo := photoWithOrientation(t, value)
		var sink output.Memory
		results := picture.PrepareAll(fstest.MapFS{"photo.jpg": {Data: photo}}, []string{"photo.jpg"}, &sink, nil)
		if results[0].Err != nil {
			t.Fatal(results[0].Err)
		}
		size := results[0].Picture.Sizes[0]
		want, got := b.corners(photo), b.corners(sink.Files()[size.Path])
		if !slices.Equal(got, want) {
			t.Errorf("orientation %d: shape and corners %v, Chromium shows %v", value, got, want)
		}
		if len(slices.Compact(slices.Sorted(slices.Values(want)))) < 4 {
			t.Errorf("orientation %d: corners look alike: %v", value, want)
		}
	}
}

// photoWithOrientation returns a photo of four differently coloured quarters.
func photoWithOrientation(t *testing.T, value byte) []byte {
	t.Helper()
	p := image.NewRGBA(image.Rect(0, 0, 96, 64))
	colours := []color.RGBA{{250, 0, 0, 255}, {0, 250, 0, 255}, {0, 0, 250, 255}, {250, 250, 250, 255}}
	for y := range 64 {
		for x := range 96 {
			p.SetRGBA(x, y, colours[x/48+y/32*2])
		}
	}
	var b bytes.Buffer
	assert.NilError(t, jpeg.Encode(&b, p, nil))
	exif := "Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string(rune(value)) + "\x00\x00\x00\x00\x00\x00"
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(exif)+2))
	return append(append(head, exif...), b.Bytes()[2:]...)
}

// corners draws a picture as an image element shows it and returns which of its
// sides is longer and which colour prevails in each quarter.
func (b *tab) corners(content []byte) []string {
	b.t.Helper()
	address := "data:" + http.DetectContentType(content) + ";base64," + base64.StdEncoding.EncodeToString(content)
	return strings.Fields(eval[string](b, fmt.Sprintf(`(async () => {
		const image = new Image();
		image.src = %q;
		await image.decode();
		const canvas = document.createElement("canvas");
		const w = canvas.width = image.naturalWidth, h = canvas.height = image.naturalHeight;
		const pen = canvas.getContext("2d");
		pen.drawImage(image, 0, 0);
		const at = (x, y) => [...pen.getImageData(x, y, 1, 1).data].slice(0, 3).map(c => c > 128 ? 1 : 0).join("");
		return [w > h ? "wide" : "high", at(w / 4, h / 4), at(3 * w / 4, h / 4), at(w / 4, 3 * h / 4), at(3 * w / 4, 3 * h / 4)].join(" ");
	})()`, address)))
}
