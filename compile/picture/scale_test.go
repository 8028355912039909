package picture

import (
	"fmt"
	"image"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/draw"
)

// TestScale compares with the Catmull-Rom scaler of golang.org/x/image, which
// works in floating point.
func TestScale(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for _, size := range []struct{ fromX, fromY, toX, toY int }{
		{40, 30, 40, 30}, {40, 30, 20, 15}, {101, 67, 40, 27}, {64, 64, 63, 63}, {300, 7, 17, 3}, {1, 9, 1, 4}, {9, 1, 2, 1}, {8, 8, 1, 1}, {5, 6, 12, 13},
	} {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			from := image.NewGray(image.Rect(0, 0, size.fromX, size.fromY))
			coloured := image.NewRGBA(from.Rect)
			for i := range from.Pix {
				from.Pix[i] = byte(random.IntN(256))
			}
			for i := range coloured.Pix {
				coloured.Pix[i] = byte(random.IntN(256))
				if i%4 == 3 {
					coloured.Pix[i] = 255
				}
			}
			want, wantColoured := image.NewGray(image.Rect(0, 0, size.toX, size.toY)), image.NewRGBA(image.Rect(0, 0, size.toX, size.toY))
			draw.CatmullRom.Scale(want, want.Rect, from, from.Rect, draw.Src, nil)
			draw.CatmullRom.Scale(wantColoured, want.Rect, coloured, from.Rect, draw.Src, nil)
			wantNear(t, plane{size.fromX, size.fromY, 1, from.Stride, from.Pix}.scale(size.toX, size.toY).pix, want.Pix)
			wantNear(t, plane{size.fromX, size.fromY, 4, coloured.Stride, coloured.Pix}.scale(size.toX, size.toY).pix, wantColoured.Pix)
		})
	}
}

// wantNear allows a difference of one step of 255, for rounding.
func wantNear(t *testing.T, got, want []byte) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d bytes, want %d", len(got), len(want))
	}
	for i := range got {
		if difference := int(got[i]) - int(want[i]); difference < -1 || difference > 1 {
			t.Fatalf("sample %d is %d, want %d", i, got[i], want[i])
		}
	}
}

func TestFilterWeights(t *testing.T) {
	for _, size := range [][2]int{{4000, 1600}, {7, 3}, {3, 7}, {1, 1}, {2, 1}, {1_000_000, 400}} {
		for i, f := range filter(size[0], size[1]) {
			sum := int32(0)
			for _, weight := range f.weights {
				sum += weight
			}
			if sum != 1<<weightBits {
				t.Errorf("%d to %d, sample %d: weights sum to %d", size[0], size[1], i, sum)
			}
			if f.first < 0 || f.first+len(f.weights) > size[0] {
				t.Errorf("%d to %d, sample %d: taps %d+%d", size[0], size[1], i, f.first, len(f.weights))
			}
		}
	}
}
