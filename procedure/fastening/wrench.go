package fastening

import (
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// WrenchDeviation is how far the torque that a wrench is set to may be off, in percent: what its row says, or else what its
// class allows, which goes by the greatest torque of the wrench.
//
// Source: ISO 6789, indicating and setting torque tools of type II class A, by a tool maker's public review of it.
func WrenchDeviation(u procedure.Fitting) float64 {
	switch {
	case !u.Tolerance.IsZero():
		return u.Tolerance.Float("%")
	case u.High.Float("N·m") <= 10:
		return 6
	}
	return 4
}

// Deviation is what a fastener's torque may deviate, in percent; ok is false for one without torque or tolerance.
func Deviation(f *procedure.Fastener) (percent float64, ok bool) {
	switch {
	case f.Torque.Dimension() != measure.Torque || f.Tolerance.IsZero() || f.Torque.Sign() <= 0:
		return 0, false
	case f.Tolerance.Dimension() == measure.Ratio:
		return f.Tolerance.Float("%"), true
	case f.Tolerance.Dimension() == measure.Torque:
		return 100 * f.Tolerance.Float("N·m") / f.Torque.Float("N·m"), true
	}
	return 0, false
}
