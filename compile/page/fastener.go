package page

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// ThreadAndLength writes a fastener's size the way it is called for: "M12 × 40 mm".
func (s Shell) ThreadAndLength(f *procedure.Fastener) string {
	thread, length := strings.ReplaceAll(f.Thread, "x", "×"), s.Quantity(f.Length)
	if thread != "" && length != "" {
		return thread + " × " + length
	}
	return thread + length
}

// Torque writes a torque in newton metres and in pound-force feet. The unit that
// the author took is written as it was; the other to three digits, less than
// a torque wrench can be set to. A third unit stands before its newton metres.
func (s Shell) Torque(q measure.Quantity) (newtonMetres, footPounds string) {
	if q.Dimension() != measure.Torque {
		return s.Quantity(q), ""
	}
	switch q.Unit() {
	case "N·m":
		return s.Quantity(q), s.Significant(q, "lbf·ft", 3) + " lbf·ft"
	case "lbf·ft":
		return s.Significant(q, "N·m", 3) + " N·m", s.Quantity(q)
	}
	return s.Quantity(q) + " = " + s.Significant(q, "N·m", 3) + " N·m", s.Significant(q, "lbf·ft", 3) + " lbf·ft"
}

// Significant writes the number of a quantity in a unit to as many digits; all
// digits before the decimal sign stand, and zeros at the end behind it do not.
func (s Shell) Significant(q measure.Quantity, unit string, digits int) string {
	x := q.Float(unit)
	for _, above := range []float64{1, 10, 100, 1000} {
		if x >= above {
			digits--
		}
	}
	return s.Words.Number(x, max(digits, 0))
}

// Tightening says how tight a fastener gets: "80 N·m (59 lbf·ft) ± 5 % + 90°";
// empty for one without a torque.
func (s Shell) Tightening(f *procedure.Fastener) string {
	if f.Torque.IsZero() {
		return ""
	}
	newtonMetres, footPounds := s.Torque(f.Torque)
	out := newtonMetres
	if footPounds != "" {
		out += " (" + footPounds + ")"
	}
	if !f.Tolerance.IsZero() {
		out += " ± " + s.Quantity(f.Tolerance)
	}
	if !f.Angle.IsZero() {
		out += " + " + s.Quantity(f.Angle)
	}
	return out
}
