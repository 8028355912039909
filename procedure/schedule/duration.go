package schedule

import (
	"math"
	"strconv"
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
	shown := Shown(minutes)
	if shown > 0 && shown < 1 {
		return strconv.Itoa(int(math.Round(60*shown))) + " s"
	}
	whole := int(shown)
	switch h, m := whole/60, whole%60; {
	case h == 0:
		return strconv.Itoa(m) + " min"
	case m == 0:
		return strconv.Itoa(h) + " h"
	default:
		return strconv.Itoa(h) + " h " + strconv.Itoa(m) + " min"
	}
}

// ClockTime writes whole minutes from the start of a job, zero or more, as a clock does: "0:25", "2:05".
func ClockTime(minutes int) string {
	out := append(strconv.AppendInt(make([]byte, 0, 8), int64(minutes/60), 10), ':')
	if minutes%60 < 10 {
		out = append(out, '0')
	}
	return string(strconv.AppendInt(out, int64(minutes%60), 10))
}

// nearHalf keeps a half that a sum of sixths missed by the last bit from being rounded down.
const nearHalf = 1e-9

// Shown is the time that Duration writes, in minutes: rounded to a second below one minute, else to a minute.
func Shown(minutes float64) float64 {
	if minutes < 0 {
		return -Shown(-minutes)
	}
	if seconds := math.Floor(minutes*60 + 0.5 + nearHalf); seconds > 0 && seconds < 60 {
		return seconds / 60
	}
	return math.Floor(minutes + 0.5 + nearHalf)
}
