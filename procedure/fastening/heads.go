package fastening

import "matchmark/procedure"

// head holds the drive sizes for one nominal diameter, in mm; 0 where there is none.
type head struct {
	diameter    float64
	flats       float64 // ISO 4014, ISO 4017 and ISO 4032, by ISO 272
	olderFlats  float64 // DIN 931, 933 and 934, where it differs
	key         float64 // ISO 4762
	countersunk float64 // ISO 10642, up to M16 also ISO 7380-1
	setScrew    float64 // ISO 4026 to 4029
	inch        bool    // of ASME B18.2.1 and B18.3 instead
}

// heads is the table of drive sizes.
//
// Source: ISO 4014, ISO 4032, DIN 933, ISO 4762, ISO 10642 and ISO 4026 by
// public copies of their tables from M3 (ISO 4762 to M24); the rest from memory.
var heads = []head{
	{1.6, 3.2, 0, 1.5, 0, 0.7, false},
	{2, 4, 0, 1.5, 1.3, 0.9, false},
	{2.5, 5, 0, 2, 1.5, 1.3, false},
	{3, 5.5, 0, 2.5, 2, 1.5, false},
	{3.5, 6, 0, 0, 0, 0, false},
	{4, 7, 0, 3, 2.5, 2, false},
	{5, 8, 0, 4, 3, 2.5, false},
	{6, 10, 0, 5, 4, 3, false},
	{7, 11, 0, 0, 0, 0, false},
	{8, 13, 0, 6, 5, 4, false},
	{10, 16, 17, 8, 6, 5, false},
	{12, 18, 19, 10, 8, 6, false},
	{14, 21, 22, 12, 10, 0, false},
	{16, 24, 0, 14, 10, 8, false},
	{18, 27, 0, 14, 0, 0, false},
	{20, 30, 0, 17, 12, 10, false},
	{22, 34, 32, 17, 0, 0, false},
	{24, 36, 0, 19, 14, 12, false},
	{27, 41, 0, 19, 0, 0, false},
	{30, 46, 0, 22, 0, 0, false},
	{33, 50, 0, 24, 0, 0, false},
	{36, 55, 0, 27, 0, 0, false},
	{39, 60, 0, 0, 0, 0, false},
	{42, 65, 0, 32, 0, 0, false},
	{45, 70, 0, 0, 0, 0, false},
	{48, 75, 0, 36, 0, 0, false},
	{52, 80, 0, 0, 0, 0, false},
	{56, 85, 0, 41, 0, 0, false},
	{60, 90, 0, 0, 0, 0, false},
	{64, 95, 0, 46, 0, 0, false},
}

func headOf(t Thread) (head, bool) {
	for _, h := range inchHeads {
		if h.name == t.Inch {
			return head{diameter: t.Diameter, inch: true, flats: h.flats * inch, key: h.key * inch}, true
		}
	}
	for _, h := range heads {
		if h.diameter == t.Diameter && t.Inch == "" {
			return h, true
		}
	}
	return head{}, false
}

// size returns the usual size of a drive on a kind of fastener, and the standard that sets it.
func (h head) size(d DriveKind, k procedure.FastenerKind) (mm float64, standard string) {
	switch {
	case h.inch && d == HexKey:
		return h.key, "ASME B18.3"
	case h.inch && k == procedure.Nut:
		return 0, "" // the table of nuts is another one
	case h.inch:
		return h.flats, "ASME B18.2.1"
	case d == HexKey:
		return h.key, "ISO 4762"
	case k == procedure.Nut:
		return h.flats, "ISO 4032"
	}
	return h.flats, "ISO 4014"
}

// other names the standard of another head that takes the drive; empty for none.
func (h head) other(d Drive) string {
	switch {
	case d.Kind != HexKey:
		return ""
	case d.Size == h.countersunk && h.diameter <= 16:
		return "ISO 10642, ISO 7380-1"
	case d.Size == h.countersunk:
		return "ISO 10642"
	case d.Size == h.setScrew:
		return "ISO 4026"
	}
	return ""
}
