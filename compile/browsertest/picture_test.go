//go:build browser

package browsertest

import (
	"bytes"
	"image"
	"image/png"
	"math/rand/v2"
	"testing"

	"gotest.tools/v3/assert"
)

// noise returns a picture that packs badly, so that a photo made of it is as large as any can be.
func noise(t *testing.T, width, height int) []byte {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 2))
	p := image.NewRGBA(image.Rect(0, 0, width, height))
	for i := range p.Pix {
		p.Pix[i] = byte(r.Uint32())
		if i%4 == 3 {
			p.Pix[i] = 255
		}
	}
	var b bytes.Buffer
	assert.NilError(t, (&png.Encoder{CompressionLevel: png.NoCompression}).Encode(&b, p))
	return b.Bytes()
}
