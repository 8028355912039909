package cache

import (
	"encoding/binary"
	"errors"
	"math"
)

// Fields writes values one after the other, to be read in the same order. The
// zero value is ready to use.
type Fields struct{ B []byte }

// String writes a string.
func (f *Fields) String(s string) {
	f.B = binary.AppendUvarint(f.B, uint64(len(s)))
	f.B = append(f.B, s...)
}

// Int writes a whole number.
func (f *Fields) Int(n int) { f.B = binary.AppendVarint(f.B, int64(n)) }

// Float writes a number to its last bit.
func (f *Fields) Float(x float64) {
	f.B = binary.LittleEndian.AppendUint64(f.B, math.Float64bits(x))
}

// Sum writes a sum.
func (f *Fields) Sum(s Sum) { f.B = append(f.B, s[:]...) }

// errShort is content that ends before its fields do.
var errShort = errors.New("the fields end too early")

// Reading reads what Fields wrote. After a fault every value is zero, and Err says so.
type Reading struct {
	b   []byte
	Err error
}

// Read returns a reading of what Fields wrote.
func Read(b []byte) *Reading { return &Reading{b: b} }

func (r *Reading) fail() {
	r.b, r.Err = nil, errShort
}

func (r *Reading) take(n int) []byte {
	if n < 0 || n > len(r.b) {
		r.fail()
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

// String reads a string.
func (r *Reading) String() string {
	n, size := binary.Uvarint(r.b)
	if size <= 0 || n > uint64(len(r.b)) {
		r.fail()
		return ""
	}
	r.b = r.b[size:]
	return string(r.take(int(n)))
}

// Int reads a whole number.
func (r *Reading) Int() int {
	n, size := binary.Varint(r.b)
	if size <= 0 {
		r.fail()
		return 0
	}
	r.b = r.b[size:]
	return int(n)
}

// Count reads how many of something follow. Each takes a byte at least, which bounds it.
func (r *Reading) Count() int {
	n := r.Int()
	if n < 0 || n > len(r.b) {
		r.fail()
		return 0
	}
	return n
}

// Float reads a number.
func (r *Reading) Float() float64 {
	b := r.take(8)
	if b == nil {
		return 0
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(b))
}

// Sum reads a sum.
func (r *Reading) Sum() (s Sum) {
	copy(s[:], r.take(len(s)))
	return s
}
