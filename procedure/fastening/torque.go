package fastening

import (
	"errors"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// The share of the proof load between which a tightened bolt is expected.
//
// Source: common practice; 75 % for joints that are undone again and 90 % for
// lasting ones are textbook values, and 40 % leaves room for soft joints.
const (
	LeastShare = 0.40
	MostShare  = 0.90
)

// usualShare is the share of the proof load that published tables of torques give.
//
// Source: T = K·F·d tables of the trade, metric and inch, for joints that are undone again.
const usualShare = 0.75

// near is how far from the usual share one that comes of a mix-up of units may lie: tables
// round to whole numbers.
const near = 0.03

// Torque returns the tightening torque in N·m for a nut factor K, a preload in
// newtons and a nominal diameter in millimetres, T = K · F · d.
//
// Source: short form of the torque equation, Shigley, by public copies.
func Torque(k, preload, diameter float64) float64 { return k * preload * diameter / 1000 }

// Preload is the inverse of Torque: newtons for a torque in N·m.
func Preload(k, torque, diameter float64) float64 { return torque * 1000 / (k * diameter) }

// Friction is a range of the nut factor K.
type Friction struct {
	// Treatment is the state of the thread, as the fastener register names it.
	Treatment string
	Low, High float64
}

// Frictions returns the ranges of K that are assumed when a fastener states
// none; the last one, without a treatment, is for all others.
//
// Source: public torque tables of the trade; they scatter, and so do bolts.
func Frictions() []Friction {
	return []Friction{
		{"dry", 0.20, 0.25},
		{"zinc", 0.18, 0.22},
		{"oil", 0.15, 0.20},
		{"anti-seize", 0.12, 0.16},
		{"paste", 0.12, 0.16},
		{"grease", 0.12, 0.18},
		{"wax", 0.10, 0.14},
		{"", 0.15, 0.25},
	}
}

// FrictionDoubt returns the range of K for a fastener's treatment when the K that it states lies far outside that: a fifth
// below or above, since tables scatter that much. ok is false when nothing is doubted.
func FrictionDoubt(f *procedure.Fastener) (usual Friction, ok bool) {
	usual = AssumedFriction(f.Treatment)
	if usual.Treatment == "" || f.Friction <= 0 {
		return usual, false
	}
	return usual, f.Friction < 0.8*usual.Low || f.Friction > 1.2*usual.High
}

// AssumedFriction returns the range of K for a thread treatment in the author's
// words: the first row of Frictions whose treatment stands in them.
func AssumedFriction(treatment string) Friction {
	words := strings.ToLower(treatment)
	for _, f := range Frictions() {
		if strings.Contains(words, f.Treatment) {
			return f
		}
	}
	return Friction{}
}

// Outcome is what a plausibility check says.
type Outcome int

// The outcomes.
const (
	NotChecked Outcome = iota // see the reason
	Plausible
	TooLow
	TooHigh
	// MayBreak is for a torque that the range of K allows, but that at its low end takes more
	// than the proof load.
	MayBreak
)

// Reason says why a figure was not checked. Its text is a key, not prose.
type Reason string

// The reasons.
const (
	NotThreaded  Reason = "not-threaded"
	SealingPlug  Reason = "sealing-plug" // a plug is tightened to seal, not to a preload
	NoThread     Reason = "no-thread"
	OtherThread  Reason = "other-thread" // neither ISO metric nor unified
	WrongThread  Reason = "wrong-thread" // ParseThread says what is wrong
	NoClass      Reason = "no-class"
	OtherClass   Reason = "other-class" // not of ISO 898-1, SAE J429 or ASTM A193
	WrongClass   Reason = "wrong-class" // ParseClass says what is wrong
	NotInClass   Reason = "not-in-class"
	NoProof      Reason = "no-proof"     // the grade has no proof stress
	OtherFamily  Reason = "other-family" // a metric class on an inch thread, or an inch grade on a metric one
	NoTorque     Reason = "no-torque"
	NoDrive      Reason = "no-drive"
	OtherDrive   Reason = "other-drive"
	WrongDrive   Reason = "wrong-drive" // ParseDrive says what is wrong
	NoDriveTable Reason = "no-drive-table"
)

// TorqueVerdict holds a torque check with the figures behind it. Figures that
// could not be worked out are zero.
type TorqueVerdict struct {
	Outcome Outcome
	Reason  Reason // only with NotChecked

	Thread     Thread
	Class      Class   // of a nut: the class of its bolt
	StressArea float64 // mm²
	ProofLoad  float64 // N
	Friction   Friction
	// Assumed is true when the fastener states no K and Friction is the range for its treatment.
	Assumed bool
	// Low and High are the torques in N·m between which the preload can be 40 % to 90 % of the proof load.
	Low, High float64
	// Stated is the fastener's torque in N·m.
	Stated float64
	// LeastShare and MostShare are what the stated torque makes of the proof load, for the high and the low K.
	LeastShare, MostShare float64
	// Asks is true when the fastener states neither K nor a treatment that tells its range.
	Asks bool
	// Mistaken is the other of N·m and lbf·ft, when the same number of it would give the share of
	// published tables, and the stated one does not; empty otherwise.
	Mistaken string
}

// CheckTorque compares a fastener's torque with the torque that gives 40 % to
// 90 % of the proof load. The window is as wide as the range of K, so that only
// a torque that no K in it explains is called too low or too high; one that goes beyond
// the proof load at the low end of K may break the bolt. A torque that is followed by an
// angle is a snug torque and is never too low.
func CheckTorque(f *procedure.Fastener) TorqueVerdict {
	var v TorqueVerdict
	if v.Reason = v.identify(f); v.Reason != "" {
		return v
	}
	if v.Class.Inch != (v.Thread.Inch != "") {
		v.Reason = OtherFamily
		return v
	}
	v.StressArea = v.Thread.StressArea()
	v.ProofLoad = ProofLoad(v.Thread, v.Class)
	if v.ProofLoad == 0 {
		v.Reason = NotInClass
		if v.Class.of(v.Thread.Diameter).tensile > 0 {
			v.Reason = NoProof
		}
		return v
	}
	if v.Friction, v.Assumed = (Friction{f.Treatment, f.Friction, f.Friction}), f.Friction <= 0; v.Assumed {
		v.Friction = AssumedFriction(f.Treatment)
		v.Asks = v.Friction.Treatment == ""
	}
	d := v.Thread.Diameter
	v.Low = Torque(v.Friction.Low, LeastShare*v.ProofLoad, d)
	v.High = Torque(v.Friction.High, MostShare*v.ProofLoad, d)
	if f.Torque.Dimension() != measure.Torque {
		v.Reason = NoTorque
		return v
	}
	v.Stated = f.Torque.Float("N·m")
	v.LeastShare = Preload(v.Friction.High, v.Stated, d) / v.ProofLoad
	v.MostShare = Preload(v.Friction.Low, v.Stated, d) / v.ProofLoad
	switch {
	case v.Stated > v.High:
		v.Outcome = TooHigh
	case v.Stated < v.Low && f.Angle.IsZero():
		v.Outcome = TooLow
	case v.MostShare > 1:
		v.Outcome = MayBreak
	default:
		v.Outcome = Plausible
	}
	if f.Angle.IsZero() {
		v.Mistaken = v.mistaken(f.Torque)
	}
	return v
}

// mistaken returns the unit that a torque may have been meant in.
func (v *TorqueVerdict) mistaken(stated measure.Quantity) string {
	const footPound = 1.3558179483314004 // N·m, exactly 0.3048 · 0.45359237 · 9.80665
	other, factor := "lbf·ft", footPound
	switch stated.Unit() {
	case "N·m":
	case "lbf·ft":
		other, factor = "N·m", 1/footPound
	default:
		return ""
	}
	usual := func(factor float64) bool {
		return factor*v.LeastShare <= usualShare*(1+near) && factor*v.MostShare >= usualShare*(1-near)
	}
	if usual(factor) && !usual(1) {
		return other
	}
	return ""
}

// identify fills in thread and class, or says why they are not known.
func (v *TorqueVerdict) identify(f *procedure.Fastener) Reason {
	if f.Kind == procedure.Plug {
		return SealingPlug
	}
	var reason Reason
	if v.Thread, reason = threadOf(f); reason != "" {
		return reason
	}
	if strings.TrimSpace(f.Class) == "" {
		return NoClass
	}
	var err error
	if f.Kind == procedure.Nut {
		v.Class, err = ofNut(f.Class)
	} else {
		v.Class, err = ParseClass(f.Class)
	}
	return reasonOf(err, OtherClass, WrongClass)
}

// threadOf reads a fastener's thread.
func threadOf(f *procedure.Fastener) (Thread, Reason) {
	switch {
	case !f.Kind.Threaded():
		return Thread{}, NotThreaded
	case strings.TrimSpace(f.Thread) == "":
		return Thread{}, NoThread
	}
	t, err := ParseThread(f.Thread)
	return t, reasonOf(err, OtherThread, WrongThread)
}

// reasonOf tells what the tables do not cover from what is wrong.
func reasonOf(err error, other, wrong Reason) Reason {
	switch {
	case err == nil:
		return ""
	case errors.Is(err, ErrNotCovered):
		return other
	}
	return wrong
}
