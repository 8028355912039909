package fitting

import "testing"

// FuzzRangeIn: a range in a tool's name, whatever it says, runs upwards, and is one of what is measured in one unit.
func FuzzRangeIn(f *testing.F) {
	for _, name := range []string{"Torque wrench, 5 N·m to 25 N·m", "20-100 lbf·ft", "up to 60 N·m", "Socket 13 mm", "10 mm bis 12 mm", "5 N·m to"} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		low, high, ok := RangeIn(name)
		if !ok {
			return
		}
		if !low.SameDimension(high) || low.Compare(high) > 0 || low.Sign() < 0 {
			t.Errorf("%q gives %s to %s", name, low, high)
		}
	})
}

// FuzzSameDrive: two drives are the same in whatever order, and one is the same as itself.
func FuzzSameDrive(f *testing.F) {
	f.Add("hex 13 mm", "Hex 13mm")
	f.Add("T30", "torx 30")
	f.Add("", "slot")
	f.Fuzz(func(t *testing.T, a, b string) {
		if SameDrive(a, b) != SameDrive(b, a) || !SameDrive(a, a) {
			t.Errorf("%q and %q", a, b)
		}
	})
}
