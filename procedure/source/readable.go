package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure/regular"
	"matchmark/procedure/say"
)

// largestFile bounds one source file, in bytes. A step is about 400.
const largestFile = 4 << 20

// largestRun bounds what stands between two empty lines, in bytes. Markdown looks
// at a paragraph as a whole, so that its time can grow with the square of the length.
const largestRun = 128 << 10

// errTooLarge is a file over largestFile.
var errTooLarge = say.Error(say.That("the file is larger than 4 MB"))

func readFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := regular.Open(fsys, name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var room bytes.Buffer
	if info, err := f.Stat(); err == nil && info.Size() <= largestFile {
		room.Grow(int(info.Size()) + bytes.MinRead)
	}
	_, err = room.ReadFrom(io.LimitReader(f, largestFile+1))
	src := room.Bytes()
	if err == nil && len(src) > largestFile {
		return nil, errTooLarge
	}
	return src, err
}

func (r *reader) usable(err error) bool {
	var other *regular.NotAFile
	switch {
	case errors.Is(err, errTooLarge):
		r.report("file-too-large", r.file.Span(0, 0), say.That("this file is larger than 4 MB"), say.That("Split it into several procedures."))
		return false
	case errors.As(err, &other):
		r.report("unreadable-file", r.file.Span(0, 0), say.That("%cause", say.Why(other)), say.That("Take it out of the library, or give it a name that does not end in .md."))
		return false
	case err != nil:
		r.report("unreadable-file", r.file.Span(0, 0), say.That("this file cannot be read: %cause", say.Why(cause(err))), say.That("Check the permissions and that it is not a link out of the library."))
		return false
	}
	return r.readable() && r.proportionate()
}

// readable reports bytes that are not text, and text that is out of all proportion.
func (r *reader) readable() bool {
	run := 0
	for at := 0; at < len(r.file.Source); {
		c, size := rune(r.file.Source[at]), 1
		if c >= ' ' && c < 0x7F && at+size-run <= largestRun {
			at++
			continue
		}
		if c >= utf8.RuneSelf {
			c, size = utf8.DecodeRune(r.file.Source[at:])
		}
		switch {
		case c == utf8.RuneError && size == 1:
			r.report("not-utf8", r.file.Span(at, at+1), say.That("this file is not UTF-8 text from here on"), say.That("Save it as UTF-8 in your editor."))
			return false
		case unicode.IsControl(c) && c != '\t' && c != '\n' && c != '\r', c == '\uFFFE', c == '\uFFFF':
			r.report("control-character", r.file.Span(at, at+size), say.That("here stands the control character U+%number", say.Word(fmt.Sprintf("%04X", c))), say.That("Delete it."))
			return false
		case invisible(c) && at > 0:
			r.report("invisible-character", r.file.Span(at, at+size), say.That("here stands the invisible character U+%number", say.Word(fmt.Sprintf("%04X", c))), say.That("Delete it."))
		case c == '\n':
			if line := lineFrom(r.file.Source, at+1); mergeMarker(line) {
				r.report("merge-marker", r.file.Span(at+1, at+1+len(bytes.TrimRight(line, "\r"))), say.That("this is the marker of a merge"), say.That("Choose one of the two versions, and delete the markers."))
			}
			if line := lineFrom(r.file.Source, at+1); blank(line) {
				run = min(at+1+len(line)+1, len(r.file.Source))
			}
		case at+size-run > largestRun:
			r.report("file-too-large", r.file.Span(run, run), say.That("the lines from here on have no empty line among them for more than 128 KB"), say.That("Split the paragraph or the table."))
			return false
		}
		at += size
	}
	return true
}

// invisible reports whether nobody can see a character: spaces without width, soft hyphens, signs of direction. Joiners are
// letters' business in some languages, and stand in signs that are drawn as one.
func invisible(c rune) bool {
	switch {
	case c == '\u00AD', c == '\u200B', c == '\u2060', c == '\uFEFF', c >= '\u200E' && c <= '\u200F', c >= '\u202A' && c <= '\u202E', c >= '\u2066' && c <= '\u2069':
		return true
	}
	return false
}

// mergeMarker reports whether a line is what a version control leaves between two versions.
func mergeMarker(line []byte) bool {
	for _, marker := range []string{"<<<<<<< ", ">>>>>>> ", "||||||| "} {
		if bytes.HasPrefix(line, []byte(marker)) {
			return true
		}
	}
	return false
}

// lineFrom returns the line that starts at an offset.
func lineFrom(src []byte, at int) []byte {
	line, _, _ := bytes.Cut(src[at:], []byte("\n"))
	return line
}
