package picture

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"path"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// Limits of a picture. A photo straight from a camera is well below them.
const (
	maxBytes    = 20_000_000
	maxPixels   = 40_000_000
	maxSVGBytes = 5_000_000
	// maxScans bounds the work of decoding a progressive JPEG, each of whose scans
	// goes over the whole picture. Cameras and programs write about ten.
	maxScans = 100
)

// Format is how a picture is coded.
type Format int

// The formats that browsers show and we read.
const (
	JPEG Format = iota
	PNG
	SVG
)

// Source is a picture of the library that has been looked at: its frame is
// sound and within the limits.
type Source struct {
	Path   string // library path
	Format Format
	// Width and Height are as in Picture.
	Width, Height float64
	// Sum is the SHA-256 sum of the bytes.
	Sum [sha256.Size]byte
	// Key names the bytes and the way they are prepared: equal keys, equal files.
	Key string
	// TakenOut lists what was taken out of an SVG and may be missed, in the order met.
	TakenOut []string
}

// opened is a picture that was looked at, with its bytes.
type opened struct {
	Source
	content []byte // the file; of an SVG the cleaned drawing
	turn    orientation
}

// Read looks at a picture of the library. Reading goes through fsys alone; give
// it the file system of an os.Root to keep links inside the library. It returns
// a *Fault when the picture cannot be used.
//
// That a JPEG or PNG goes on to its end is seen here; it is decoded by PrepareAll only, which may still find it broken.
func Read(fsys fs.FS, name string) (*Source, error) {
	o, err := open(fsys, name)
	if err != nil {
		return nil, err
	}
	looked := o.Source // a copy, so that the bytes are let go
	return &looked, nil
}

// SumOf returns the SHA-256 sum of a picture's bytes; zero when they cannot be read.
func SumOf(fsys fs.FS, name string) (sum [sha256.Size]byte) {
	if content, err := load(fsys, name); err == nil {
		sum = sha256.Sum256(content)
	}
	return sum
}

// open loads a picture and looks at it.
func open(fsys fs.FS, name string) (*opened, error) {
	content, err := load(fsys, name)
	if err != nil {
		return nil, err
	}
	return look(name, content)
}

// look looks at a picture's bytes.
func look(name string, content []byte) (*opened, error) {
	sum := sha256.Sum256(append([]byte(preparation), content...))
	s := &opened{Source: Source{Path: name, Sum: sha256.Sum256(content), Key: hex.EncodeToString(sum[:8])}, content: content}
	var err error
	switch {
	case bytes.HasPrefix(content, []byte("\xff\xd8\xff")):
		s.Format = JPEG
		err = s.frame(jpeg.DecodeConfig)
	case bytes.HasPrefix(content, []byte("\x89PNG\r\n\x1a\n")):
		s.Format = PNG
		err = s.frame(png.DecodeConfig)
	case looksLikeMarkup(content):
		s.Format = SVG
		err = s.clean()
	default:
		err = notPicture(name, content)
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// frame reads a raster picture's size and orientation.
func (s *opened) frame(decodeConfig func(io.Reader) (image.Config, error)) error {
	config, err := decodeConfig(bytes.NewReader(s.content))
	if err != nil || config.Width <= 0 || config.Height <= 0 {
		return s.broken(err)
	}
	if config.Width > maxPixels/config.Height {
		return fault(TooLarge, s.Path, say.That("has %width × %height pixels, more than %most million", say.Count(config.Width), say.Count(config.Height), say.Count(maxPixels/1_000_000)),
			say.That("Scale it down; 2000 pixels across are plenty."))
	}
	if !s.ends() {
		return s.broken(io.ErrUnexpectedEOF)
	}
	if s.Format == JPEG {
		if bytes.Count(s.content, []byte("\xff\xda")) > maxScans {
			return fault(TooLarge, s.Path, say.That("has more than %most scans", say.Count(maxScans)), say.That("Save it again as an ordinary JPEG."))
		}
		s.turn = exifOrientation(s.content)
	}
	width, height := s.turn.size(config.Width, config.Height)
	s.Width, s.Height = float64(width), float64(height)
	return nil
}

// clean reads an SVG and keeps the cleaned drawing.
func (s *opened) clean() error {
	if len(s.content) > maxSVGBytes {
		return fault(TooLarge, s.Path, say.That("is a drawing of more than %most MB", say.Count(maxSVGBytes/1_000_000)), say.That("Simplify it."))
	}
	drawing, err := cleanSVG(s.content)
	if err != nil {
		err.Wrong = ofPicture(s.Path, err.Wrong)
		return err
	}
	s.content, s.Width, s.Height, s.TakenOut = drawing.markup, drawing.width, drawing.height, drawing.takenOut
	return nil
}

func (s *Source) broken(err error) *Fault {
	wrong := say.That("cannot be read to its end")
	if err != nil {
		wrong = say.That("is broken (%cause)", say.Foreign(err.Error()))
	}
	return fault(Broken, s.Path, wrong, say.That("Open it in a picture program and save it again."))
}

// looksLikeMarkup reports whether a file begins like an XML document.
func looksLikeMarkup(content []byte) bool {
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	return bytes.HasPrefix(bytes.TrimLeft(content, " \t\r\n"), []byte("<"))
}

// load reads a file of the library, within the limit of size.
func load(fsys fs.FS, name string) ([]byte, error) {
	clean := path.Clean(name)
	if !fs.ValidPath(clean) {
		return nil, outside(name)
	}
	info, err := fs.Stat(fsys, clean)
	if err != nil {
		return nil, unopened(fsys, name, err)
	}
	if !info.Mode().IsRegular() {
		return nil, fault(Unreadable, name, say.That("is not a file"), say.That("Name a JPEG, a PNG or an SVG."))
	}
	file, err := fsys.Open(clean)
	if err != nil {
		return nil, unopened(fsys, name, err)
	}
	defer file.Close()
	content, err := io.ReadAll(io.LimitReader(file, maxBytes+1))
	if err != nil {
		return nil, unopened(fsys, name, err)
	}
	if len(content) > maxBytes {
		return nil, tooManyBytes(name, max(int(info.Size()), maxBytes+1))
	}
	return content, nil
}

func tooManyBytes(name string, size int) *Fault {
	return fault(TooLarge, name, say.That("has %size MB, more than %most MB", say.Count(size/1_000_000), say.Count(maxBytes/1_000_000)),
		say.That("Scale it down; 2000 pixels across are plenty."))
}

func outside(name string) *Fault {
	return fault(Outside, name, say.That("lies outside the library"), say.That("Copy it into the library and name it from there."))
}

// unopened turns the reason why a file could not be opened into a fault.
func unopened(fsys fs.FS, name string, err error) *Fault {
	switch {
	case errors.Is(err, fs.ErrNotExist) && strings.Contains(name, `\`):
		return fault(Missing, name, say.That("does not exist"), say.That("Write / between the folders."))
	case errors.Is(err, fs.ErrNotExist):
		if near := nearest(fsys, name); near != "" {
			return fault(Missing, name, say.That("does not exist"), say.That(`Did you mean "%path"?`, say.Name(near)))
		}
		return fault(Missing, name, say.That("does not exist"), say.That("Put it there, or correct the path, which counts from the library's folder."))
	case say.LeadsOut(err):
		return outside(name)
	}
	reason := err
	var at *fs.PathError
	if errors.As(err, &at) {
		reason = at.Err
	}
	return fault(Unreadable, name, say.That("cannot be opened (%cause)", say.Why(reason)), say.That("Check that you may read the file."))
}

// nearest returns the path of a file in the same folder whose name is much like this one's.
func nearest(fsys fs.FS, name string) string {
	folder, base := path.Split(path.Clean(name))
	entries, err := fs.ReadDir(fsys, path.Clean(folder))
	if err != nil {
		return ""
	}
	var names []string
	for _, entry := range entries {
		if strings.EqualFold(entry.Name(), base) {
			return folder + entry.Name()
		}
		names = append(names, entry.Name())
	}
	if near := diagnostic.Nearest(base, names); near != "" {
		return folder + near
	}
	return ""
}
