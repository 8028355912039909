package page

import (
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/decimal"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
)

// ThreadAndLength writes a fastener's size the way it is called for: "M12 × 40 mm", with LH for a left-hand thread.
func (s Shell) ThreadAndLength(f *procedure.Fastener) string {
	thread, length := strings.ReplaceAll(f.Thread, "x", "×"), s.Quantity(f.Length)
	if f.Hand == procedure.LeftHand && !strings.HasSuffix(thread, procedure.LeftHandMark) {
		thread = strings.TrimSpace(thread + " " + procedure.LeftHandMark)
	}
	if thread != "" && length != "" {
		return thread + " × " + length
	}
	return thread + length
}

// Hand says which way an act turns a left-hand thread; empty for any other.
func (s Shell) Hand(f *procedure.Fastener, v procedure.Verb) string {
	if f.Hand != procedure.LeftHand {
		return ""
	}
	switch v {
	case procedure.Loosen, procedure.Remove:
		return s.Words.T("left-hand.undo")
	case procedure.Fit, procedure.Tighten:
		return s.Words.T("left-hand.tighten")
	}
	return ""
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

// Window writes what lies between two quantities, to as many digits as Significant or
// as many more as it takes to leave something. It is rounded inwards: what is on paper is allowed.
func (s Shell) Window(low, high measure.Quantity, unit string, digits int) string {
	from, to := low.Float(unit), high.Float(unit)
	places := decimals(to, digits)
	for from < to && places < mostPlaces && decimal.Up(from, places) >= decimal.Down(to, places) {
		places++
	}
	return s.Words.Number(decimal.Up(from, places), places) + "–" + s.Words.Number(decimal.Down(to, places), places) + " " + unit
}

// mostPlaces is how many decimals a window is written with at most.
const mostPlaces = 6

// Significant writes the number of a quantity in a unit to as many digits; all
// digits before the decimal sign stand, and zeros at the end behind it do not.
func (s Shell) Significant(q measure.Quantity, unit string, digits int) string {
	x := q.Float(unit)
	return s.Words.Number(x, decimals(x, digits))
}

// decimals is how many decimals a number of so many digits has.
func decimals(x float64, digits int) int {
	for _, above := range []float64{1, 10, 100, 1000} {
		if x >= above {
			digits--
		}
	}
	return max(digits, 0)
}

// Tightening says how tight a fastener gets: "80 N·m (59 lbf·ft) ± 5 % + 90°", with the passes before the last torque in
// front; empty for one without a torque.
func (s Shell) Tightening(f *procedure.Fastener) string {
	if f.Torque.IsZero() {
		return ""
	}
	newtonMetres, footPounds := s.Torque(f.Torque)
	out := newtonMetres
	if before := s.Before(f); before != "" {
		out = before + " → " + out
	}
	if footPounds != "" {
		out += " (" + footPounds + ")"
	}
	if !f.Tolerance.IsZero() {
		out += " ± " + s.Quantity(f.Tolerance)
	}
	for _, q := range f.Passes() {
		if q.Dimension() == measure.Angle {
			out += " + " + s.Quantity(q)
		}
	}
	return out
}

// Before lists the torques of the passes before the last one: "36 N·m → 84 N·m"; empty for one pass.
func (s Shell) Before(f *procedure.Fastener) string {
	var out []string
	for _, q := range f.Passes() {
		if q.Dimension() == measure.Torque && !q.Equal(f.Torque) {
			newtonMetres, footPounds := s.Torque(q)
			if q.Unit() == "lbf·ft" {
				newtonMetres = footPounds
			}
			out = append(out, newtonMetres)
		}
	}
	return strings.Join(out, " → ")
}

// Order says in which order a fastener and its pieces are tightened: the pattern, what is tight before, and what else its
// row says; empty for nothing.
func (s Shell) Order(f *procedure.Fastener) string {
	var out []string
	if f.Pattern != "" {
		out = append(out, s.Words.T("pattern."+strings.ReplaceAll(f.Pattern, " ", "-")))
	}
	if len(f.TightAfter) > 0 {
		var numbers []string
		for _, r := range f.TightAfter {
			numbers = append(numbers, r.ID)
		}
		out = append(out, s.Words.T("tight-after", strings.Join(numbers, ", ")))
	}
	if f.Sequence != "" {
		out = append(out, f.Sequence)
	}
	return strings.Join(out, "; ")
}

// Numbers says in which order a pattern goes round the pieces of a fastener, for those that no figure shows one by one;
// empty where the pattern's name says it all.
func (s Shell) Numbers(f *procedure.Fastener) string {
	if f.Pattern != procedure.Crosswise && f.Pattern != procedure.Outwards || f.Count < 3 || f.Count > mostNumbered {
		return ""
	}
	var numbers []string
	for _, n := range fastening.Sequence(f.Pattern, f.Count) {
		numbers = append(numbers, strconv.Itoa(n))
	}
	return s.Words.T("pattern.numbers."+strings.ReplaceAll(f.Pattern, " ", "-"), strings.Join(numbers, "–"))
}

// mostNumbered is how many pieces a sequence is written out for.
const mostNumbered = 32
