package record

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"

	"matchmark/procedure/say"
)

// PhotoType is the one type of photo that tablets make.
const PhotoType = "image/jpeg"

// NewPhoto looks at a picture and returns its name and entry, without the data. It
// fails when the bytes are no JPEG or beyond the bounds; the error says which.
func NewPhoto(data []byte) (name string, photo Photo, err error) {
	if len(data) > MostPhotoBytes {
		return "", Photo{}, fmt.Errorf("the photo has %d bytes, and %d are the most", len(data), MostPhotoBytes)
	}
	f, err := ReadFrame(data)
	if err != nil {
		return "", Photo{}, err
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), Photo{Type: PhotoType, Width: f.Width, Height: f.Height}, nil
}

// Bytes returns the picture's bytes; nil when it lies beside the record.
func (p Photo) Bytes() []byte {
	data, err := base64.StdEncoding.DecodeString(p.Data)
	if err != nil || len(data) == 0 {
		return nil
	}
	return data
}

// wrong says why the photo of a name cannot be kept; nil when it can.
func (p *Photo) wrong(name string) *say.Text {
	if p.Data == "" {
		return nil
	}
	if most := base64.StdEncoding.EncodedLen(MostPhotoBytes); len(p.Data) > most {
		return new(say.That("the photo has more than %most bytes", say.Count(MostPhotoBytes)))
	}
	data, err := base64.StdEncoding.Strict().DecodeString(p.Data)
	if err != nil || base64.StdEncoding.EncodeToString(data) != p.Data {
		return new(say.That("the photo's data is no base64"))
	}
	actual, found, err := NewPhoto(data)
	switch {
	case err != nil:
		return new(say.That("%cause", say.Foreign(err.Error())))
	case actual != name:
		return new(say.That("the photo is not the one of this name: its SHA-256 is %sum", say.Word(actual)))
	case found.Width != p.Width || found.Height != p.Height:
		return new(say.That("the photo is %width by %height pixels, and the entry says %statedWidth by %statedHeight", say.Count(found.Width), say.Count(found.Height), say.Count(p.Width), say.Count(p.Height)))
	}
	return nil
}
