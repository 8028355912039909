package fastening

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Source: ISO 6789 type II class A, 4 %, and 6 % for tools up to 10 N·m, by a tool maker's public review; it is the greatest
// torque of the tool that counts, not what it is set to.
func TestWrenchDeviation(t *testing.T) {
	for high, want := range map[string]float64{"200 N·m": 4, "25 N·m": 4, "10 N·m": 6, "5 N·m": 6} {
		assert.Equal(t, WrenchDeviation(procedure.Fitting{High: measure.Must(high)}), want, high)
	}
	assert.Equal(t, WrenchDeviation(procedure.Fitting{High: measure.Must("200 N·m"), Tolerance: measure.Must("3 %")}), 3.0)
}

func TestDeviation(t *testing.T) {
	for _, c := range []struct {
		torque, tolerance string
		want              float64
	}{{"80 N·m", "5 %", 5}, {"80 N·m", "4 N·m", 5}, {"59 lbf·ft", "5.9 lbf·ft", 10}} {
		got, ok := Deviation(&procedure.Fastener{Torque: measure.Must(c.torque), Tolerance: measure.Must(c.tolerance)})
		assert.Assert(t, ok && got > c.want-1e-6 && got < c.want+1e-6, "%s ± %s: %v", c.torque, c.tolerance, got)
	}
	_, ok := Deviation(&procedure.Fastener{Torque: measure.Must("80 N·m")})
	assert.Assert(t, !ok)
}
