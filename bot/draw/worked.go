package draw

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"

	"skyslate/parse"
)

// A Worked is a map of the grids worked. Grids count as squares: the first four
// characters.
type Worked struct {
	Span    string       // which contacts: "this year"
	Grids   []parse.Grid // in any order, also more than once
	Newest  []parse.Grid // those of the latest contact
	Agreed  []parse.Grid // those of contacts that agree with the station's log
	OwnLat  float64      // the own place, in degrees
	OwnLon  float64
	OwnName string // its grid, or those of a line or a corner
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
	m.borders(c)
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
	m.names(c, squares, newest, around(own, 30))
	agreed := distinct(w.Agreed)
	for _, g := range agreed {
		b := m.box(g, least)
		agrees(c, xy{b.x1, b.y1})
	}
	home(c, own)
	m.letters(c)
	border(c, m.high)
	w.heading(c, len(squares), newest)
	w.signs(c, mapTop+m.high+mapFoot/2, len(squares) > len(newest), len(newest) > 0, len(agreed) > 0)
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
	c.headline(text, "", 62, sizeTitle)
	names := ""
	for _, g := range newest {
		names += " " + g.String()
	}
	if names != "" {
		names = "newest" + names
	}
	c.headline(w.Span, names, 142, sizeText)
}

// signs says what the signs on the map mean, of those that are on it.
func (w Worked) signs(c *canvas, y float64, worked, newest, agreed bool) {
	x, step := 40.0, 300.0
	if agreed {
		step = 265
	}
	square := func(name string) {
		c.DrawRectangle(x, y-22, 64, 44)
		c.write(name, x+84, y, 0, sizeText, black)
		x += step
	}
	if worked {
		square("worked")
		c.fill(blue)
	}
	if newest {
		square("newest")
		c.paint(yellow, black, 8)
	}
	if agreed {
		agrees(c, xy{x + 32, y})
		c.write("agrees", x+64, y, 0, sizeText, black)
		x += 235
	}
	home(c, xy{x + 36, y})
	you := "you, " + w.OwnName
	c.write(you, x+86, y, 0, c.fitted(you, width-20-x-86, sizeText, sizeLabel, sizeSmall, sizeLeast), black)
}

// agrees is the sign, at the corner of a square, of a contact that agrees with the
// station's log.
func agrees(c *canvas, p xy) { c.disc(p, 9, 4, white, black) }

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
			if points, b := m.ring(ring, turn); b.meets(frame) {
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

// squareWide is the width of a square, in pixels, from which the borders of squares
// are drawn and their digits told.
const squareWide = 34.0

// borders draws those of the fields, and of the squares where they are large.
func (m flat) borders(c *canvas) {
	c.SetDash(2, 8)
	defer c.SetDash()
	if squareLon*m.perLon >= squareWide {
		m.grid(c, squareLon, squareLat, 1)
	}
	m.grid(c, fieldLon, fieldLat, 3)
}

func (m flat) grid(c *canvas, lonStep, latStep, thick float64) {
	for lon := -180.0; lon < 180; lon += lonStep {
		x := m.at(lonLat{lon, 0}).x
		c.DrawLine(x, mapTop, x, mapTop+m.high)
	}
	for lat := -90.0; lat <= 90; lat += latStep {
		y := m.at(lonLat{0, lat}).y
		c.DrawLine(0, y, width, y)
	}
	c.stroke(middle, thick)
}

// bandWide is how wide the bands of letters are, in pixels.
const bandWide = 44.0

// letters frames the map: above it the letters and digits of the columns, at its
// left those of the rows, so that one sees which squares are missing.
func (m flat) letters(c *canvas) {
	c.DrawRectangle(mapLeft, mapTop, mapWide, bandWide)
	c.DrawRectangle(mapLeft, mapTop, bandWide, m.high)
	c.fill(white)
	digits := squareLon*m.perLon >= squareWide
	corner := box{mapLeft, mapTop, mapLeft + bandWide, mapTop + bandWide}
	frame := box{mapLeft + 2, mapTop, width - mapLeft, mapTop + m.high}
	// tell names a column or a row of squares or, where these are too small, the
	// field around the fifth of them.
	tell := func(letter, digit string, square, field xy) {
		text, at, ink, size := digit, square, dark, sizeLeast
		switch {
		case digits && digit == "0":
			text, ink = letter+digit, black
		case !digits && digit == "5":
			text, at, ink, size = letter, field, black, sizeSmall
		case !digits:
			return
		}
		if b := c.textBox(text, at, size); b.inside(frame) && !b.meets(corner) {
			c.write(text, at.x, at.y, 0.5, size, ink)
			if digits && digit == "0" { // struck through: beside a letter it would be read as one
				zero := c.textBox(digit, xy{b.x1 - c.textWidth(digit, size)/2, at.y}, size)
				c.line([]xy{{zero.x0 + 3, zero.y1}, {zero.x1 - 3, zero.y0}}, 3, ink)
			}
		}
	}
	x := func(lon float64) xy { return xy{m.at(lonLat{lon, 0}).x, mapTop + bandWide/2} }
	for lon := -180.0; lon < 180; lon += squareLon {
		name := parse.GridAt(0.5, lon+squareLon/2, 4).String()
		tell(name[:1], name[2:3], x(lon+squareLon/2), x(lon))
	}
	y := func(lat float64) xy { return xy{mapLeft + bandWide/2, m.at(lonLat{0, lat}).y} }
	for lat := -90.0; lat < 90; lat += squareLat {
		name := parse.GridAt(lat+squareLat/2, 1, 4).String()
		tell(name[1:2], name[3:], y(lat+squareLat/2), y(lat))
	}
}

// least is the smallest a square is drawn, in pixels.
const least = 12.0

// box is what a square covers, at least so many pixels wide and high.
func (m flat) box(g parse.Grid, least float64) box {
	p := m.at(centre(g))
	w, h := max(squareLon*m.perLon, least)/2, max(squareLat*m.perLat, least)/2
	return box{-w, -h, w, h}.at(p)
}

// mark draws a square and keeps its place.
func (c *canvas) mark(b box, ground, ink color.Color, thick float64) {
	c.rectangle(b)
	c.paint(ground, ink, thick)
	c.keep(b)
}

// square draws a square worked.
func (m flat) square(c *canvas, g parse.Grid) { c.mark(m.box(g, least), blue, white, 2) }

// mostNamed is how many squares are named beside them where a name doesn't fit in.
const mostNamed = 40

// names tells the names of squares worked, in them or beside them, where there is
// room and not over the sign of the own place.
func (m flat) names(c *canvas, squares, newest []parse.Grid, own box) {
	for _, g := range squares {
		name, p, b := g.String(), m.at(centre(g)), m.box(g, least)
		inside := c.fitted(name, b.x1-b.x0-6, sizeSmall, sizeLeast)
		switch {
		case slices.Contains(newest, g):
		case c.textWidth(name, inside) <= b.x1-b.x0-6 && !b.meets(own):
			c.write(name, p.x, p.y, 0.5, inside, white)
		case len(squares) <= mostNamed:
			if at, ok := c.room(p, (b.y1-b.y0)/2, 45, c.textBox(name, xy{}, sizeLeast), m.frame(), nearby); ok {
				c.tag(name, at, sizeLeast, black, white)
			}
		}
	}
}

// newest draws a square of the latest contact, and names it beside it.
func (m flat) newest(c *canvas, g parse.Grid) {
	b := m.box(g, 2*least)
	c.mark(b, yellow, black, 8)
	off := max(b.x1-b.x0, b.y1-b.y0)/2 + 12
	c.label(g.String(), m.at(centre(g)), off, 45, sizeLabel, m.frame(), white, black)
}

// frame is where names may stand: inside of the letters.
func (m flat) frame() box {
	return box{mapLeft + bandWide, mapTop + bandWide, width - mapLeft, mapTop + m.high}
}

// border clears what was drawn around a map's field, and frames it.
func border(c *canvas, high float64) {
	field := box{mapLeft, mapTop, mapLeft + mapWide, mapTop + high}
	c.SetFillRuleEvenOdd()
	c.DrawRectangle(0, 0, width, float64(c.Height()))
	c.rectangle(field)
	c.fill(white)
	c.SetFillRuleWinding()
	c.rectangle(field)
	c.stroke(black, 6)
}
