package picture

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"maps"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
)

func prepare(t *testing.T, content []byte) (Picture, []file) {
	t.Helper()
	s, err := open(fstest.MapFS{"x": {Data: content}}, "x")
	assert.NilError(t, err)
	prepared, files, err := s.prepare()
	assert.NilError(t, err)
	return prepared, files
}

func TestSizes(t *testing.T) {
	grey := image.NewGray(image.Rect(0, 0, 900, 30))
	glass := photo(900, 30)
	glass.SetRGBA(0, 0, color.RGBA{10, 10, 10, 20})
	for _, test := range []struct {
		name    string
		content []byte
		want    string // sizes of the files
		kind    string
	}{
		{"large photo", asJPEG(t, photo(2000, 100)), "400x20 800x40 1600x80", "jpeg"},
		{"middling photo", asJPEG(t, photo(1200, 60)), "400x20 800x40 1200x60", "jpeg"},
		{"hardly more than a size", asJPEG(t, photo(900, 30)), "400x13 900x30", "jpeg"},
		{"small photo", asJPEG(t, photo(300, 20)), "300x20", "jpeg"},
		{"one pixel high", asJPEG(t, photo(1600, 1)), "400x1 800x1 1600x1", "jpeg"},
		{"one pixel", asJPEG(t, photo(1, 1)), "1x1", "jpeg"},
		{"odd sides", asJPEG(t, photo(1601, 801)), "400x200 800x400 1600x800", "jpeg"},
		{"photo as PNG", asPNG(t, photo(900, 30)), "400x13 900x30", "jpeg"},
		{"PNG one can see through", asPNG(t, glass), "400x13 900x30", "png"},
		{"PNG of few colours", asPNG(t, grey), "400x13 900x30", "png"},
		{"grey JPEG", asJPEG(t, grey), "400x13 900x30", "jpeg"},
	} {
		t.Run(test.name, func(t *testing.T) {
			prepared, files := prepare(t, test.content)
			var got []string
			for i, file := range files {
				config, kind, err := image.DecodeConfig(bytes.NewReader(file.content))
				assert.NilError(t, err)
				got = append(got, fmt.Sprintf("%dx%d", config.Width, config.Height))
				extension := map[string]string{"jpeg": "jpg", "png": "png"}[kind]
				if kind != test.kind || !strings.HasSuffix(file.path, fmt.Sprintf("-%d.%s", config.Width, extension)) {
					t.Errorf("%s is %s, want %s", file.path, kind, test.kind)
				}
				if prepared.Sizes[i] != (Size{file.path, config.Width}) {
					t.Errorf("size %+v, file %s of width %d", prepared.Sizes[i], file.path, config.Width)
				}
			}
			if strings.Join(got, " ") != test.want {
				t.Errorf("sizes %v, want %s", got, test.want)
			}
		})
	}
}

// TestScaledPhotoLooksTheSame compares average colours of the four quarters.
func TestScaledPhotoLooksTheSame(t *testing.T) {
	from := photo(1000, 500)
	for name, content := range map[string][]byte{"jpeg": asJPEG(t, from), "png": asPNG(t, from)} {
		_, files := prepare(t, content)
		for _, file := range files {
			got, _, err := image.Decode(bytes.NewReader(file.content))
			assert.NilError(t, err)
			for quarter := range 4 {
				g, w := average(got, quarter), average(from, quarter)
				for c := range g {
					if difference := g[c] - w[c]; difference < -3 || difference > 3 {
						t.Errorf("%s, %s: quarter %d is %v, want %v", name, file.path, quarter, g, w)
						break
					}
				}
			}
		}
	}
}

// average returns the average red, green and blue of a quarter, 0 to 255:
// top left, top right, bottom left, bottom right.
func average(p image.Image, quarter int) [3]int {
	width, height := p.Bounds().Dx()/2, p.Bounds().Dy()/2
	var sum [3]int
	for y := range height {
		for x := range width {
			r, g, b, _ := p.At(x+quarter%2*width, y+quarter/2*height).RGBA()
			sum[0], sum[1], sum[2] = sum[0]+int(r>>8), sum[1]+int(g>>8), sum[2]+int(b>>8)
		}
	}
	for c := range sum {
		sum[c] /= width * height
	}
	return sum
}

// TestOrientation says where the stored top left quarter is seen.
//
// Source: CIPA DC-008 (Exif 2.3), Orientation: which side of the seen picture the
// stored 0th row and 0th column are, from memory; the browser tests compare
// with what Chromium shows.
func TestOrientation(t *testing.T) {
	stored := asJPEG(t, photo(1000, 600))
	const topLeft, topRight, bottomLeft, bottomRight = 0, 1, 2, 3
	for value, bright := range map[uint16]int{
		1: topLeft, 2: topRight, 3: bottomRight, 4: bottomLeft,
		5: topLeft, 6: topRight, 7: bottomRight, 8: bottomLeft,
		0: topLeft, 9: topLeft, // no orientations
	} {
		for mark, order := range map[string]binary.AppendByteOrder{"MM": binary.BigEndian, "II": binary.LittleEndian} {
			prepared, files := prepare(t, withOrientation(stored, order, mark, value))
			width, height := 1000, 600
			if value >= 5 && value <= 8 {
				width, height = height, width
			}
			if prepared.Width != float64(width) || prepared.Height != float64(height) {
				t.Errorf("%s %d: %g × %g, want %d × %d", mark, value, prepared.Width, prepared.Height, width, height)
			}
			for _, file := range files {
				got, _, err := image.Decode(bytes.NewReader(file.content))
				assert.NilError(t, err)
				if shape := float64(got.Bounds().Dx()) / float64(got.Bounds().Dy()); shape-prepared.Width/prepared.Height > 0.01 {
					t.Errorf("%s %d: %s has the shape %.2f", mark, value, file.path, shape)
				}
				for quarter := range 4 {
					if is := average(got, quarter)[0] > 130; is != (quarter == bright) {
						t.Errorf("%s %d: quarter %d of %s is bright: %v", mark, value, quarter, file.path, is)
					}
				}
			}
		}
	}
	// 2 and 4 mirror, 3 turns; 5 and 7 mirror as well: seen rows are stored columns.
	edge := func(value uint16) [2]int {
		x, y := orientation(value).origin(1, 0, 9, 5)
		return [2]int{x, y}
	}
	for value, want := range map[uint16][2]int{1: {1, 0}, 2: {8, 0}, 3: {8, 5}, 4: {1, 5}, 5: {0, 1}, 6: {0, 4}, 7: {9, 4}, 8: {9, 1}} {
		if got := edge(value); got != want {
			t.Errorf("orientation %d: second sample of the first row is stored at %v, want %v", value, got, want)
		}
	}
}

func TestCutPictureIsBroken(t *testing.T) {
	for name, content := range map[string][]byte{"jpeg": asJPEG(t, photo(300, 300)), "png": asPNG(t, photo(300, 300))} {
		if _, err := open(fstest.MapFS{"x": {Data: content}}, "x"); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		// Looking at it, as a check does, is enough: nobody decodes it for that.
		_, err := open(fstest.MapFS{"x": {Data: content[:len(content)/2]}}, "x")
		if fault := IsFault(err); fault == nil || fault.Kind != Broken {
			t.Errorf("%s: error %v, want a broken picture", name, err)
		}
	}
}

func TestPrepareAll(t *testing.T) {
	same := asJPEG(t, photo(900, 500))
	library := fstest.MapFS{
		"a.jpg":      {Data: same},
		"b.png":      {Data: asPNG(t, photo(500, 50))},
		"copy.jpg":   {Data: same},
		"d.svg":      {Data: []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 8 6"><script/></svg>`)},
		"broken.jpg": {Data: same[:900]},
	}
	names := []string{"d.svg", "a.jpg", "gone.jpg", "copy.jpg", "broken.jpg", "b.png"}
	var first map[string][]byte
	for range 3 {
		var sink output.Memory
		var done atomic.Int32
		results := PrepareAll(library, names, &sink, func() { done.Add(1) })
		if int(done.Load()) != len(names) {
			t.Errorf("done %d times, want %d", done.Load(), len(names))
		}
		for i, name := range names {
			switch fault := IsFault(results[i].Err); name {
			case "gone.jpg":
				if fault == nil || fault.Kind != Missing {
					t.Errorf("%s: %v", name, results[i].Err)
				}
			case "broken.jpg":
				if fault == nil || fault.Kind != Broken {
					t.Errorf("%s: %v", name, results[i].Err)
				}
			default:
				if results[i].Err != nil || results[i].Picture.Source != name {
					t.Errorf("%s: %+v", name, results[i])
				}
				for _, size := range results[i].Picture.Sizes {
					if sink.Files()[size.Path] == nil {
						t.Errorf("%s: %s was not written", name, size.Path)
					}
				}
			}
		}
		if taken := results[0].TakenOut; !slices.Equal(taken, []string{"element script"}) {
			t.Errorf("taken out %q", taken)
		}
		if first == nil {
			first = sink.Files()
		}
		if !maps.EqualFunc(first, sink.Files(), bytes.Equal) {
			t.Error("the same pictures gave other files")
		}
	}
	if len(first) != 2+2+1 { // two sizes of a.jpg, which copy.jpg shares, two of b.png, and d.svg
		t.Errorf("wrote %v", slices.Sorted(maps.Keys(first)))
	}
}

func TestPrepareAllPassesTheSinksError(t *testing.T) {
	var sink output.Memory
	library := fstest.MapFS{"a.png": {Data: asPNG(t, photo(5, 5))}}
	PrepareAll(library, []string{"a.png"}, &sink, nil)
	second := PrepareAll(library, []string{"a.png"}, &sink, nil) // the path is taken
	if err := second[0].Err; err == nil || IsFault(err) != nil {
		t.Errorf("error %v, want the sink's own", err)
	}
}

func TestGateKeepsTheLimit(t *testing.T) {
	g := newSemaphore(10)
	var inside, most atomic.Int32
	finished := make(chan bool)
	for i := range 50 {
		need := i%7 + 1
		go func() {
			g.acquire(need)
			if now := inside.Add(int32(need)); now > most.Load() {
				most.Store(now)
			}
			inside.Add(-int32(need))
			g.release(need)
			finished <- true
		}()
	}
	for range 50 {
		<-finished
	}
	if most.Load() > 10 {
		t.Errorf("%d were in at once", most.Load())
	}
	g.acquire(99) // more than there is room for, alone
	g.release(99)
}

// BenchmarkPhoto prepares a photo of 12 million pixels.
func BenchmarkPhoto(b *testing.B) {
	content := asJPEG(b, photo(4000, 3000))
	library := fstest.MapFS{"x.jpg": {Data: content}}
	for b.Loop() {
		s, err := open(library, "x.jpg")
		assert.NilError(b, err)
		if _, _, err := s.prepare(); err != nil {
			b.Fatal(err)
		}
	}
}
