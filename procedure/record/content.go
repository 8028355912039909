package record

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// ContentLength is how many hexadecimal digits of the hash a record carries.
const ContentLength = 16

// Content returns the first 16 hexadecimal digits of the SHA-256 of what a
// procedure is made of: the bytes of its file, of its machine's, of each file of
// steps that it takes in, and of its refitting's. Each file counts with its length
// before it, so that text cannot move from one file to the next unseen. Names of
// files do not count: a library may be moved. The refitting has the content of the
// procedure that it brings back, since one record covers both.
func Content(p *procedure.Procedure) string {
	if p.Removal != nil {
		p = p.Removal
	}
	hash := sha256.New()
	var length [8]byte
	for _, f := range filesOf(p) {
		binary.BigEndian.PutUint64(length[:], uint64(len(f.Source)))
		hash.Write(length[:])
		hash.Write(f.Source)
	}
	return hex.EncodeToString(hash.Sum(nil))[:ContentLength]
}

// filesOf lists the files that a procedure is made of, each once.
func filesOf(p *procedure.Procedure) []*text.File {
	var out []*text.File
	add := func(f *text.File) {
		if f != nil && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	add(p.File)
	if p.Machine != nil {
		add(p.Machine.File)
		for _, f := range p.Machine.Sources {
			add(f)
		}
	}
	for _, s := range p.Steps {
		add(s.Span.File)
	}
	for _, f := range p.Figures {
		add(f.Span.File)
	}
	if w := p.RefitFile; w != nil {
		add(w.File)
	}
	return out
}
