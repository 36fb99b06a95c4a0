package draw

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"slices"
)

// encode writes a picture in the inks of the palette, to which every colour is
// drawn.
func encode(m *image.RGBA, inks color.Palette) ([]byte, error) {
	flat := image.NewPaletted(m.Rect, padded(inks))
	near := nearest{inks: inks}
	for i := range flat.Pix {
		flat.Pix[i] = near.ink(m.Pix[4*i:][:4])
	}
	var b bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&b, flat)
	return b.Bytes(), err
}

// padded adds inks that nothing is drawn in: with more than 16 the encoder takes a
// row at once, with fewer each pixel through an interface.
func padded(inks color.Palette) color.Palette {
	return append(slices.Clone(inks), slices.Repeat(color.Palette{color.White}, max(0, 17-len(inks)))...)
}

// nearest finds the ink for a colour, quickly where it was asked for before.
type nearest struct {
	inks  color.Palette
	last  [4]byte
	same  uint8          // of last
	known [1 << 15]uint8 // one more than the ink, by five bits of each colour
}

func (n *nearest) ink(rgba []byte) uint8 {
	if p := [4]byte(rgba); p != n.last {
		n.last, n.same = p, n.find(p)
	}
	return n.same
}

func (n *nearest) find(p [4]byte) uint8 {
	key := int(p[0]>>3)<<10 | int(p[1]>>3)<<5 | int(p[2]>>3)
	if n.known[key] == 0 {
		n.known[key] = uint8(n.inks.Index(color.RGBA{p[0], p[1], p[2], 255})) + 1
	}
	return n.known[key] - 1
}

// blank is a white picture.
func blank(width, height int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	copy(m.Pix, slices.Repeat([]byte{255}, m.Stride))
	for done := m.Stride; done < len(m.Pix); done *= 2 {
		copy(m.Pix[done:], m.Pix[:done])
	}
	return m
}
