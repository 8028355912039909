package fitting

import (
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
)

// Of is what a tool fits: what its row says or, where it says nothing, what its name does: "Socket 18 mm", "Torque wrench, 40
// N·m to 200 N·m". A name that does neither gives the empty Fitting.
func Of(t *procedure.Tool) procedure.Fitting {
	u := t.Use
	if !u.Empty() || t.Kind != procedure.HandTool {
		return u
	}
	if low, high, ok := RangeIn(t.Name); ok {
		u.Low, u.High = low, high
		return u
	}
	for _, form := range []struct {
		words *regexp.Regexp
		kind  fastening.DriveKind
	}{{keyName, fastening.HexKey}, {socketName, fastening.Hexagon}} {
		if m := form.words.FindStringSubmatch(t.Name); m != nil {
			drive := string(form.kind) + " " + strings.ReplaceAll(m[1], ",", ".") + " " + m[2]
			if _, err := fastening.ParseDrive(drive); err == nil {
				u.Drives = []string{drive}
				return u
			}
		}
	}
	return u
}

// Tools that are named after what they turn, in the languages of the words table.
var (
	keyName    = regexp.MustCompile(`(?i)(?:hex(?:agon)? (?:bit|key)|allen key|inbus|innensechskant)\D*?([\d.,/]+)\s*(mm|in)\b`)
	socketName = regexp.MustCompile(`(?i)(?:socket|spanner|(?:open|ring)(?:-ended)? wrench|crow-?foot|nuss|schlüssel)\D*?([\d.,/]+)\s*(mm|in)\b`)
	rangeName  = regexp.MustCompile(`([0-9.,]+)\s*(?:N·?m|lbf·ft)?\s*(?:to|bis|-|–|\.\.\.|…)\s*([0-9.,]+)\s*(N·?m|lbf·ft)`)
)

// RangeIn finds the range of torque in a tool's name: "40 N·m to 200 N·m", "40–200 Nm".
func RangeIn(name string) (low, high measure.Quantity, ok bool) {
	found := rangeName.FindStringSubmatch(name)
	if found == nil {
		return low, high, false
	}
	var bounds [2]measure.Quantity
	for i := range bounds {
		var err error
		if bounds[i], err = measure.Parse(strings.ReplaceAll(found[i+1], ",", ".") + " " + found[3]); err != nil {
			return low, high, false
		}
	}
	return bounds[0], bounds[1], bounds[0].Compare(bounds[1]) <= 0
}

// Turns reports whether a tool that fits so turns a drive.
func Turns(u procedure.Fitting, drive string) bool {
	for _, d := range u.Drives {
		if SameDrive(d, drive) {
			return true
		}
	}
	return false
}
