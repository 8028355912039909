package picture

import (
	"bytes"
	"encoding/binary"
)

// orientation is how a camera was held, in the numbers of the Exif tag
// Orientation; 0 and 1 both mean upright.
//
// Source: CIPA DC-008 (Exif 2.3), tag 0x0112, from memory.
type orientation uint16

// size returns the size of a picture once it is turned upright.
func (o orientation) size(width, height int) (int, int) {
	if o >= 5 {
		return height, width
	}
	return width, height
}

// upright returns a plane as it is meant to be seen.
func (o orientation) upright(p plane) plane {
	if o <= 1 {
		return p
	}
	width, height := o.size(p.width, p.height)
	to := newPlane(width, height, p.channels)
	for y := range height {
		for x := range width {
			fromX, fromY := o.origin(x, y, p.width-1, p.height-1)
			from := fromY*p.stride + fromX*p.channels
			copy(to.pix[y*to.stride+x*to.channels:][:p.channels], p.pix[from:])
		}
	}
	return to
}

// origin returns where the stored picture, whose last column and row are right
// and bottom, holds the sample that is seen at x, y.
func (o orientation) origin(x, y, right, bottom int) (int, int) {
	switch o {
	case 2:
		return right - x, y
	case 3:
		return right - x, bottom - y
	case 4:
		return x, bottom - y
	case 5:
		return y, x
	case 6:
		return y, bottom - x
	case 7:
		return right - y, bottom - x
	case 8:
		return right - y, x
	}
	return x, y
}

// exifOrientation finds the orientation in a JPEG; a file without one, or with
// a broken one, is upright.
func exifOrientation(content []byte) orientation {
	for at := 2; at+4 <= len(content) && content[at] == 0xff; {
		marker, length := content[at+1], int(binary.BigEndian.Uint16(content[at+2:]))
		if marker == 0xda || length < 2 || at+2+length > len(content) {
			return 1
		}
		segment := content[at+4 : at+2+length]
		if tiff, ok := bytes.CutPrefix(segment, []byte("Exif\x00\x00")); ok && marker == 0xe1 {
			return tiffOrientation(tiff)
		}
		at += 2 + length
	}
	return 1
}

// tiffOrientation reads the orientation from the first directory of a TIFF header.
func tiffOrientation(tiff []byte) orientation {
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(tiff) < 8 {
		return 1
	}
	at := uint64(order.Uint32(tiff[4:]))
	if at+2 > uint64(len(tiff)) {
		return 1
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < 12 {
			return 1
		}
		const tag, short = 0x0112, 3
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short {
			if value := order.Uint16(entries[8:]); value >= 1 && value <= 8 {
				return orientation(value)
			}
			return 1
		}
		entries = entries[12:]
	}
	return 1
}
