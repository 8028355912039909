package lifting

import "matchmark/procedure"

// straightPull is how far a pull may stand from an eye bolt's axis and still count as straight, in degrees.
//
// Source: a published rigging case, where 0 to 5 degrees count as 0.
const straightPull = 5

// EyeFactor returns what an eye bolt keeps of its rated value when the pull stands at an angle from the horizontal, in degrees,
// and the bolt upright; 0 where it must not be pulled like that. Known is false for a make that is not stated: sources give from a quarter to seven tenths.
//
// Source, by copies. Plain: makers' warning sheets, which forbid every pull at an angle. Collar: DIN 580:2003, table A.1 (ISO 3266 is of the
// same make), the smallest share that it prints for 45°, and nothing flatter. Shoulder: rigging tables, of two that differ at 45° the lower value;
// nothing flatter. Swivel: the maker's rating is for every direction. Between two angles that are printed the lower value counts.
func EyeFactor(make string, angle float64) (factor float64, known bool) {
	off := 90 - angle
	switch {
	case make == "":
		return 0, false
	case make == procedure.SwivelEye, off <= straightPull:
		return 1, true
	case make == procedure.PlainEye, off > 45+rounding:
		return 0, true
	case make == procedure.CollarEye:
		return 0.6875, true
	case off <= 15:
		return 0.8, true
	case off <= 30:
		return 0.65, true
	}
	return 0.25, true
}
