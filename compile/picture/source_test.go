package picture

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
)

// photo returns a picture with many colours, bright in its top left quarter.
func photo(width, height int) *image.RGBA {
	p := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := color.RGBA{byte(x * 90 / width), byte(y * 90 / height), byte((x*7 + y*3) % 60), 255}
			if x < width/2 && y < height/2 {
				c.R, c.G, c.B = c.R+150, c.G+150, c.B+150
			}
			p.SetRGBA(x, y, c)
		}
	}
	return p
}

func asJPEG(t testing.TB, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, jpeg.Encode(&b, p, &jpeg.Options{Quality: 90}))
	return b.Bytes()
}

func asPNG(t testing.TB, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, png.Encode(&b, p))
	return b.Bytes()
}

// withOrientation puts an Exif segment with an orientation into a JPEG.
func withOrientation(content []byte, order binary.AppendByteOrder, mark string, value uint16) []byte {
	exif := []byte("Exif\x00\x00" + mark)
	exif = order.AppendUint16(exif, 42)
	exif = order.AppendUint32(exif, 8)      // where the first directory starts
	exif = order.AppendUint16(exif, 2)      // its entries
	exif = order.AppendUint16(exif, 0x0106) // another tag, before it
	exif = append(exif, make([]byte, 10)...)
	exif = order.AppendUint16(exif, 0x0112)
	exif = order.AppendUint16(exif, 3) // short
	exif = order.AppendUint32(exif, 1) // one value
	exif = order.AppendUint16(exif, value)
	exif = append(exif, 0, 0)
	segment := binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(len(exif)+2))
	segment = append(segment, exif...)
	return append(append(bytes.Clone(content[:2]), segment...), content[2:]...)
}

// pngHead returns a PNG that claims a size and holds nothing.
func pngHead(width, height uint32) []byte {
	head := []byte("IHDR")
	head = binary.BigEndian.AppendUint32(head, width)
	head = binary.BigEndian.AppendUint32(head, height)
	head = append(head, 8, 6, 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), head...)
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(head))
}

func TestReadFaults(t *testing.T) {
	dir := t.TempDir()
	library := filepath.Join(dir, "library")
	put := func(name string, content []byte) {
		t.Helper()
		at := filepath.Join(dir, name)
		assert.NilError(t, os.MkdirAll(filepath.Dir(at), 0o777))
		assert.NilError(t, os.WriteFile(at, content, 0o666))
	}
	good := asPNG(t, photo(8, 8))
	manyScans := append(asJPEG(t, photo(8, 8)), bytes.Repeat([]byte{0xff, 0xda}, 200)...)
	put("outside.png", good)
	put("library/figures/feet-left.png", good)
	put("library/text.png", []byte("not a picture"))
	put("library/empty.png", nil)
	put("library/gif.gif", []byte("GIF89a"))
	put("library/head.png", good[:20])
	put("library/vast.png", pngHead(100_000, 100_000))
	put("library/none.png", pngHead(0, 10))
	put("library/heavy.jpg", append(asJPEG(t, photo(8, 8)), make([]byte, 50_000_000)...))
	put("library/heavy.svg", append([]byte("<svg>"), make([]byte, 6_000_000)...))
	put("library/scans.jpg", manyScans)
	put("library/page.svg", []byte("<html></html>"))
	for link, to := range map[string]string{"out.png": "../outside.png", "absolute.png": filepath.Join(dir, "outside.png"), "nowhere.png": "gone.png", "round.png": "round.png"} {
		assert.NilError(t, os.Symlink(to, filepath.Join(library, link)))
	}
	assert.NilError(t, notAFile(filepath.Join(library, "pipe.png")))
	root, err := os.OpenRoot(library)
	assert.NilError(t, err)
	defer root.Close()

	for name, want := range map[string]struct {
		kind   Kind
		speaks string // part of the message
	}{
		"entirely-lost.png":     {Missing, "Put it there"},
		"figures/feet-lft.png":  {Missing, `Did you mean "figures/feet-left.png"?`},
		"figures/Feet-Left.PNG": {Missing, `Did you mean "figures/feet-left.png"?`},
		`figures\feet-left.png`: {Missing, "Write /"},
		"nowhere.png":           {Missing, "does not exist"},
		"../outside.png":        {Outside, "outside the library"},
		"figures/../../x.png":   {Outside, "outside the library"},
		"/etc/passwd":           {Outside, "outside the library"},
		"":                      {Unreadable, "is not a file"},
		"out.png":               {Outside, "outside the library"},
		"absolute.png":          {Outside, "outside the library"},
		"round.png":             {Unreadable, "cannot be opened"},
		"figures":               {Unreadable, "is not a file"},
		"pipe.png":              {Unreadable, "is not a file"},
		"text.png":              {NotPicture, "is not a JPEG"},
		"empty.png":             {NotPicture, "is not a JPEG"},
		"gif.gif":               {NotPicture, "is not a JPEG"},
		"page.svg":              {NotPicture, `picture "page.svg" is not an SVG`},
		"head.png":              {Broken, "is broken"},
		"none.png":              {Broken, ""},
		"vast.png":              {TooLarge, "100000 × 100000 pixels"},
		"heavy.jpg":             {TooLarge, "has 50 MB, more than 20 MB"},
		"heavy.svg":             {TooLarge, "5 MB"},
		"scans.jpg":             {TooLarge, "scans"},
	} {
		t.Run(strings.ReplaceAll(name, "/", "|"), func(t *testing.T) {
			_, err := Read(root.FS(), name)
			fault := IsFault(err)
			if fault == nil {
				t.Fatalf("error %v is no fault", err)
			}
			if fault.Kind != want.kind || !strings.Contains(err.Error(), want.speaks) || fault.Advice.Empty() {
				t.Errorf("kind %d, %q; want kind %d, %q", fault.Kind, err, want.kind, want.speaks)
			}
			if strings.Contains(err.Error(), dir) {
				t.Errorf("%q names a place outside the library", err)
			}
		})
	}
	for _, name := range []string{"figures/feet-left.png", "./figures/feet-left.png"} {
		if s, err := Read(root.FS(), name); err != nil || s.Path != name || s.Width != 8 {
			t.Errorf("%s: %+v, %v", name, s, err)
		}
	}
}

func TestFormatIsReadFromTheFile(t *testing.T) {
	for _, test := range []struct {
		content []byte
		format  Format
	}{
		{asJPEG(t, photo(8, 6)), JPEG},
		{asPNG(t, photo(8, 6)), PNG},
		{[]byte("\ufeff \n<?xml version='1.0'?><svg viewBox='0 0 8 6'/>"), SVG},
	} {
		s, err := Read(fstest.MapFS{"wrong.name": {Data: test.content}}, "wrong.name")
		if err != nil {
			t.Errorf("format %d: %v", test.format, err)
		} else if s.Format != test.format || s.Width != 8 || s.Height != 6 {
			t.Errorf("format %d: %+v", test.format, s)
		}
	}
}

func FuzzRead(f *testing.F) {
	small := photo(20, 10)
	f.Add(asJPEG(f, small))
	f.Add(asPNG(f, small))
	f.Add(withOrientation(asJPEG(f, small), binary.BigEndian, "MM", 6))
	f.Add(withOrientation(asJPEG(f, small), binary.LittleEndian, "II", 8))
	f.Add([]byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 8 6"/>`))
	f.Fuzz(func(t *testing.T, content []byte) {
		s, err := open(fstest.MapFS{"x": {Data: content}}, "x")
		if err != nil {
			if IsFault(err) == nil {
				t.Fatalf("error %v is no fault", err)
			}
			return
		}
		if s.Width*s.Height > 1_000_000 && s.Format != SVG {
			return // too slow here
		}
		prepared, files, err := s.prepare()
		if err != nil {
			if IsFault(err) == nil {
				t.Fatalf("error %v is no fault", err)
			}
			return
		}
		if len(files) == 0 || len(files) != len(prepared.Sizes) {
			t.Fatalf("%d files for %d sizes", len(files), len(prepared.Sizes))
		}
	})
}
