package picture

import (
	"bytes"
	"encoding/binary"
)

// ends reports whether a picture's file goes on to the mark that ends it, so that a cut file is told without decoding it.
//
// Source: PNG, ISO/IEC 15948 (chunks, IEND); JPEG, ITU-T T.81 annex B (marker segments, EOI); from memory.
func (s *opened) ends() bool {
	if s.Format == PNG {
		return endsPNG(s.content)
	}
	return endsJPEG(s.content)
}

func endsPNG(content []byte) bool {
	const head, frame = 8, 12 // the signature; a chunk's length, name and check sum
	for at := head; at+frame <= len(content); {
		if bytes.Equal(content[at+4:at+8], []byte("IEND")) {
			return true
		}
		length := int64(binary.BigEndian.Uint32(content[at:]))
		if length > int64(len(content)-at-frame) {
			return false
		}
		at += int(length) + frame
	}
	return false
}

// endsJPEG looks for the end behind the first scan: a preview in the head has an end of its own.
func endsJPEG(content []byte) bool {
	for at := 2; at+4 <= len(content); {
		if content[at] != 0xFF {
			return false
		}
		switch marker := content[at+1]; {
		case marker == 0xFF:
			at++ // fill
		case marker == 0xDA:
			return bytes.Contains(content[at:], []byte{0xFF, 0xD9})
		case marker == 0x01 || marker >= 0xD0 && marker <= 0xD7:
			at += 2 // has no segment
		default:
			at += 2 + int(binary.BigEndian.Uint16(content[at+2:]))
		}
	}
	return false
}
