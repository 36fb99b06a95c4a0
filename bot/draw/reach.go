package draw

import (
	"cmp"
	"fmt"
	"image"
	"image/draw"
	"math"
	"slices"
	"time"

	"skyslate/parse"
	"skyslate/predict"
)

// A Window is when a grid and the own place see the bird at once; the zero times
// where they never do.
type Window struct {
	Grid     parse.Grid
	From, To time.Time
}

func (w Window) open() bool { return w.To.After(w.From) }

// A Reach is what one pass reaches, and when, around the own place. Clock times
// are UTC.
type Reach struct {
	Bird     string
	AOS, LOS time.Time
	OwnLat   float64 // the own place, in degrees
	OwnLon   float64
	OwnName  string   // its grid, or those of a line or a corner
	Squares  []Window // grids of four characters that are reached
	Wanted   []Window // grids wanted, reached or not
}

// MostWanted is how many grids wanted a [Reach] has room for.
const MostWanted = 8

const (
	reachHigh    = 1056.0 // of the map, in pixels
	leastReachKm = 1500.0
	wantedHigh   = 66.0
)

// PNG draws it.
func (r Reach) PNG() ([]byte, error) {
	r.Wanted = r.Wanted[:min(len(r.Wanted), MostWanted)]
	foot := 150 + wantedHigh*float64((len(r.Wanted)+1)/2)
	c, err := newCanvas(int(mapTop + reachHigh + foot))
	if err != nil {
		return nil, err
	}
	m := r.around()
	c.DrawRectangle(0, mapTop, width, reachHigh)
	c.fill(pale)
	for _, w := range r.Squares {
		m.cell(c, w.Grid)
	}
	c.fill(white)
	m.shores(c)
	m.borders(c)
	own := xy{m.x, m.y}
	c.keep(around(own, 36))
	r.wanted(c, m)
	r.names(c, m)
	home(c, own)
	border(c, reachHigh)
	r.words(c)
	return encode(c.image, palette)
}

// A polar is a map around a place: every direction and distance from there is
// true.
type polar struct {
	middle predict.Site
	x, y   float64 // the place in the picture
	perKm  float64
}

// around fits what is reached into the picture. The own place stands in its
// middle.
func (r Reach) around() polar {
	m := polar{middle: predict.Site{LatDeg: r.OwnLat, LonDeg: r.OwnLon}, x: width / 2, y: mapTop + reachHigh/2}
	far := leastReachKm
	for _, w := range r.Squares {
		far = max(far, predict.DistanceKm(m.middle, centre(w.Grid).site()))
	}
	m.perKm = reachHigh / 2 / (far + 150)
	return m
}

func (m polar) at(p lonLat) xy {
	km, az := predict.DistanceKm(m.middle, p.site()), predict.BearingDeg(m.middle, p.site())
	return xy{m.x, m.y}.off(az, km*m.perKm)
}

// seen reports whether a point is in the picture or near it.
func seen(p xy) bool {
	return p.x > -200 && p.x < width+200 && p.y > mapTop-200 && p.y < mapTop+reachHigh+200
}

// cell adds a square to the path, a little larger so that neighbours join.
func (m polar) cell(c *canvas, g parse.Grid) {
	p := centre(g)
	const w, h = squareLon/2 + 0.03, squareLat/2 + 0.03
	c.path([]xy{
		m.at(lonLat{p.lon - w, min(p.lat+h, 90)}), m.at(lonLat{p.lon + w, min(p.lat+h, 90)}),
		m.at(lonLat{p.lon + w, max(p.lat-h, -90)}), m.at(lonLat{p.lon - w, max(p.lat-h, -90)}),
	})
	c.ClosePath()
}

// shores draws the coastlines, without what is too fine to be told apart. Land is
// not filled: on such a map a ring around the far side of the Earth has no inside.
func (m polar) shores(c *canvas) {
	for _, ring := range land() {
		points := []xy{m.at(ring[len(ring)-1])}
		for i, p := range ring {
			if at := m.at(p); i == len(ring)-1 || at.apart(points[len(points)-1]) >= shoreApart {
				points = append(points, at)
			}
		}
		if slices.ContainsFunc(points, func(p xy) bool { return p.apart(points[0]) >= leastShore }) {
			c.visible(points)
		}
	}
	c.stroke(dark, 3)
}

// What of a shore is drawn, in pixels: rings of that size, and points so far apart.
const (
	leastShore = 14.0
	shoreApart = 6.0
)

// visible adds to the path what of a line is in the picture or near it.
func (c *canvas) visible(line []xy) {
	c.NewSubPath()
	for _, p := range line {
		if seen(p) {
			c.LineTo(p.x, p.y)
		} else {
			c.NewSubPath()
		}
	}
}

// borders dots the borders of the fields: thin curves with smooth edges would make
// a third of the file.
func (m polar) borders(c *canvas) {
	const step = 0.5
	for lon := -180.0; lon < 180; lon += fieldLon {
		before := m.at(lonLat{lon, -80})
		for lat := -80.0; lat <= 80; lat += step {
			before = m.dot(c, before, lonLat{lon, lat})
		}
	}
	for lat := -80.0; lat <= 80; lat += fieldLat {
		before := m.at(lonLat{-180, lat})
		for lon := -180.0; lon < 180; lon += step {
			before = m.dot(c, before, lonLat{lon, lat})
		}
	}
}

// dotsApart is how far apart the dots of a border are, in pixels.
const dotsApart = 14.0

// dot sets a point of the map, on whole pixels, where it is far enough from the
// one before, and returns the last one set.
func (m polar) dot(c *canvas, before xy, p lonLat) xy {
	at := m.at(p)
	if at.apart(before) < dotsApart {
		return before
	}
	x, y := int(at.x), int(at.y)
	inside := image.Rect(0, mapTop, width, mapTop+reachHigh)
	draw.Draw(c.image, image.Rect(x-2, y-2, x+2, y+2).Intersect(inside), image.NewUniform(dark), image.Point{}, draw.Src)
	return at
}

func mapFrame() box { return box{mapLeft + 6, mapTop + 6, width - mapLeft - 6, mapTop + reachHigh - 6} }

// names writes into each field its name and the minutes in which its middle is
// reached.
func (r Reach) names(c *canvas, m polar) {
	reached := map[string]Window{}
	for _, w := range r.Squares {
		reached[w.Grid.String()] = w
	}
	var fields []lonLat
	for lon := -170.0; lon < 180; lon += fieldLon {
		for lat := -75.0; lat < 85; lat += fieldLat {
			fields = append(fields, lonLat{lon, lat})
		}
	}
	// Those around the own place come first: they are worked most.
	own := xy{m.x, m.y}
	away := func(p lonLat) float64 {
		if math.Abs(p.lon-m.middle.LonDeg) <= fieldLon/2 && math.Abs(p.lat-m.middle.LatDeg) <= fieldLat/2 {
			return 0
		}
		return m.at(p).apart(own)
	}
	slices.SortStableFunc(fields, func(a, b lonLat) int { return cmp.Compare(away(a), away(b)) })
	for _, middle := range fields {
		// The square north-east of the field's middle stands for it.
		g := parse.GridAt(middle.lat+squareLat/2, middle.lon+squareLon/2, 4)
		if w, ok := reached[g.String()]; ok {
			m.name(c, middle, g.String()[:2], w)
		}
	}
}

// name writes a field's name and minutes near its middle, where there is room, and
// the own field's beside the sign of the own place.
func (m polar) name(c *canvas, middle lonLat, name string, w Window) {
	times := minute(w.From, 0)
	if to := minute(w.To, 0); to != times {
		times += "–" + to
	}
	size := c.textBox(times, xy{}, sizeSmall)
	size.y0, size.y1 = -42, 40
	p, ok := m.nameAt(c, middle, size, name == parse.GridAt(m.middle.LatDeg, m.middle.LonDeg, 2).String())
	if !ok {
		return
	}
	b := size.at(p)
	c.DrawRoundedRectangle(b.x0-2, b.y0+2, b.x1-b.x0+4, b.y1-b.y0-4, 8)
	c.fill(white)
	c.write(name, p.x, p.y-20, 0.5, sizeLabel, black)
	c.write(times, p.x, p.y+22, 0.5, sizeSmall, black)
}

// nameAt finds room for a field's name.
func (m polar) nameAt(c *canvas, middle lonLat, size box, own bool) (at xy, ok bool) {
	if own {
		inward := 180.0
		if middle.lat > m.middle.LatDeg {
			inward = 0
		}
		return c.room(xy{m.x, m.y}, 38, inward, size, mapFrame(), nearby)
	}
	for _, off := range []lonLat{{}, {0, -2}, {0, 2}, {-4, 0}, {4, 0}, {0, -4.5}, {0, 4.5}, {-5, -2.5}, {5, -2.5}, {-5, 2.5}, {5, 2.5}} {
		at = m.at(lonLat{middle.lon + off.lon, middle.lat + off.lat})
		if b := size.at(at); c.free(b, mapFrame()) {
			c.keep(b)
			return at, true
		}
	}
	return c.room(m.at(middle), 0, 0, size, mapFrame(), anywhere[:4])
}

// wanted marks the grids wanted, all of them before the first is named: no name is
// covered by the square beside it.
func (r Reach) wanted(c *canvas, m polar) {
	var named []Window
	for _, w := range r.Wanted {
		p := m.at(centre(w.Grid.Square()))
		if !around(p, 1).inside(mapFrame()) {
			continue
		}
		m.cell(c, w.Grid.Square())
		ground := white
		if w.open() {
			ground = yellow
		}
		c.paint(ground, black, 7)
		c.keep(around(p, 14))
		named = append(named, w)
	}
	for _, w := range named {
		c.label(w.Grid.String(), m.at(centre(w.Grid.Square())), 22, 45, sizeLabel, mapFrame(), white, black)
	}
}

// words are the heading and what stands below the map.
func (r Reach) words(c *canvas) {
	c.heading(r.Bird+" reaches", "", r.AOS, r.LOS)
	y := mapTop + reachHigh + 44
	mid := r.AOS.Add(r.LOS.Sub(r.AOS) / 2).UTC()
	c.write(fmt.Sprintf("white: reached   %s–%s: from %s to %s", minute(mid, -2), minute(mid, 2),
		mid.Add(-2*time.Minute).Format("15:04"), mid.Add(2*time.Minute).Format("15:04")), 40, y, 0, sizeLabel, black)
	home(c, xy{76, y + 66})
	c.write("you, "+r.OwnName, 130, y+66, 0, sizeLabel, black)
	// Those never reached come last.
	inOrder := slices.SortedStableFunc(slices.Values(r.Wanted), func(a, b Window) int {
		switch {
		case a.open() == b.open():
			return a.From.Compare(b.From)
		case a.open():
			return -1
		}
		return 1
	})
	for i, w := range inOrder {
		text := w.Grid.String() + " not reached"
		if w.open() {
			text = fmt.Sprintf("%s %s–%s", w.Grid, whole(w.From).Format("15:04"), whole(w.To).Format("15:04"))
		}
		c.write(text, 40+520*float64(i%2), y+134+wantedHigh*float64(i/2), 0, sizeLabel, black)
	}
}

func minute(t time.Time, off int) string {
	return whole(t.Add(time.Duration(off) * time.Minute)).Format("04")
}

// whole is a moment in UTC to the second, so that a pass that rises a hair before
// the minute rises in it.
func whole(t time.Time) time.Time { return t.UTC().Round(time.Second) }
