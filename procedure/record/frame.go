package record

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image/jpeg"
)

// Frame is what a JPEG says of itself before any of its pixels is decoded.
type Frame struct {
	Width, Height int
	// Progressive is true when the picture comes in scans that each go over all of it.
	Progressive bool
	// colours is 1 for grey and 3 for colours.
	colours int
}

// mostScans bounds the work of a progressive JPEG. Cameras and programs write about ten.
const mostScans = 20

// The markers of a JPEG that say what decoding it costs.
// Source: ITU-T T.81, table B.1.
const (
	startOfImage, endOfImage              = 0xd8, 0xd9
	baseline, extended, progressiveMarker = 0xc0, 0xc1, 0xc2
	startOfScan                           = 0xda
	firstRestart, lastRestart             = 0xd0, 0xd7
	standsAlone, stuffed                  = 0x01, 0x00
)

// errBrokenOff means that a JPEG has no end.
var errBrokenOff = errors.New("the photo is no JPEG: it breaks off")

// ReadFrame walks over a JPEG from its start to its end without decoding it. It
// refuses what would cost more than a photo of a tablet can: sides beyond LongestSide,
// a progressive picture of more pixels than a tablet makes, more than one frame, many scans.
func ReadFrame(data []byte) (Frame, error) {
	var f Frame
	if len(data) < 2 || data[0] != 0xff || data[1] != startOfImage {
		return f, errors.New("the photo is no JPEG")
	}
	for at, scans := 2, 0; ; {
		marker, body, next, err := segment(data, at)
		if err != nil {
			return f, err
		}
		at = next
		switch marker {
		case baseline, extended, progressiveMarker:
			if f.colours != 0 {
				return f, errors.New("the photo holds more than one picture")
			}
			if f, err = frame(marker, body); err != nil {
				return f, err
			}
		case startOfScan:
			if scans++; f.colours == 0 || scans > mostScans || !f.Progressive && scans > f.colours {
				return f, fmt.Errorf("the photo has more than %d scans, or one before its frame", scans-1)
			}
			at = behindScan(data, at)
		case endOfImage:
			if scans == 0 {
				return f, errBrokenOff
			}
			return f, nil
		}
	}
}

// segment reads the marker at an offset, and what belongs to it.
func segment(data []byte, at int) (marker byte, body []byte, next int, err error) {
	for at+1 < len(data) && data[at] == 0xff && data[at+1] == 0xff {
		at++ // fill bytes
	}
	if at+1 >= len(data) {
		return 0, nil, 0, errBrokenOff
	}
	if data[at] != 0xff {
		return 0, nil, 0, errors.New("the photo is no JPEG: something stands between its parts")
	}
	marker = data[at+1]
	at += 2
	if marker == endOfImage || marker == standsAlone || marker >= firstRestart && marker <= lastRestart {
		return marker, nil, at, nil
	}
	if at+2 > len(data) {
		return 0, nil, 0, errBrokenOff
	}
	length := int(binary.BigEndian.Uint16(data[at:]))
	if length < 2 || at+length > len(data) {
		return 0, nil, 0, errBrokenOff
	}
	return marker, data[at+2 : at+length], at + length, nil
}

// frame reads the header of a frame.
func frame(marker byte, body []byte) (Frame, error) {
	if len(body) < 6 {
		return Frame{}, errBrokenOff
	}
	f := Frame{
		Height: int(binary.BigEndian.Uint16(body[1:])), Width: int(binary.BigEndian.Uint16(body[3:])),
		Progressive: marker == progressiveMarker, colours: int(body[5]),
	}
	switch {
	case min(f.Width, f.Height) < 1 || max(f.Width, f.Height) > LongestSide:
		return f, fmt.Errorf("the photo is %d by %d pixels, and %d are the most", f.Width, f.Height, LongestSide)
	case f.Progressive && max(f.Width, f.Height) > PhotoSide:
		return f, fmt.Errorf("the photo is progressive and %d by %d pixels, and %d are the most then", f.Width, f.Height, PhotoSide)
	case f.colours != 1 && f.colours != 3:
		return f, fmt.Errorf("the photo has %d colours, and a photo of a tablet has 1 or 3", f.colours)
	}
	return f, nil
}

// behindScan passes over the pixels of a scan to the next marker.
func behindScan(data []byte, at int) int {
	for {
		i := bytes.IndexByte(data[at:], 0xff)
		if i < 0 || at+i+1 >= len(data) {
			return len(data)
		}
		at += i
		if next := data[at+1]; next != stuffed && (next < firstRestart || next > lastRestart) {
			return at
		}
		at += 2
	}
}

// Memory is about what decoding the photo takes, in bytes: a sample of each colour, and of a
// progressive one its coefficients of four bytes until the last scan is read.
func (f Frame) Memory() int64 {
	each := int64(f.colours)
	if f.Progressive {
		each *= 5
	}
	return each * int64(f.Width+64) * int64(f.Height+64)
}

// Whole decodes a photo whose frame was read, to its end, until ctx ends.
func Whole(ctx context.Context, data []byte) error {
	_, err := jpeg.Decode(&untilDone{ctx, bytes.NewReader(data)})
	return err
}

// untilDone is a reader that ends with a context.
type untilDone struct {
	ctx  context.Context
	from *bytes.Reader
}

// Read implements io.Reader.
func (u *untilDone) Read(p []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.from.Read(p)
}
