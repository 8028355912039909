package record

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

func encoded(t testing.TB, picture image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, jpeg.Encode(&b, picture, nil))
	return b.Bytes()
}

// jpegOf writes a JPEG of a frame and so many empty scans. Source: ITU-T T.81, B.2.
func jpegOf(marker byte, width, height, colours, scans int) []byte {
	out := []byte{0xff, 0xd8, 0xff, marker}
	body := []byte{8, byte(height >> 8), byte(height), byte(width >> 8), byte(width), byte(colours)}
	for c := range colours {
		body = append(body, byte(c+1), 0x11, 0)
	}
	out = append(binary.BigEndian.AppendUint16(out, uint16(len(body)+2)), body...)
	for range scans {
		out = append(out, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x12, 0xff, 0x00, 0x34)
	}
	return append(out, 0xff, 0xd9)
}

func TestReadFrame(t *testing.T) {
	colours := image.NewRGBA(image.Rect(0, 0, 40, 30))
	colours.Set(3, 3, color.RGBA{200, 10, 10, 255})
	whole := encoded(t, colours)
	for name, test := range map[string]struct {
		data []byte
		want string // a part of the error; "" for none
	}{
		"of a program":                {whole, ""},
		"grey":                        {encoded(t, image.NewGray(image.Rect(0, 0, 7, 9))), ""},
		"the largest":                 {jpegOf(0xc0, LongestSide, LongestSide, 3, 3), ""},
		"progressive":                 {jpegOf(0xc2, PhotoSide, PhotoSide, 3, mostScans), ""},
		"bytes behind the end":        {append(bytes.Clone(whole), "more"...), ""},
		"too wide":                    {jpegOf(0xc0, LongestSide+1, 4, 3, 1), "the most"},
		"no height":                   {jpegOf(0xc0, 4, 0, 3, 1), "the most"},
		"progressive and large":       {jpegOf(0xc2, 4096, 4096, 3, 1), "progressive"},
		"many scans":                  {jpegOf(0xc2, 64, 64, 3, 2000), "scans"},
		"many scans of a plain one":   {jpegOf(0xc0, 64, 64, 3, 4), "scans"},
		"four colours":                {jpegOf(0xc0, 64, 64, 4, 1), "4 colours"},
		"a frame of another kind":     {jpegOf(0xc9, 64, 64, 3, 1), "before its frame"},
		"two pictures":                {append(jpegOf(0xc0, 64, 64, 3, 0)[:21], jpegOf(0xc0, 64, 64, 3, 1)[2:]...), "more than one"},
		"no scan":                     {jpegOf(0xc0, 64, 64, 3, 0), "breaks off"},
		"cut":                         {whole[:len(whole)-2], "breaks off"},
		"cut in a table":              {whole[:40], "breaks off"},
		"nothing":                     {nil, "no JPEG"},
		"another form":                {[]byte("\x89PNG\r\n\x1a\n"), "no JPEG"},
		"something between the parts": {append([]byte{0xff, 0xd8}, "text"...), "between"},
	} {
		_, err := ReadFrame(test.data)
		if test.want == "" && err != nil || test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)) {
			t.Errorf("%s: %v, want %q", name, err, test.want)
		}
	}
	f, err := ReadFrame(whole)
	if err != nil || f.Width != 40 || f.Height != 30 || f.Progressive || f.Memory() > 64<<10 {
		t.Errorf("%+v, %v", f, err)
	}
	// 4096 by 4096 in three colours are 48 MiB.
	if f, _ := ReadFrame(jpegOf(0xc0, 4096, 4096, 3, 1)); f.Memory() < 48<<20 || f.Memory() > 52<<20 {
		t.Errorf("%d bytes", f.Memory())
	}
	if f, _ := ReadFrame(jpegOf(0xc2, 1600, 1600, 3, 1)); f.Memory() > 48<<20 {
		t.Errorf("%d bytes", f.Memory())
	}
}

func TestWhole(t *testing.T) {
	data := encoded(t, image.NewRGBA(image.Rect(0, 0, 400, 300)))
	if err := Whole(t.Context(), data); err != nil {
		t.Error(err)
	}
	ended, end := context.WithCancel(t.Context())
	end()
	if err := Whole(ended, data); !errors.Is(err, context.Canceled) {
		t.Errorf("after its sender hung up: %v", err)
	}
}

// FuzzReadFrame holds the walk against the decoder of the standard library: what decodes within
// the bounds is let in, and says the same size.
func FuzzReadFrame(f *testing.F) {
	f.Add(encoded(f, image.NewRGBA(image.Rect(0, 0, 16, 8))))
	f.Add(encoded(f, image.NewGray(image.Rect(0, 0, 9, 9))))
	f.Add(jpegOf(0xc2, 8, 8, 3, 2))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := ReadFrame(data)
		if err != nil {
			return
		}
		config, err := jpeg.DecodeConfig(bytes.NewReader(data))
		if err == nil && (config.Width != got.Width || config.Height != got.Height) {
			t.Errorf("%+v, and the decoder says %d by %d", got, config.Width, config.Height)
		}
	})
}
