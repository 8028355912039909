package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"matchmark/procedure/say"
)

// The write-ahead log of a database holds what was acknowledged last. SQLite takes from it what is whole
// and passes over the rest without a word, since it cannot tell damage from a write that a
// crash cut off. We can: behind a write that was cut off no finished one stands.
// Source: SQLite, "Database File Format", 4.1 and 4.2 (header, frames, checksums).
const (
	logHeader   = 32
	frameHeader = 24
	logMagic    = 0x377f0682 // the last bit says in which order checksums read their words
	largestPage = 65536
)

// errNoLog means that there is no log.
var errNoLog = say.Error(say.That("the log beside the database is gone"))

// checkLog reads a database's log and returns what is wrong with it: errNoLog, a log that is
// damaged before something that was finished, or one that cannot be read.
func checkLog(file string) error {
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		return errNoLog
	}
	if err != nil {
		return fmt.Errorf("reading the log beside the database: %w", err)
	}
	defer f.Close()
	header := make([]byte, logHeader)
	switch n, err := io.ReadFull(f, header); {
	case n == 0 && errors.Is(err, io.EOF):
		return nil // everything is in the database
	case err != nil:
		return say.Error(say.That("the log beside the database is damaged: it has %bytes bytes", say.Count(n)))
	}
	magic, page := binary.BigEndian.Uint32(header), int(binary.BigEndian.Uint32(header[8:]))
	var order binary.ByteOrder = binary.LittleEndian
	if magic&1 == 1 {
		order = binary.BigEndian
	}
	sum := checksum{}.over(order, header[:24])
	if magic&^1 != logMagic || !sum.is(header[24:]) || page < 512 || page > largestPage || page&(page-1) != 0 {
		return say.Error(say.That("the log beside the database is damaged at its beginning"))
	}
	return checkFrames(f, order, page, header[16:24], sum)
}

// checkFrames goes on over the frames. Those of another salt were written before the log was begun anew.
func checkFrames(from io.Reader, order binary.ByteOrder, page int, salt []byte, sum checksum) error {
	frame := make([]byte, frameHeader+page)
	broken := 0 // the first frame that does not hold, from 1
	for n := 1; ; n++ {
		if _, err := io.ReadFull(from, frame); err != nil {
			return nil // a frame that is cut off was not finished
		}
		ours := string(frame[8:16]) == string(salt)
		if broken == 0 {
			sum = sum.over(order, frame[:8]).over(order, frame[frameHeader:])
			if !ours || !sum.is(frame[16:]) {
				broken = n
			}
		}
		if finished := binary.BigEndian.Uint32(frame[4:]) != 0; broken > 0 && ours && finished {
			return say.Error(say.That("the log beside the database is damaged in frame %frame", say.Count(broken)))
		}
	}
}

// checksum is the running sum of a log.
type checksum [2]uint32

func (c checksum) over(order binary.ByteOrder, b []byte) checksum {
	for ; len(b) >= 8; b = b[8:] {
		c[0] += order.Uint32(b) + c[1]
		c[1] += order.Uint32(b[4:]) + c[0]
	}
	return c
}

// is reports whether a sum is the one that is written down.
func (c checksum) is(written []byte) bool {
	return binary.BigEndian.Uint32(written) == c[0] && binary.BigEndian.Uint32(written[4:]) == c[1]
}
