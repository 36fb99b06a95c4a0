package draw

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"skyslate/parse"
)

// A Worked is a map of the grids worked. Grids count as squares: the first four
// characters.
type Worked struct {
	Span    string       // which contacts: "this year"
	Grids   []parse.Grid // in any order, also more than once
	Newest  []parse.Grid // those of the latest contact
	OwnLat  float64      // the own place, in degrees
	OwnLon  float64
	OwnName string // its grid
}

// The map's field in the picture.
const (
	mapLeft, mapTop = 12.0, 190.0
	mapWide         = width - 2*mapLeft
	mapLow, mapHigh = 640.0, 1200.0 // the least and the most height
	mapFoot         = 110.0         // below it, for what the signs mean
)

// A square covers two degrees of longitude and one of latitude, a field twenty
// and ten (IARU Region 1, the Maidenhead locator).
const (
	squareLon, squareLat = 2.0, 1.0
	fieldLon, fieldLat   = 20.0, 10.0
)

// PNG draws it.
func (w Worked) PNG() ([]byte, error) {
	squares := distinct(w.Grids)
	m := w.flat(squares)
	c, err := newCanvas(int(mapTop + m.high + mapFoot))
	if err != nil {
		return nil, err
	}
	m.land(c)
	m.fields(c)
	newest := distinct(w.Newest)
	for _, g := range squares {
		if !slices.Contains(newest, g) {
			m.square(c, g)
		}
	}
	own := m.at(lonLat{w.OwnLon, w.OwnLat})
	c.keep(around(own, 30))
	for _, g := range newest {
		m.newest(c, g)
	}
	m.fieldNames(c)
	home(c, own)
	border(c, m.high)
	w.heading(c, len(squares), newest)
	w.signs(c, mapTop+m.high+mapFoot/2)
	return encode(c.image, palette)
}

// distinct are the squares of grids, each once, in the order of their names.
func distinct(grids []parse.Grid) []parse.Grid {
	var squares []parse.Grid
	for _, g := range grids {
		if g.Chars() >= 4 {
			squares = append(squares, g.Square())
		}
	}
	slices.SortFunc(squares, func(a, b parse.Grid) int { return cmp.Compare(a.String(), b.String()) })
	return slices.Compact(squares)
}

func centre(g parse.Grid) lonLat {
	lat, lon := g.Center()
	return lonLat{lon, lat}
}

func (w Worked) heading(c *canvas, n int, newest []parse.Grid) {
	text := fmt.Sprintf("%d grids worked", n)
	if n == 1 {
		text = "1 grid worked"
	}
	c.write(text, 40, 62, 0, sizeTitle, black)
	c.write(w.Span, 40, 142, 0, sizeText, black)
	if len(newest) > 0 {
		names := make([]string, len(newest))
		for i, g := range newest {
			names[i] = g.String()
		}
		c.write("newest "+strings.Join(names, " "), width-40, 142, 1, sizeText, black)
	}
}

// signs says what the signs on the map mean.
func (w Worked) signs(c *canvas, y float64) {
	c.DrawRectangle(40, y-22, 64, 44)
	c.fill(blue)
	c.write("worked", 124, y, 0, sizeText, black)
	c.DrawRectangle(356, y-22, 64, 44)
	c.paint(yellow, black, 8)
	c.write("newest", 440, y, 0, sizeText, black)
	home(c, xy{690, y})
	c.write("you, "+w.OwnName, 744, y, 0, sizeText, black)
}

// home is the sign of the own place: an open ring with four spokes, so that a
// square below it is still seen.
func home(c *canvas, p xy) {
	sign := func() {
		c.DrawCircle(p.x, p.y, 22)
		for deg := 0.0; deg < 360; deg += 90 {
			a, b := p.off(deg, 14), p.off(deg, 36)
			c.DrawLine(a.x, a.y, b.x, b.y)
		}
	}
	sign()
	c.stroke(white, 15)
	sign()
	c.stroke(black, 7)
}

// A flat is a map in which a degree is as long everywhere: longitudes are shrunk
// as in the middle of the frame.
type flat struct {
	middle lonLat
	perLon float64 // pixels a degree
	perLat float64
	high   float64 // pixels
}

// flat is the map with room for squares and the own place.
func (w Worked) flat(squares []parse.Grid) flat {
	places := []lonLat{{w.OwnLon, w.OwnLat}}
	for _, g := range squares {
		places = append(places, centre(g))
	}
	return framed(places)
}

// framed chooses the frame around places: across the date line where that is
// shorter, with air around it, never smaller than a few fields.
func framed(places []lonLat) flat {
	west, wide := shortest(places)
	south, north := 90.0, -90.0
	for _, p := range places {
		south, north = min(south, p.lat), max(north, p.lat)
	}
	middle := lonLat{west + wide/2, (south + north) / 2}
	wide, tall := min(360, max(wide*1.15+4, 24)), max((north-south)*1.15+3, 12)
	m := flat{middle: middle}
	shrink := math.Max(0.25, math.Cos(m.middle.lat*math.Pi/180))
	m.perLat = min(mapWide/(wide*shrink), mapHigh/tall)
	m.perLon = m.perLat * shrink
	m.high = min(mapHigh, max(mapLow, tall*m.perLat))
	// Nothing is to be seen beyond the poles.
	half := m.high / 2 / m.perLat
	m.middle.lat = max(min(m.middle.lat, 90-half), half-90)
	if half > 90 {
		m.middle.lat = 0
	}
	return m
}

// shortest is the shortest stretch of longitude that holds all places: where it
// begins in the west and how wide it is, in degrees.
func shortest(places []lonLat) (west, wide float64) {
	lons := make([]float64, len(places))
	for i, p := range places {
		lons[i] = p.lon
	}
	slices.Sort(lons)
	n := len(lons)
	gap, at := lons[0]+360-lons[n-1], 0
	for i := 1; i < n; i++ {
		if g := lons[i] - lons[i-1]; g > gap {
			gap, at = g, i
		}
	}
	return lons[at], 360 - gap
}

// at is where a place stands in the picture.
func (m flat) at(p lonLat) xy {
	lon := math.Remainder(p.lon-m.middle.lon, 360)
	return xy{width/2 + lon*m.perLon, mapTop + m.high/2 - (p.lat-m.middle.lat)*m.perLat}
}

// land fills the land: each ring whole, and again a turn to the east and to the
// west for what reaches over the edges of the frame.
func (m flat) land(c *canvas) {
	frame := box{0, mapTop, width, mapTop + m.high}
	c.SetFillRuleEvenOdd()
	for _, ring := range land() {
		ring = unrolled(ring)
		for _, turn := range []float64{-720, -360, 0, 360, 720} {
			points, b := m.ring(ring, turn)
			if b.meets(frame) {
				c.path(points)
				c.ClosePath()
			}
		}
	}
	c.paint(pale, middle, 3)
	c.SetFillRuleWinding()
}

// unrolled lets longitudes run on beyond ±180° instead of leaping back. A ring
// around a pole, which is Antarctica's, is closed along the edge of the map.
func unrolled(ring []lonLat) []lonLat {
	out := make([]lonLat, len(ring), len(ring)+2)
	lon := ring[0].lon
	for i, p := range ring {
		lon += math.Remainder(p.lon-lon, 360)
		out[i] = lonLat{lon, p.lat}
	}
	if first, last := out[0], out[len(out)-1]; math.Abs(last.lon-first.lon) > 180 {
		pole := math.Copysign(90, first.lat)
		out = append(out, lonLat{first.lon + math.Copysign(360, last.lon-first.lon), first.lat})
		out = append(out, lonLat{out[len(out)-1].lon, pole}, lonLat{first.lon, pole})
	}
	return out
}

func (m flat) ring(ring []lonLat, turn float64) ([]xy, box) {
	points := make([]xy, len(ring))
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i, p := range ring {
		x, y := width/2+(p.lon-m.middle.lon+turn)*m.perLon, m.at(p).y
		points[i] = xy{x, y}
		b = box{min(b.x0, x), min(b.y0, y), max(b.x1, x), max(b.y1, y)}
	}
	return points, b
}

// fields draws the borders of the fields.
func (m flat) fields(c *canvas) {
	c.SetDash(2, 8)
	for lon := -180.0; lon < 180; lon += fieldLon {
		x := m.at(lonLat{lon, 0}).x
		c.DrawLine(x, mapTop, x, mapTop+m.high)
	}
	for lat := -90.0; lat <= 90; lat += fieldLat {
		y := m.at(lonLat{0, lat}).y
		c.DrawLine(0, y, width, y)
	}
	c.stroke(middle, 2)
	c.SetDash()
}

// fieldNames names the fields that have room for it.
func (m flat) fieldNames(c *canvas) {
	if fieldLon*m.perLon < 110 {
		return
	}
	for lon := -180.0; lon < 180; lon += fieldLon {
		for lat := -90.0; lat < 90; lat += fieldLat {
			name := parse.GridAt(lat+fieldLat/2, lon+fieldLon/2, 2).String()
			corner := m.at(lonLat{lon, lat + fieldLat})
			at := xy{corner.x + 36, corner.y + 28}
			if b := c.textBox(name, at, sizeSmall); c.free(b, m.frame()) {
				c.write(name, at.x, at.y, 0.5, sizeSmall, dark)
			}
		}
	}
}

// least is the smallest a square is drawn, in pixels.
const least = 12.0

// box is what a square covers, at least so many pixels wide and high.
func (m flat) box(g parse.Grid, least float64) box {
	p := m.at(centre(g))
	w, h := max(squareLon*m.perLon, least)/2, max(squareLat*m.perLat, least)/2
	return box{p.x - w, p.y - h, p.x + w, p.y + h}
}

// mark draws a square and keeps its place.
func (c *canvas) mark(b box, ground, ink color.Color, thick float64) {
	c.DrawRectangle(b.x0, b.y0, b.x1-b.x0, b.y1-b.y0)
	c.paint(ground, ink, thick)
	c.keep(b)
}

// square draws a square worked, with its name where that fits into it.
func (m flat) square(c *canvas, g parse.Grid) {
	b := m.box(g, least)
	c.mark(b, blue, white, 2)
	if name, p := g.String(), m.at(centre(g)); c.textWidth(name, sizeSmall) < b.x1-b.x0-6 {
		c.write(name, p.x, p.y, 0.5, sizeSmall, white)
	}
}

// newest draws a square of the latest contact, and names it beside it.
func (m flat) newest(c *canvas, g parse.Grid) {
	b := m.box(g, 2*least)
	c.mark(b, yellow, black, 8)
	off := max(b.x1-b.x0, b.y1-b.y0)/2 + 12
	c.label(g.String(), m.at(centre(g)), off, 45, sizeLabel, m.frame(), white, black)
}

func (m flat) frame() box { return box{mapLeft, mapTop, width - mapLeft, mapTop + m.high} }

// border clears what was drawn around a map's field, and frames it.
func border(c *canvas, high float64) {
	const top = mapTop
	c.DrawRectangle(0, 0, width, top)
	c.DrawRectangle(0, top+high, width, float64(c.Height())-top-high)
	c.DrawRectangle(0, 0, mapLeft, float64(c.Height()))
	c.DrawRectangle(width-mapLeft, 0, mapLeft, float64(c.Height()))
	c.fill(white)
	c.DrawRectangle(mapLeft, top, mapWide, high)
	c.stroke(black, 6)
}
