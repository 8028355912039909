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
		{"wax", 0.10, 0.14},
		{"", 0.15, 0.25},
	}
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
)

// Reason says why a figure was not checked. Its text is a key, not prose.
type Reason string

// The reasons.
const (
	NotThreaded  Reason = "not-threaded"
	SealingPlug  Reason = "sealing-plug" // a plug is tightened to seal, not to a preload
	NoThread     Reason = "no-thread"
	OtherThread  Reason = "other-thread" // not ISO metric
	WrongThread  Reason = "wrong-thread" // ParseThread says what is wrong
	NoClass      Reason = "no-class"
	OtherClass   Reason = "other-class" // not of ISO 898-1
	WrongClass   Reason = "wrong-class" // ParseClass says what is wrong
	NotInClass   Reason = "not-in-class"
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
}

// CheckTorque compares a fastener's torque with the torque that gives 40 % to
// 90 % of the proof load. The window is as wide as the range of K, so that only
// a torque that no K in it explains is called too low or too high. A torque
// that is followed by an angle is a snug torque and is never too low.
func CheckTorque(f *procedure.Fastener) TorqueVerdict {
	var v TorqueVerdict
	if v.Reason = v.identify(f); v.Reason != "" {
		return v
	}
	v.StressArea = v.Thread.StressArea()
	v.ProofLoad = ProofLoad(v.Thread, v.Class)
	if v.ProofLoad == 0 {
		v.Reason = NotInClass
		return v
	}
	if v.Friction, v.Assumed = (Friction{f.Treatment, f.Friction, f.Friction}), f.Friction <= 0; v.Assumed {
		v.Friction = AssumedFriction(f.Treatment)
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
	default:
		v.Outcome = Plausible
	}
	return v
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
