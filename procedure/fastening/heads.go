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
}

// heads is the table of drive sizes.
//
// Source: ISO 4014, ISO 4032, DIN 933, ISO 4762, ISO 10642 and ISO 4026 by
// public copies of their tables from M3 (ISO 4762 to M24); the rest from memory.
var heads = []head{
	{1.6, 3.2, 0, 1.5, 0, 0.7},
	{2, 4, 0, 1.5, 1.3, 0.9},
	{2.5, 5, 0, 2, 1.5, 1.3},
	{3, 5.5, 0, 2.5, 2, 1.5},
	{3.5, 6, 0, 0, 0, 0},
	{4, 7, 0, 3, 2.5, 2},
	{5, 8, 0, 4, 3, 2.5},
	{6, 10, 0, 5, 4, 3},
	{7, 11, 0, 0, 0, 0},
	{8, 13, 0, 6, 5, 4},
	{10, 16, 17, 8, 6, 5},
	{12, 18, 19, 10, 8, 6},
	{14, 21, 22, 12, 10, 0},
	{16, 24, 0, 14, 10, 8},
	{18, 27, 0, 14, 0, 0},
	{20, 30, 0, 17, 12, 10},
	{22, 34, 32, 17, 0, 0},
	{24, 36, 0, 19, 14, 12},
	{27, 41, 0, 19, 0, 0},
	{30, 46, 0, 22, 0, 0},
	{33, 50, 0, 24, 0, 0},
	{36, 55, 0, 27, 0, 0},
	{39, 60, 0, 0, 0, 0},
	{42, 65, 0, 32, 0, 0},
	{45, 70, 0, 0, 0, 0},
	{48, 75, 0, 36, 0, 0},
	{52, 80, 0, 0, 0, 0},
	{56, 85, 0, 41, 0, 0},
	{60, 90, 0, 0, 0, 0},
	{64, 95, 0, 46, 0, 0},
}

func headOf(diameter float64) (head, bool) {
	for _, h := range heads {
		if h.diameter == diameter {
			return h, true
		}
	}
	return head{}, false
}

// size returns the usual size of a drive on a kind of fastener, and the standard that sets it.
func (h head) size(d DriveKind, k procedure.FastenerKind) (mm float64, standard string) {
	switch {
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
