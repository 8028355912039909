package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
)

// jpegQuality shows no blocks on line and lettering at twice the bytes of a
// quality of 60. Common practice, no source.
const jpegQuality = 82

// fewColours is the most colours of a PNG that is taken for a drawing and stays
// a PNG. Common practice, no source.
const fewColours = 1024

// raster is a decoded picture in planes that scale by themselves: one of greys,
// one of red, green, blue and alpha (premultiplied), or three of luma and
// chroma, the chroma halved both ways as JPEG stores it.
type raster struct {
	planes []plane
	lossy  bool // to be written as JPEG, else as PNG
}

// decode reads a JPEG or PNG to its end.
func decode(format Format, content []byte) (raster, error) {
	decodeAll := png.Decode
	if format == JPEG {
		decodeAll = jpeg.Decode
	}
	picture, err := decodeAll(bytes.NewReader(content))
	if err != nil {
		return raster{}, err
	}
	width, height := picture.Bounds().Dx(), picture.Bounds().Dy()
	switch p := picture.(type) {
	case *image.YCbCr:
		chroma := func(pix []byte) plane {
			wide, high := chromaSize(p.SubsampleRatio, width, height)
			return plane{wide, high, 1, p.CStride, pix}.scale((width+1)/2, (height+1)/2)
		}
		luma := plane{width, height, 1, p.YStride, p.Y}
		return raster{[]plane{luma, chroma(p.Cb), chroma(p.Cr)}, true}, nil
	case *image.Gray:
		r := raster{planes: []plane{{width, height, 1, p.Stride, p.Pix}}}
		r.lossy = format == JPEG
		return r, nil
	}
	flat := image.NewRGBA(image.Rect(0, 0, width, height))
	draw.Draw(flat, flat.Rect, picture, picture.Bounds().Min, draw.Src)
	return raster{[]plane{{width, height, 4, flat.Stride, flat.Pix}}, format == JPEG || isPhoto(flat)}, nil
}

// chromaSize returns the size of a chroma plane.
func chromaSize(ratio image.YCbCrSubsampleRatio, width, height int) (int, int) {
	across, down := 1, 1
	switch ratio {
	case image.YCbCrSubsampleRatio422:
		across = 2
	case image.YCbCrSubsampleRatio420:
		across, down = 2, 2
	case image.YCbCrSubsampleRatio440:
		down = 2
	case image.YCbCrSubsampleRatio411:
		across = 4
	case image.YCbCrSubsampleRatio410:
		across, down = 4, 2
	}
	return (width + across - 1) / across, (height + down - 1) / down
}

// isPhoto reports whether a picture is opaque and has many colours.
func isPhoto(p *image.RGBA) bool {
	if !p.Opaque() {
		return false
	}
	colours := map[color.RGBA]bool{}
	last := color.RGBA{}
	for at := 0; at < len(p.Pix); at += 4 {
		c := color.RGBA{p.Pix[at], p.Pix[at+1], p.Pix[at+2], p.Pix[at+3]}
		if c == last {
			continue
		}
		last = c
		if colours[c] = true; len(colours) > fewColours {
			return true
		}
	}
	return false
}

// scale returns the picture in another size.
func (r raster) scale(width, height int) raster {
	planes := make([]plane, len(r.planes))
	for i, p := range r.planes {
		if i == 0 {
			planes[i] = p.scale(width, height)
		} else {
			planes[i] = p.scale((width+1)/2, (height+1)/2)
		}
		if p.channels == 4 {
			limitToAlpha(planes[i].pix)
		}
	}
	return raster{planes, r.lossy}
}

// limitToAlpha takes back what the filter overshot: a premultiplied colour is at most its alpha.
func limitToAlpha(pix []byte) {
	for at := 0; at < len(pix); at += 4 {
		alpha := pix[at+3]
		for c := range 3 {
			pix[at+c] = min(pix[at+c], alpha)
		}
	}
}

// upright returns the picture turned as it is meant to be seen.
func (r raster) upright(turn orientation) raster {
	planes := make([]plane, len(r.planes))
	for i, p := range r.planes {
		planes[i] = turn.upright(p)
	}
	return raster{planes, r.lossy}
}

// encode writes the picture, without whatever the camera noted in the file.
func (r raster) encode(quality int) ([]byte, error) {
	var b bytes.Buffer
	var err error
	if r.lossy {
		err = jpeg.Encode(&b, r.image(), &jpeg.Options{Quality: quality})
	} else {
		err = png.Encode(&b, r.image())
	}
	return b.Bytes(), err
}

func (r raster) image() image.Image {
	first := r.planes[0]
	bounds := image.Rect(0, 0, first.width, first.height)
	switch {
	case len(r.planes) == 3:
		return &image.YCbCr{
			Y: first.pix, Cb: r.planes[1].pix, Cr: r.planes[2].pix,
			YStride: first.stride, CStride: r.planes[1].stride,
			SubsampleRatio: image.YCbCrSubsampleRatio420, Rect: bounds,
		}
	case first.channels == 1:
		return &image.Gray{Pix: first.pix, Stride: first.stride, Rect: bounds}
	}
	return &image.RGBA{Pix: first.pix, Stride: first.stride, Rect: bounds}
}
