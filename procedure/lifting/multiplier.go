package lifting

// Duration is how long lifting goes on, with the rests that belong to it.
type Duration int

// The durations of the frequency table.
const (
	Short    Duration = iota // up to 1 h, then as much light work
	Moderate                 // up to 2 h, then 0.3 times as much light work
	Long                     // up to 8 h
)

// Coupling is how well the hands hold the load.
type Coupling int

// The couplings.
const (
	Good Coupling = iota // handles or cut-outs of good design
	Fair                 // poor handles, or fingers bent 90° under the load
	Poor                 // bulky, slippery, sharp, sagging, hard to hold
)

// multiplier is CM for a load that is held below or above knuckle height.
//
// Source: DHHS (NIOSH) Publication 94-110 (revised 9/2021), table 7, by a public transcription.
func (c Coupling) multiplier(low bool) float64 {
	switch {
	case c == Poor:
		return 0.90
	case c == Fair && low:
		return 0.95
	}
	return 1
}

// frequencyRow is one row of the frequency table: the multiplier per duration,
// for an origin below knuckle height and at or above it.
type frequencyRow struct {
	perMinute float64
	low, high [3]float64
}

// frequencies is the table of the frequency multiplier FM.
//
// Source: DHHS (NIOSH) Publication 94-110 (revised 9/2021), table 5, by a public transcription.
var frequencies = []frequencyRow{
	{0.2, [3]float64{1.00, 0.95, 0.85}, [3]float64{1.00, 0.95, 0.85}},
	{0.5, [3]float64{0.97, 0.92, 0.81}, [3]float64{0.97, 0.92, 0.81}},
	{1, [3]float64{0.94, 0.88, 0.75}, [3]float64{0.94, 0.88, 0.75}},
	{2, [3]float64{0.91, 0.84, 0.65}, [3]float64{0.91, 0.84, 0.65}},
	{3, [3]float64{0.88, 0.79, 0.55}, [3]float64{0.88, 0.79, 0.55}},
	{4, [3]float64{0.84, 0.72, 0.45}, [3]float64{0.84, 0.72, 0.45}},
	{5, [3]float64{0.80, 0.60, 0.35}, [3]float64{0.80, 0.60, 0.35}},
	{6, [3]float64{0.75, 0.50, 0.27}, [3]float64{0.75, 0.50, 0.27}},
	{7, [3]float64{0.70, 0.42, 0.22}, [3]float64{0.70, 0.42, 0.22}},
	{8, [3]float64{0.60, 0.35, 0.18}, [3]float64{0.60, 0.35, 0.18}},
	{9, [3]float64{0.52, 0.30, 0}, [3]float64{0.52, 0.30, 0.15}},
	{10, [3]float64{0.45, 0.26, 0}, [3]float64{0.45, 0.26, 0.13}},
	{11, [3]float64{0.41, 0, 0}, [3]float64{0.41, 0.23, 0}},
	{12, [3]float64{0.37, 0, 0}, [3]float64{0.37, 0.21, 0}},
	{13, [3]float64{}, [3]float64{0.34, 0, 0}},
	{14, [3]float64{}, [3]float64{0.31, 0, 0}},
	{15, [3]float64{}, [3]float64{0.28, 0, 0}},
}

// frequency is FM, linear between the rows. Below the first row the first one
// counts. Above the last row that allows lifting it is 0 at once: nothing is
// drawn out between the last allowed frequency and the first forbidden one.
func frequency(perMinute float64, d Duration, low bool) float64 {
	value := func(r frequencyRow) float64 {
		if low {
			return r.low[d]
		}
		return r.high[d]
	}
	if d < Short || d > Long {
		return 0
	}
	before := frequencies[0]
	if perMinute <= before.perMinute {
		return value(before)
	}
	for _, r := range frequencies[1:] {
		if perMinute <= r.perMinute {
			if value(r) == 0 {
				return 0
			}
			share := (perMinute - before.perMinute) / (r.perMinute - before.perMinute)
			return value(before) + share*(value(r)-value(before))
		}
		before = r
	}
	return 0
}
