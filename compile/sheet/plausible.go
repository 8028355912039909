package sheet

import (
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/decimal"
	"matchmark/procedure/fastening"
)

// torqueCheck holds a fastener's torque against its proof load.
type torqueCheck struct {
	Number, Name string
	Thread       string
	// Why says why nothing was checked; the rest is empty then.
	Why string

	// Proof is the proof load, Friction the range of K, Window the torques that
	// give 40 % to 90 % of the proof load, Share what the stated torque gives.
	Proof, Friction, Window, Stated, Share, Verdict string
	Assumed, Doubt                                  bool
}

func (e emitter) torqueCheck(s page.Shell, f *procedure.Fastener, v *fastening.TorqueVerdict) torqueCheck {
	c := torqueCheck{Number: f.ID, Name: f.Name, Thread: joined(s.ThreadAndLength(f), f.Class)}
	if v.Outcome == fastening.NotChecked {
		c.Why = e.words.T("sheet.torque.reason." + string(v.Reason))
		return c
	}
	number := e.words.Number
	c.Proof = number(v.ProofLoad/1000, 1) + " kN"
	c.Friction, c.Assumed = between(number(v.Friction.Low, 2), number(v.Friction.High, 2)), v.Assumed
	c.Window = between(number(decimal.Up(v.Low, digitsOf(v.Low)), digitsOf(v.Low)), number(decimal.Down(v.High, digitsOf(v.High)), digitsOf(v.High))) + " N·m"
	c.Stated = number(v.Stated, 1) + " N·m"
	c.Share = between(number(100*v.LeastShare, 0), number(100*v.MostShare, 0)) + " %"
	c.Doubt = v.Outcome != fastening.Plausible
	c.Verdict = e.words.T("sheet.torque.plausible")
	if c.Doubt {
		c.Verdict = e.doubt(v.Outcome)
	}
	return c
}

// doubt says how a torque does not fit its fastener; empty when it does, or when nobody can say.
func (e emitter) doubt(found fastening.Outcome) string {
	switch found {
	case fastening.TooLow:
		return e.words.T("sheet.torque.low")
	case fastening.TooHigh:
		return e.words.T("sheet.torque.high")
	case fastening.MayBreak:
		return e.words.T("sheet.torque.may-break")
	}
	return ""
}

// between writes a range; its ends may be the same.
func between(low, high string) string {
	if low == high {
		return low
	}
	return low + "–" + high
}

// digitsOf is how many digits a worked-out torque has behind the decimal sign.
func digitsOf(x float64) int {
	if x < 10 {
		return 1
	}
	return 0
}
