package lifting

import "matchmark/procedure/measure"

// InUnitOf returns a mass in the unit in which a mass, or a force that holds it, was
// written, so that an author reads his own unit again; in kilograms where nothing was stated.
func InUnitOf(kg float64, like measure.Quantity) (value float64, unit string) {
	one, known := Kilograms(like)
	written := like.Float(like.Unit())
	if !known || one == 0 || written == 0 {
		return kg, "kg"
	}
	return kg / (one / written), like.Unit()
}
