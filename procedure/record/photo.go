package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"image/jpeg"
)

// PhotoType is the one type of photo that tablets make.
const PhotoType = "image/jpeg"

// NewPhoto looks at a picture and returns its name and entry, without the data. It
// fails when the bytes are no JPEG or beyond the bounds; the error says which.
func NewPhoto(data []byte) (name string, photo Photo, err error) {
	if len(data) > MostPhotoBytes {
		return "", Photo{}, fmt.Errorf("the photo has %d bytes, and %d are the most", len(data), MostPhotoBytes)
	}
	config, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return "", Photo{}, fmt.Errorf("the photo is no JPEG: %w", err)
	}
	if min(config.Width, config.Height) < 1 || max(config.Width, config.Height) > LongestSide {
		return "", Photo{}, fmt.Errorf("the photo is %d by %d pixels, and %d are the most", config.Width, config.Height, LongestSide)
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), Photo{Type: PhotoType, Width: config.Width, Height: config.Height}, nil
}

// Bytes returns the picture's bytes; nil when it lies beside the record.
func (p Photo) Bytes() []byte {
	data, err := base64.StdEncoding.DecodeString(p.Data)
	if err != nil || len(data) == 0 {
		return nil
	}
	return data
}

func (c *cursor) photo(name string, at int, p *Photo) {
	before := len(c.faults)
	side := func(into *int) {
		var n int64
		c.integer(&n, 1, LongestSide, fmt.Sprintf("number of pixels from 1 to %d", LongestSide))
		*into = int(n)
	}
	c.object(fields{
		"type":   func() { oneOf(c, &p.Type, []string{PhotoType}, "type of photo") },
		"width":  func() { side(&p.Width) },
		"height": func() { side(&p.Height) },
		"data":   func() { p.Data, _, _ = c.string() },
	}, "type", "width", "height")
	if len(c.faults) > before || p.Data == "" {
		return
	}
	if most := base64.StdEncoding.EncodedLen(MostPhotoBytes); len(p.Data) > most {
		c.fault(at, again, "the photo has more than %d bytes", MostPhotoBytes)
		return
	}
	data, err := base64.StdEncoding.Strict().DecodeString(p.Data)
	if err != nil || base64.StdEncoding.EncodeToString(data) != p.Data {
		c.fault(at, again, "the photo's data is no base64")
		return
	}
	actual, found, err := NewPhoto(data)
	switch {
	case err != nil:
		c.fault(at, again, "%v", err)
	case actual != name:
		c.fault(at, again, "the photo is not the one of this name: its SHA-256 is %s", actual)
	case found.Width != p.Width || found.Height != p.Height:
		c.fault(at, again, "the photo is %d by %d pixels, and the entry says %d by %d", found.Width, found.Height, p.Width, p.Height)
	}
}
