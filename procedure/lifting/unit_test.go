package lifting

import (
	"math"
	"testing"

	"matchmark/procedure/measure"
)

// Source: 1 lb = 0.45359237 kg, standard gravity 9.80665 m/s² (both exact by definition).
func TestInUnitOf(t *testing.T) {
	for _, tt := range []struct {
		kg    float64
		like  measure.Quantity
		value float64
		unit  string
	}{
		{45.359237, measure.Must("2 lb"), 100, "lb"}, {64, measure.Must("80 kg"), 64, "kg"},
		{1000, measure.Must("5 kN"), 9.80665, "kN"}, {2, measure.Must("500 g"), 2000, "g"},
		{2, measure.Quantity{}, 2, "kg"}, {2, measure.Must("3 mm"), 2, "kg"}, {2, measure.Must("0 lb"), 2, "kg"},
	} {
		if value, unit := InUnitOf(tt.kg, tt.like); math.Abs(value-tt.value) > 1e-9 || unit != tt.unit {
			t.Errorf("%v kg like %s: %v %s, want %v %s", tt.kg, tt.like, value, unit, tt.value, tt.unit)
		}
	}
}
