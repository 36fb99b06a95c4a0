package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"slices"
)

// Pictures are written here and not by image/png, which reads every pixel of a
// palette through an interface and has no level of compression between its
// fastest and its default: that takes more than twice as long and gains a
// twentieth in size.

// Levels of compression: tight takes almost twice as long as brisk and gains a
// twentieth of the size.
const (
	brisk = 5 // for what goes out while the operator looks up
	tight = 7 // for maps, which have more on them
)

// encode writes a picture in the inks of the palette, at most 16 of them, to which
// every colour is drawn: PNG (ISO/IEC 15948), four bits a pixel, no filter, which
// is what suits few colours (12.7.3 there).
func encode(m *image.RGBA, inks color.Palette, level int) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	head := binary.BigEndian.AppendUint32(nil, uint32(m.Rect.Dx()))
	head = binary.BigEndian.AppendUint32(head, uint32(m.Rect.Dy()))
	const bits, indexed, deflate, adaptive, straight = 4, 3, 0, 0, 0
	chunk(&b, "IHDR", append(head, bits, indexed, deflate, adaptive, straight))
	var plte []byte
	for _, ink := range inks {
		c := color.RGBAModel.Convert(ink).(color.RGBA)
		plte = append(plte, c.R, c.G, c.B)
	}
	chunk(&b, "PLTE", plte)
	var body bytes.Buffer
	z, err := zlib.NewWriterLevel(&body, level)
	if err != nil {
		return nil, err
	}
	// Neither fails: the buffer takes everything.
	_, err = z.Write(packed(m, inks))
	if cerr := z.Close(); err == nil {
		err = cerr
	}
	chunk(&b, "IDAT", body.Bytes())
	chunk(&b, "IEND", nil)
	return b.Bytes(), err
}

// chunk appends one chunk: its length, its type and data, and the check over both.
func chunk(b *bytes.Buffer, name string, data []byte) {
	part := append([]byte(name), data...)
	b.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
	b.Write(part)
	b.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(part)))
}

// packed are the rows of a picture as PNG has them: the filter, then two pixels a
// byte, the left one above.
func packed(m *image.RGBA, inks color.Palette) []byte {
	size := m.Rect.Size()
	rows := make([]byte, 0, size.Y*(1+(size.X+1)/2))
	near := nearest{inks: inks}
	for y := range size.Y {
		row := m.Pix[y*m.Stride:][:4*size.X]
		rows = append(rows, 0)
		for ; len(row) >= 8; row = row[8:] {
			rows = append(rows, near.ink(row[:4])<<4|near.ink(row[4:8]))
		}
		if len(row) > 0 {
			rows = append(rows, near.ink(row)<<4)
		}
	}
	return rows
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
