package order

import (
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/state"
)

// Source: 1 lb = 0.45359237 kg by definition. 80 lb on a winch of 50 lb are said in pounds, as the author wrote them.
func TestMassInTheAuthorsUnit(t *testing.T) {
	for _, tt := range []struct {
		kg   float64
		like measure.Quantity
		want string
	}{
		{80 * 0.45359237, measure.Must("50 lb"), "80 lb"}, {64.0004, measure.Must("50 kg"), "64 kg"}, {2.5, measure.Must("900 g"), "2500 g"}, {64, measure.Quantity{}, "64 kg"},
	} {
		if got := mass(tt.kg, tt.like).String(); got != tt.want {
			t.Errorf("%v kg like %s: %s, want %s", tt.kg, tt.like, got, tt.want)
		}
	}
	parts := []*state.Part{{Part: &procedure.Part{}}, {Part: &procedure.Part{Mass: measure.Must("3 lb")}}}
	if got := stated(parts); !got.Equal(measure.Must("3 lb")) || !stated(parts[:1]).IsZero() {
		t.Errorf("stated: %s", got)
	}
}
