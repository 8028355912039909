package fastening

import "math"

// size is one diameter of the thread table, in millimetres.
type size struct {
	diameter float64
	coarse   float64   // 0: the diameter has fine pitches only
	fine     []float64 // falling
}

// pitches returns all pitches of the diameter, coarse first.
func (s size) pitches() []float64 {
	if s.coarse == 0 {
		return s.fine
	}
	return append([]float64{s.coarse}, s.fine...)
}

// sizes is the general plan of metric threads from M1 to M100, by diameter.
//
// Source: ISO 261 (general plan). From memory; the selection of ISO 262 (M1 to
// M64, coarse and preferred fine pitch) agrees with two public copies, and the
// rest with a third.
var sizes = []size{
	{1, 0.25, []float64{0.2}}, {1.1, 0.25, []float64{0.2}}, {1.2, 0.25, []float64{0.2}}, {1.4, 0.3, []float64{0.2}},
	{1.6, 0.35, []float64{0.2}}, {1.8, 0.35, []float64{0.2}}, {2, 0.4, []float64{0.25}}, {2.2, 0.45, []float64{0.25}},
	{2.5, 0.45, []float64{0.35}}, {3, 0.5, []float64{0.35}}, {3.5, 0.6, []float64{0.35}}, {4, 0.7, []float64{0.5}},
	{4.5, 0.75, []float64{0.5}}, {5, 0.8, []float64{0.5}}, {5.5, 0, []float64{0.5}}, {6, 1, []float64{0.75}},
	{7, 1, []float64{0.75}}, {8, 1.25, []float64{1, 0.75}}, {9, 1.25, []float64{1, 0.75}}, {10, 1.5, []float64{1.25, 1, 0.75}},
	{11, 1.5, []float64{1, 0.75}}, {12, 1.75, []float64{1.5, 1.25, 1}}, {14, 2, []float64{1.5, 1.25, 1}}, {15, 0, []float64{1.5, 1}},
	{16, 2, []float64{1.5, 1}}, {17, 0, []float64{1.5, 1}}, {18, 2.5, []float64{2, 1.5, 1}}, {20, 2.5, []float64{2, 1.5, 1}},
	{22, 2.5, []float64{2, 1.5, 1}}, {24, 3, []float64{2, 1.5, 1}}, {25, 0, []float64{2, 1.5, 1}}, {26, 0, []float64{1.5}},
	{27, 3, []float64{2, 1.5, 1}}, {28, 0, []float64{2, 1.5, 1}}, {30, 3.5, []float64{3, 2, 1.5, 1}}, {32, 0, []float64{2, 1.5}},
	{33, 3.5, []float64{3, 2, 1.5}}, {35, 0, []float64{1.5}}, {36, 4, []float64{3, 2, 1.5}}, {38, 0, []float64{1.5}},
	{39, 4, []float64{3, 2, 1.5}}, {40, 0, []float64{3, 2, 1.5}}, {42, 4.5, []float64{4, 3, 2, 1.5}}, {45, 4.5, []float64{4, 3, 2, 1.5}},
	{48, 5, []float64{4, 3, 2, 1.5}}, {50, 0, []float64{3, 2, 1.5}}, {52, 5, []float64{4, 3, 2, 1.5}}, {55, 0, []float64{4, 3, 2, 1.5}},
	{56, 5.5, []float64{4, 3, 2, 1.5}}, {58, 0, []float64{4, 3, 2, 1.5}}, {60, 5.5, []float64{4, 3, 2, 1.5}}, {62, 0, []float64{4, 3, 2, 1.5}},
	{64, 6, []float64{4, 3, 2, 1.5}}, {65, 0, []float64{4, 3, 2, 1.5}}, {68, 6, []float64{4, 3, 2, 1.5}}, {70, 0, []float64{6, 4, 3, 2, 1.5}},
	{72, 0, []float64{6, 4, 3, 2, 1.5}}, {75, 0, []float64{4, 3, 2, 1.5}}, {76, 0, []float64{6, 4, 3, 2, 1.5}}, {80, 0, []float64{6, 4, 3, 2, 1.5}},
	{85, 0, []float64{6, 4, 3, 2}}, {90, 0, []float64{6, 4, 3, 2}}, {95, 0, []float64{6, 4, 3, 2}}, {100, 0, []float64{6, 4, 3, 2}},
}

// sizeOf finds the row of a diameter.
func sizeOf(diameter float64) (size, bool) {
	for _, s := range sizes {
		if s.diameter == diameter {
			return s, true
		}
	}
	return size{}, false
}

// nearest returns the value next to x; the smaller of two equally near ones.
func nearest(x float64, values []float64) float64 {
	best := values[0]
	for _, v := range values {
		if d, b := math.Abs(v-x), math.Abs(best-x); d < b || d == b && v < best {
			best = v
		}
	}
	return best
}
