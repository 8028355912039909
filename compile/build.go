package compile

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"

	"matchmark/compile/cache"
)

// startOf is how much of a program's file holds its build ID, as the go command reads it.
const startOf = 32 << 10

// buildSum names the program with its theme and words, which are part of it: by
// the build ID that the go command gave it, which is a sum of all that it was built
// from, or else by the sum of its whole file.
func buildSum() (cache.Sum, error) {
	name, err := os.Executable()
	if err != nil {
		return cache.Sum{}, fmt.Errorf("finding the program's own file: %w", err)
	}
	file, err := os.Open(name)
	if err != nil {
		return cache.Sum{}, fmt.Errorf("reading the program's own file: %w", err)
	}
	defer file.Close()
	start := make([]byte, startOf)
	n, err := io.ReadFull(file, start)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return cache.Sum{}, fmt.Errorf("reading the program's own file: %w", err)
	}
	start = start[:n]
	if id := buildID(start); id != "" {
		return cache.SumOf([]byte("build " + id)), nil
	}
	hash := sha256.New()
	hash.Write(start)
	if _, err := io.Copy(hash, file); err != nil {
		return cache.Sum{}, fmt.Errorf("reading the program's own file: %w", err)
	}
	return cache.Sum(hash.Sum(nil)), nil
}

// buildID returns the build ID in the start of a program's file, "" when it has none there.
//
// Source: cmd/internal/buildid of Go 1.26: an ELF note of the name "Go" and type 4,
// elsewhere a text before the code.
func buildID(start []byte) string {
	const text = "\xff Go build ID: \""
	if _, after, found := bytes.Cut(start, []byte(text)); found {
		if id, _, ended := bytes.Cut(after, []byte("\"")); ended {
			return string(id)
		}
	}
	const name = "\x04\x00\x00\x00Go\x00\x00" // the note's type, then its name
	at := bytes.Index(start, []byte(name))
	if at < 4 {
		return ""
	}
	size := int(binary.LittleEndian.Uint32(start[at-4:]))
	if id := start[at+len(name):]; size <= len(id) {
		return string(id[:size])
	}
	return ""
}
