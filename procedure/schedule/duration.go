package schedule

import (
	"fmt"
	"math"
)

// Duration writes a time in minutes for people: "1 h 24 min", "6 min", "30 s".
// It is rounded to whole minutes, below one minute to whole seconds; halves are
// rounded up. A time that is no number is written as nothing.
func Duration(minutes float64) string {
	switch {
	case math.IsNaN(minutes) || math.Abs(minutes) > 1e9:
		return ""
	case minutes < 0:
		return "-" + Duration(-minutes)
	}
	seconds := int(math.Floor(minutes*60 + 0.5 + nearHalf))
	if seconds > 0 && seconds < 60 {
		return fmt.Sprintf("%d s", seconds)
	}
	whole := int(math.Floor(minutes + 0.5 + nearHalf))
	switch h, m := whole/60, whole%60; {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	default:
		return fmt.Sprintf("%d h %d min", h, m)
	}
}

// nearHalf keeps a half that a sum of sixths missed by the last bit from being rounded down.
const nearHalf = 1e-9
