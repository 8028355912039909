package fastening

import (
	"errors"
	"fmt"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
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
}

// String returns the canonical form: "hex 18 mm", "hex key 10 mm".
func (d Drive) String() string { return string(d.Kind) + " " + decimal(d.Size) + " mm" }

// ParseDrive reads a drive: "hex 18 mm" for an outer hexagon of that width
// across flats, "hex key 10 mm" for an inner one. What is nearly one of them
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
	case strings.Contains(text, "lobular") || strings.Contains(text, "/"): // ISO 10664, inch fractions
		return Drive{}, fmt.Errorf("drive %q: %w", s, ErrNotCovered)
	case !ok && unclearDrive(text):
		start := strings.Index(s, text)
		return Drive{}, driveFault(s, start, start+len(text), "the drive does not say what the key grips", "")
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
		return Drive{}, driveFault(s, at+e.Offset, at+e.End, "the size of the drive cannot be read: "+e.Message, suggest)
	}
	if q.Sign() <= 0 {
		return Drive{}, driveFault(s, at, at+len(size), "the size of the drive must be above zero", "")
	}
	return Drive{Kind: kind, Size: q.Float("mm")}, nil
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

func driveFault(s string, from, to int, message, suggest string) error {
	return &measure.ParseError{Input: s, Offset: from, End: to, Message: message, Suggest: suggest,
		Do: "write hex 18 mm for an outer hexagon, hex key 10 mm for an inner one"}
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
	row, ok := headOf(v.Thread.Diameter)
	if v.Size, v.Standard = row.size(v.Drive.Kind, f.Kind); !ok || v.Size == 0 {
		v.Reason = NoDriveTable
		return v
	}
	if v.Drive.Kind == Hexagon {
		v.Older = row.olderFlats
	}
	v.OtherStandard = row.other(v.Drive)
	switch {
	case v.Drive.Size == v.Size:
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
