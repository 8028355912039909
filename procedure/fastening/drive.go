package fastening

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// DriveKind is what a key grips.
type DriveKind string

// The drives that are checked. A ring spanner and a wrench socket both turn an outer hexagon.
const (
	Hexagon DriveKind = "hex"     // outer hexagon, by width across flats
	HexKey  DriveKind = "hex key" // inner hexagon, by the key's width
)

// Drive is a key and its size.
type Drive struct {
	Kind DriveKind
	Size float64 // mm
	// Inch is the size as it was written in inches, such as "9/16 in"; empty for millimetres.
	Inch string
}

// String returns the canonical form: "hex 18 mm", "hex key 10 mm", "hex 9/16 in".
func (d Drive) String() string {
	if d.Inch != "" {
		return string(d.Kind) + " " + d.Inch
	}
	return string(d.Kind) + " " + decimal(d.Size) + " mm"
}

// ParseDrive reads a drive: "hex 18 mm" for an outer hexagon of that width
// across flats, "hex key 10 mm" for an inner one; inches as fractions: "hex 9/16 in". What is nearly one of them
// gives a *measure.ParseError, any other drive ErrNotCovered.
func ParseDrive(s string) (Drive, error) {
	text := strings.TrimSpace(s)
	kind := HexKey
	size, ok := strings.CutPrefix(text, string(HexKey))
	if !ok {
		kind = Hexagon
		size, ok = strings.CutPrefix(text, string(Hexagon))
	}
	switch {
	case strings.Contains(text, "lobular"): // ISO 10664
		return Drive{}, fmt.Errorf("drive %q: %w", s, ErrNotCovered)
	case !ok && unclearDrive(text):
		start := strings.Index(s, text)
		return Drive{}, driveFault(s, start, start+len(text), say.That("the drive does not say what the key grips"), "")
	case !ok:
		return Drive{}, fmt.Errorf("drive %q: %w", s, ErrNotCovered)
	}
	at := strings.LastIndex(s, text) + len(text) - len(size)
	q, err := measure.ParseAs(size, measure.Length)
	var e *measure.ParseError
	if errors.As(err, &e) {
		suggest := e.Suggest
		if q, err := measure.ParseDefault(size, "mm"); err == nil && q.Dimension() == measure.Length { // only the unit is missing
			suggest = strings.TrimSpace(size) + " mm"
		}
		return Drive{}, driveFault(s, at+e.Offset, at+e.End, say.That("the size of the drive cannot be read: %why", e.Wrong), suggest)
	}
	if q.Sign() <= 0 {
		return Drive{}, driveFault(s, at, at+len(size), say.That("the size of the drive must be above zero"), "")
	}
	d := Drive{Kind: kind, Size: q.Float("mm")}
	if q.Unit() == "in" {
		d.Inch = strings.TrimSpace(size)
	}
	return d, nil
}

// unclearDrive reports whether a text is a size, or a tool that turns either hexagon.
func unclearDrive(text string) bool {
	if text != "" && isDigit(text[0]) {
		return true
	}
	for _, tool := range []string{"hex", "socket", "spanner", "wrench", "key"} {
		if len(text) >= len(tool) && strings.EqualFold(text[:len(tool)], tool) {
			return true
		}
	}
	return false
}

func driveFault(s string, from, to int, message say.Text, suggest string) error {
	return &measure.ParseError{Input: s, Offset: from, End: to, Wrong: message, Suggest: suggest,
		Advice: say.That("Write hex 18 mm for an outer hexagon, hex key 10 mm for an inner one.")}
}

// Fit is what a drive check says.
type Fit int

// The outcomes of a drive check.
const (
	FitNotChecked Fit = iota // see the reason
	FitStandard              // the standard size for the thread
	FitOlder                 // the size of the older DIN series
	FitOtherHead             // the standard size of another kind of head
	FitOdd                   // no standard size for the thread
)

// DriveVerdict holds a drive check with the figures behind it.
type DriveVerdict struct {
	Fit    Fit
	Reason Reason // only with FitNotChecked

	Drive  Drive
	Thread Thread
	// Size is the standard size in mm, and Standard says whose.
	Size     float64
	Standard string
	// Older is the older DIN size in mm where it differs; else 0.
	Older float64
	// OtherStandard names the standard whose heads have the stated size (FitOtherHead).
	OtherStandard string
}

// CheckDrive compares a fastener's drive with the standard size for its
// thread. A size that is off is a hint, not a fault: makers choose other heads.
func CheckDrive(f *procedure.Fastener) DriveVerdict {
	var v DriveVerdict
	if f.Kind == procedure.Plug {
		v.Reason = SealingPlug
		return v
	}
	if v.Thread, v.Reason = threadOf(f); v.Reason != "" {
		return v
	}
	if strings.TrimSpace(f.Drive) == "" {
		v.Reason = NoDrive
		return v
	}
	var err error
	if v.Drive, err = ParseDrive(f.Drive); err != nil {
		v.Reason = reasonOf(err, OtherDrive, WrongDrive)
		return v
	}
	row, ok := headOf(v.Thread)
	if v.Size, v.Standard = row.size(v.Drive.Kind, f.Kind); !ok || v.Size == 0 {
		v.Reason = NoDriveTable
		return v
	}
	if v.Drive.Kind == Hexagon {
		v.Older = row.olderFlats
	}
	v.OtherStandard = row.other(v.Drive)
	switch {
	case v.Drive.Size == v.Size, v.Thread.Inch != "" && math.Abs(v.Drive.Size-v.Size) < 0.05: // fractions of an inch in decimals
		v.Fit, v.OtherStandard = FitStandard, ""
	case v.Drive.Size == v.Older:
		v.Fit, v.OtherStandard = FitOlder, ""
	case v.OtherStandard != "":
		v.Fit = FitOtherHead
	default:
		v.Fit = FitOdd
	}
	return v
}
