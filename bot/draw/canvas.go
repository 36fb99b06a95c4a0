package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"slices"
	"time"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// width is that of every picture, in pixels.
const width = 1080

// The sizes of letters, in pixels.
const (
	sizeTitle = 76.0
	sizeText  = 46.0
	sizeLabel = 42.0
	sizeSmall = 34.0 // names of fields on maps
	sizeLeast = 28.0 // ... and of squares
)

// The inks. Each is told from its neighbours by lightness alone.
var (
	white  = color.RGBA{255, 255, 255, 255}
	black  = color.RGBA{0, 0, 0, 255}
	pale   = color.RGBA{222, 222, 222, 255}
	middle = color.RGBA{150, 150, 150, 255}
	dark   = color.RGBA{88, 88, 88, 255}
	yellow = color.RGBA{255, 214, 0, 255}
	blue   = color.RGBA{0, 70, 190, 255}
)

// palette is what a picture is reduced to: the inks, which are steps enough for
// smooth edges. Fewer of them make the file smaller: half a byte a pixel, and
// more of the same in a row.
var palette = color.Palette{
	white, black, pale, middle, dark, yellow, blue,
	color.RGBA{128, 107, 0, 255},
	color.RGBA{255, 236, 130, 255},
}

// A canvas is what one picture is drawn on.
type canvas struct {
	*gg.Context
	image *image.RGBA
	font  *opentype.Font
	faces map[float64]font.Face
	taken []box // where labels stand, and what they must not cover
}

func newCanvas(height int) (*canvas, error) {
	parsed, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("the font: %w", err)
	}
	rgba := image.NewRGBA(image.Rect(0, 0, width, height))
	draw.Draw(rgba, rgba.Rect, image.White, image.Point{}, draw.Src)
	c := &canvas{Context: gg.NewContextForRGBA(rgba), image: rgba, font: parsed, faces: map[float64]font.Face{}}
	c.SetLineCapRound()
	c.SetLineJoin(gg.LineJoinRound)
	return c, nil
}

// face is the font at a size in pixels.
func (c *canvas) face(size float64) font.Face {
	f, ok := c.faces[size]
	if !ok {
		// The only errors of NewFace are of options that these are not.
		f, _ = opentype.NewFace(c.font, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
		c.faces[size] = f
	}
	return f
}

// textWidth is how wide a text is, in pixels.
func (c *canvas) textWidth(s string, size float64) float64 {
	return float64(font.MeasureString(c.face(size), s)) / 64
}

// A box is a rectangle in pixels.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

func (b box) inside(o box) bool { return b.x0 >= o.x0 && b.x1 <= o.x1 && b.y0 >= o.y0 && b.y1 <= o.y1 }

func around(p xy, r float64) box { return box{}.at(p).grown(r) }

// at is a box around the origin moved to a point.
func (b box) at(p xy) box { return box{p.x + b.x0, p.y + b.y0, p.x + b.x1, p.y + b.y1} }

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

// rectangle adds a box to the path.
func (c *canvas) rectangle(b box) { c.DrawRectangle(b.x0, b.y0, b.x1-b.x0, b.y1-b.y0) }

// letterHeight is the height of capitals and digits in parts of the size.
const letterHeight = 0.73

// textBox is what a text covers whose middle is at p.
func (c *canvas) textBox(s string, p xy, size float64) box {
	w, h := c.textWidth(s, size)/2, letterHeight*size/2
	return box{-w, -h, w, h}.at(p)
}

// write draws a text: anchor 0 begins at x, 0.5 has its middle there, 1 ends
// there; y is the middle of its capitals.
func (c *canvas) write(s string, x, y, anchor, size float64, ink color.Color) {
	d := font.Drawer{
		Dst: c.image, Src: image.NewUniform(ink), Face: c.face(size),
		Dot: fixed.Point26_6{
			X: fixed.Int26_6((x - anchor*c.textWidth(s, size)) * 64),
			Y: fixed.Int26_6((y + letterHeight*size/2) * 64),
		},
	}
	d.DrawString(s)
}

// tag draws a text with its middle at p on a ground of its own.
func (c *canvas) tag(s string, p xy, size float64, ink, ground color.Color) {
	b := c.textBox(s, p, size)
	c.DrawRoundedRectangle(b.x0-8, b.y0-8, b.x1-b.x0+16, b.y1-b.y0+16, 8)
	c.fill(ground)
	c.write(s, p.x, p.y, 0.5, size, ink)
}

// keep marks a place that labels must not cover.
func (c *canvas) keep(b box) { c.taken = append(c.taken, b) }

// free reports whether a box lies in the frame and covers nothing kept.
func (c *canvas) free(b, frame box) bool {
	return b.inside(frame) && !slices.ContainsFunc(c.taken, b.meets)
}

// room finds where something may stand beside a point: at least off pixels away
// from it, first in the direction towards (degrees, clockwise from up), then in
// those nearest to it. size is what it covers around its own middle. The place
// found is kept. further are the distances to try beyond off.
func (c *canvas) room(p xy, off, towards float64, size, frame box, further []float64) (at xy, ok bool) {
	const air = 8
	for _, further := range further {
		for _, turn := range []float64{0, 25, -25, 50, -50, 80, -80, 110, -110, 150, -150, 180} {
			sin, cos := math.Sincos((towards + turn) * math.Pi / 180)
			// Its own half-size in this direction, so that it clears the point.
			reach := off + further + math.Min(size.x1/math.Max(math.Abs(sin), 1e-9), size.y1/math.Max(math.Abs(cos), 1e-9))
			at = xy{p.x + sin*reach, p.y - cos*reach}
			if b := size.at(at).grown(air); c.free(b, frame) {
				c.keep(b)
				return at, true
			}
		}
	}
	return xy{}, false
}

// How far from its point something may stand, in pixels beyond the least.
var (
	anywhere = []float64{0, 20, 44, 80, 130}
	nearby   = anywhere[:2]
)

// label sets a text beside a point as room does, and leads a line to it where it
// could be taken for another point's.
func (c *canvas) label(s string, p xy, off, towards, size float64, frame box, ink, ground color.Color) {
	at, ok := c.room(p, off, towards, c.textBox(s, xy{}, size), frame, anywhere)
	if !ok {
		return
	}
	b := c.textBox(s, at, size)
	edge := xy{min(max(p.x, b.x0), b.x1), min(max(p.y, b.y0), b.y1)}
	if apart := p.apart(edge); off > 0 && apart > off+12 {
		part := off / 2 / apart
		c.line([]xy{{p.x + part*(edge.x-p.x), p.y + part*(edge.y-p.y)}, edge}, 4, black)
	}
	c.tag(s, at, size, ink, ground)
}

// fitted is the largest of the sizes of letters in which a text is no wider than
// that; the smallest if it is in none.
func (c *canvas) fitted(s string, wide float64, sizes ...float64) float64 {
	for _, size := range sizes {
		if c.textWidth(s, size) <= wide {
			return size
		}
	}
	return sizes[len(sizes)-1]
}

// stripes is a hatch: dark lines on a pale ground. From row to row it moves by
// two pixels, a byte of the file, so that it packs well.
type stripes struct{}

func (stripes) ColorAt(x, y int) color.Color {
	if (x+2*y)%24 < 6 {
		return dark
	}
	return pale
}

// line draws a polyline.
func (c *canvas) line(points []xy, thick float64, ink color.Color) {
	c.path(points)
	c.stroke(ink, thick)
}

func (c *canvas) path(points []xy) {
	c.NewSubPath()
	for _, p := range points {
		c.LineTo(p.x, p.y)
	}
}

func (c *canvas) fill(ink color.Color) {
	c.SetColor(ink)
	c.Fill()
}

func (c *canvas) stroke(ink color.Color, thick float64) {
	c.SetColor(ink)
	c.SetLineWidth(thick)
	c.Stroke()
}

// paint fills the path and draws its edge.
func (c *canvas) paint(ground, ink color.Color, thick float64) {
	c.SetColor(ground)
	c.FillPreserve()
	c.stroke(ink, thick)
}

// heading writes what a picture of a pass shows, and the pass.
func (c *canvas) heading(title, corner string, aos, los time.Time) {
	c.headline(title, corner, 62, sizeTitle)
	c.headline(aos.UTC().Format("Mon 2 Jan 2006"), clock(aos)+" – "+clock(los)+" UTC", 142, sizeText)
}

// headline writes a text at the left edge, smaller where the one at the right edge
// leaves it little room.
func (c *canvas) headline(left, right string, y, size float64) {
	const air = 30
	wide := width - 80 - air - c.textWidth(right, size)
	c.write(left, 40, y, 0, c.fitted(left, wide, size, sizeText, sizeLabel, sizeSmall, sizeLeast), black)
	c.write(right, width-40, y, 1, size, black)
}

type xy struct{ x, y float64 }

// off is the point at a distance in a direction, in degrees clockwise from up.
func (p xy) off(deg, r float64) xy {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return xy{p.x + r*sin, p.y - r*cos}
}

// apart is the distance between two points.
func (p xy) apart(q xy) float64 { return math.Hypot(p.x-q.x, p.y-q.y) }

// disc draws a filled circle with an edge.
func (c *canvas) disc(p xy, r, edge float64, fill, ink color.Color) {
	c.DrawCircle(p.x, p.y, r)
	c.paint(fill, ink, edge)
}

// encode writes a picture in the inks of the palette, to which every colour is
// drawn.
func encode(m *image.RGBA, inks color.Palette) ([]byte, error) {
	// Inks that nothing is drawn in: with more than 16 the encoder takes a row at
	// once, with fewer each pixel through an interface.
	unused := slices.Repeat(color.Palette{color.White}, max(0, 17-len(inks)))
	flat := image.NewPaletted(m.Rect, slices.Concat(inks, unused))
	var known [1 << 15]uint8 // one more than the ink, by five bits of each colour
	var last [4]byte
	var ink uint8 // of last
	for i := range flat.Pix {
		if p := [4]byte(m.Pix[4*i:]); p != last || i == 0 {
			near := &known[int(p[0]>>3)<<10|int(p[1]>>3)<<5|int(p[2]>>3)]
			if *near == 0 {
				*near = uint8(inks.Index(color.RGBA{p[0], p[1], p[2], 255})) + 1
			}
			last, ink = p, *near-1
		}
		flat.Pix[i] = ink
	}
	var b bytes.Buffer
	err := png.Encode(&b, flat)
	return b.Bytes(), err
}
