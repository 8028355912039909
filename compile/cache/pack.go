package cache

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"os"

	"github.com/klauspost/compress/s2"
)

// magic starts every pack. After it come the key, the lengths of the head and of
// the list, the sum of both, the head and the list themselves, and the files, packed.
const magic = "matchmark pack 2\n"

// File is a file of a pack.
type File struct {
	Path string
	Sum  Sum
	Size int
	// Content is nil when the file only stands in a list.
	Content []byte
}

// Pack is what one unit of a compile made: its files, and a head that only the
// compile understands.
type Pack struct {
	Head  []byte
	Files []File // without content

	name string
	body int64
}

// Put keeps a pack under its key.
func (c *Cache) Put(key Sum, head []byte, files []File) {
	if c == nil {
		return
	}
	var list Fields
	list.Int(len(files))
	for _, f := range files {
		list.String(f.Path)
		list.Sum(f.Sum)
		list.Int(f.Size)
	}
	size := 0
	for _, f := range files {
		size += len(f.Content)
	}
	body := make([]byte, 0, size)
	for _, f := range files {
		body = append(body, f.Content...)
	}
	// Speed before size: packing must cost little beside making the pages.
	c.keep(c.file(key), preamble(key, head, list.B), head, list.B, s2.Encode(nil, body))
}

// preamble is everything before the head.
func preamble(key Sum, head, list []byte) []byte {
	out := append([]byte(magic), key[:]...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(head)))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(list)))
	sum := SumOf(append(append([]byte(nil), head...), list...))
	return append(out, sum[:]...)
}

const preambleSize = len(magic) + 2*len(Sum{}) + 8

// Get returns the pack under a key, without its files' content; nil when there is
// none that is whole.
func (c *Cache) Get(key Sum) *Pack {
	if c == nil {
		return nil
	}
	name := c.file(key)
	file, err := os.Open(name)
	if err != nil {
		return nil
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil
	}
	p, err := readPack(file, key, info.Size())
	if err != nil {
		os.Remove(name)
		return nil
	}
	p.name = name
	touch(name, info)
	return p
}

// firstRead is how much of a pack is read at once; most heads fit.
const firstRead = 8 << 10

func readPack(file io.ReaderAt, key Sum, size int64) (*Pack, error) {
	start := make([]byte, min(size, firstRead))
	if _, err := file.ReadAt(start, 0); err != nil && err != io.EOF {
		return nil, err
	}
	if len(start) < preambleSize || !bytes.HasPrefix(start, []byte(magic)) || !bytes.Equal(start[len(magic):][:len(key)], key[:]) {
		return nil, fmt.Errorf("no pack of %s", key)
	}
	at := len(magic) + len(key)
	head := int64(binary.LittleEndian.Uint32(start[at:]))
	list := int64(binary.LittleEndian.Uint32(start[at+4:]))
	body := int64(preambleSize) + head + list
	if body > size {
		return nil, fmt.Errorf("the pack %s is cut short", key)
	}
	if body > int64(len(start)) {
		start = make([]byte, body)
		if _, err := file.ReadAt(start, 0); err != nil {
			return nil, err
		}
	}
	both := start[preambleSize:body]
	if SumOf(both) != Sum(start[preambleSize-len(key):preambleSize]) {
		return nil, fmt.Errorf("the head of pack %s is damaged", key)
	}
	p := &Pack{Head: both[:head], body: body}
	r := Read(both[head:])
	for range r.Count() {
		p.Files = append(p.Files, File{Path: r.String(), Sum: r.Sum(), Size: r.Int()})
	}
	return p, r.Err
}

// Open reads the content of all files of a pack. It returns an error when one of
// them is not what it was when it was kept; the pack is then taken away.
func (p *Pack) Open() ([]File, error) {
	out, err := p.open()
	if err != nil {
		os.Remove(p.name)
	}
	return out, err
}

func (p *Pack) open() ([]File, error) {
	pack, err := os.ReadFile(p.name)
	if err != nil {
		return nil, err
	}
	if int64(len(pack)) < p.body {
		return nil, fmt.Errorf("the pack %s is cut short", p.name)
	}
	size := 0
	for _, f := range p.Files {
		size += f.Size
	}
	// A damaged pack may say anything of its size: it has to say what the list says.
	if n, err := s2.DecodedLen(pack[p.body:]); err != nil || n != size {
		return nil, fmt.Errorf("the pack %s does not hold its files", p.name)
	}
	body, err := s2.Decode(nil, pack[p.body:])
	if err != nil {
		return nil, fmt.Errorf("unpacking %s: %w", p.name, err)
	}
	out := make([]File, len(p.Files))
	for i, f := range p.Files {
		if f.Size < 0 || f.Size > len(body) {
			return nil, fmt.Errorf("%s in the cache has no length", f.Path)
		}
		f.Content, body = body[:f.Size:f.Size], body[f.Size:]
		if SumOf(f.Content) != f.Sum {
			return nil, fmt.Errorf("%s in the cache is damaged", f.Path)
		}
		out[i] = f
	}
	return out, nil
}
