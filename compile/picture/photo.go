package picture

import "matchmark/procedure/say"

// photoSide is the longer side of a photo that is put into a library, in pixels at most: more than a page shows, so
// that there is something left to look closer at.
const photoSide = 2000

// photoQuality leaves room for the site's own sizes, which are made from it. Common practice, no source.
const photoQuality = 90

// Photo is a picture as it is put into a library: upright, no larger than pages need, and without what the camera noted in
// the file, such as the place where it was taken. A drawing stays as it is. The extension is that of its file. A *Fault says
// why it cannot be used and what to do.
func Photo(name string, content []byte) (photo []byte, extension string, err error) {
	if len(content) > maxBytes {
		return nil, "", tooManyBytes(name, len(content))
	}
	s, err := look(name, content)
	if err != nil {
		return nil, "", err
	}
	if s.Format == SVG {
		return content, ".svg", nil
	}
	decoded, err := decode(s.Format, content)
	if err != nil {
		return nil, "", s.broken(err)
	}
	photo, err = s.kept(decoded).encode(photoQuality)
	if err != nil {
		return nil, "", s.broken(err)
	}
	if decoded.lossy {
		return photo, ".jpg", nil
	}
	return photo, ".png", nil
}

// kept is a photo in the size in which it is kept, upright.
func (s *opened) kept(decoded raster) raster {
	width, height := int(s.Width), int(s.Height)
	if longer := max(width, height); longer > photoSide {
		width, height = max(width*photoSide/longer, 1), max(height*photoSide/longer, 1)
	}
	return decoded.scale(s.turn.size(width, height)).upright(s.turn)
}

// isHEIC reports whether a file is a photo as some phones keep it, which browsers do not show.
// Source: ISO/IEC 14496-12, file type box; ISO/IEC 23008-12, brands of HEIF files; from memory.
func isHEIC(content []byte) bool {
	if len(content) < 12 || string(content[4:8]) != "ftyp" {
		return false
	}
	for _, brand := range []string{"heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1", "avif"} {
		if string(content[8:12]) == brand {
			return true
		}
	}
	return false
}

// notPicture is the fault of a file that is none of the pictures that we read.
func notPicture(name string, content []byte) *Fault {
	if isHEIC(content) {
		return fault(NotPicture, name, say.That("is a HEIC photo, which most browsers do not show"),
			say.That("Send it as a JPEG: share it by mail, or have the camera take JPEG, which phones call the most compatible format."))
	}
	return fault(NotPicture, name, say.That("is not a JPEG, a PNG or an SVG"), say.That("Save it as one of these."))
}
