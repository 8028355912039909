package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

func TestPhotoIsUprightSmallAndSilent(t *testing.T) {
	// Orientation 6: the camera was held upright; the stored right side is seen at the bottom.
	held := withOrientation(asJPEG(t, photo(2400, 1200)), binary.BigEndian, "MM", 6)
	if !bytes.Contains(held, []byte("Exif")) {
		t.Fatal("the photo to begin with has no Exif")
	}
	made, extension, err := Photo("IMG 1.jpg", held)
	assert.NilError(t, err)
	assert.Equal(t, extension, ".jpg")
	if bytes.Contains(made, []byte("Exif")) {
		t.Error("what the camera noted is still there")
	}
	shown, _, err := image.Decode(bytes.NewReader(made))
	assert.NilError(t, err)
	assert.Equal(t, shown.Bounds().Size(), image.Pt(1000, 2000))
	// The bright quarter is stored at the top left and seen at the top right.
	if average(shown, 1)[0] < average(shown, 0)[0] {
		t.Error("the photo is not upright")
	}
	again, _, err := Photo("IMG 1.jpg", held)
	assert.NilError(t, err)
	if !bytes.Equal(made, again) {
		t.Error("the same photo gives other bytes")
	}
}

func TestPhotoKeepsDrawings(t *testing.T) {
	drawing := []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 8 6"><path d="M0 0h8"/></svg>`)
	made, extension, err := Photo("d.svg", drawing)
	assert.NilError(t, err)
	assert.Equal(t, extension, ".svg")
	assert.DeepEqual(t, made, drawing)
	_, extension, err = Photo("few.png", asPNG(t, image.NewGray(image.Rect(0, 0, 9, 9))))
	assert.NilError(t, err)
	assert.Equal(t, extension, ".png")
}

func TestPhotoSaysWhatToDo(t *testing.T) {
	for name, test := range map[string]struct {
		content []byte
		want    string
	}{
		"a HEIC photo": {append([]byte("\x00\x00\x00\x18ftypheic"), make([]byte, 40)...), "Send it as a JPEG"},
		"words":        {[]byte("hello"), "Save it as one of these"},
		"half a photo": {asJPEG(t, photo(200, 200))[:900], "save it again"},
		"too much":     {make([]byte, maxBytes+1), "Scale it down"},
	} {
		_, _, err := Photo("x", test.content)
		if fault := IsFault(err); fault == nil || !strings.Contains(fault.Error(), test.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
