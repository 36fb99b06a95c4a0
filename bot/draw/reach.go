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
	named := r.wanted(c, m)
	fields, near := r.fields(m)
	for _, f := range fields[:near] {
		m.name(c, f)
	}
	for _, w := range named {
		c.label(w.Grid.String(), m.at(centre(w.Grid.Square())), 22, 45, sizeLabel, mapFrame(), white, black)
	}
	for _, f := range fields[near:] {
		m.name(c, f)
	}
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

// A field is one of two letters, with the window that is told of it.
type field struct {
	middle lonLat
	at     lonLat // what the window is of
	window Window
}

// fields are those to be named, the ones around the own place first, which are worked
// most: near is how many they are. Of those it is the square nearest to the middle that
// is told, of the others the middle: north-east of it stands a square for it. The own
// field is named beside the own place.
func (r Reach) fields(m polar) (all []field, near int) {
	reached := map[string]Window{}
	for _, w := range r.Squares {
		reached[w.Grid.String()] = w
	}
	for lon := -170.0; lon < 180; lon += fieldLon {
		for lat := -75.0; lat < 85; lat += fieldLat {
			middle := lonLat{lon, lat}
			if w, ok := reached[parse.GridAt(lat+squareLat/2, lon+squareLon/2, 4).String()]; ok {
				all = append(all, field{middle, middle, w})
			} else if w, ok := r.nearestIn(m, middle); ok && m.apart(middle) <= 1 {
				all = append(all, field{middle, centre(w.Grid), w})
			}
		}
	}
	own := xy{m.x, m.y}
	slices.SortStableFunc(all, func(a, b field) int {
		return cmp.Or(cmp.Compare(min(m.apart(a.middle), 2), min(m.apart(b.middle), 2)), cmp.Compare(m.at(a.middle).apart(own), m.at(b.middle).apart(own)))
	})
	for near < len(all) && m.apart(all[near].middle) <= 1 {
		if m.apart(all[near].middle) == 0 {
			all[near].at = lonLat{m.middle.LonDeg, m.middle.LatDeg}
		}
		near++
	}
	return all, near
}

// apart is how many fields the one around a middle is from the own one.
func (m polar) apart(middle lonLat) int {
	lon, lat := math.Floor(m.middle.LonDeg/fieldLon)*fieldLon+fieldLon/2, math.Floor(m.middle.LatDeg/fieldLat)*fieldLat+fieldLat/2
	dLon := math.Abs(math.Remainder(middle.lon-lon, 360))
	return int(math.Round(max(dLon/fieldLon, math.Abs(middle.lat-lat)/fieldLat)))
}

// nearestIn is the square of a field that is reached and nearest to its middle.
func (r Reach) nearestIn(m polar, middle lonLat) (nearest Window, ok bool) {
	name := parse.GridAt(middle.lat, middle.lon, 2).String()
	for _, w := range r.Squares {
		away := m.at(centre(w.Grid)).apart(m.at(middle))
		if w.Grid.String()[:2] == name && (!ok || away < m.at(centre(nearest.Grid)).apart(m.at(middle))) {
			nearest, ok = w, true
		}
	}
	return nearest, ok
}

// name writes a field's name and minutes within it, where there is room; where there is
// too little, the name alone.
func (m polar) name(c *canvas, f field) {
	name, times := parse.GridAt(f.middle.lat, f.middle.lon, 2).String(), minute(f.window.From, 0)
	if to := minute(f.window.To, 0); to != times {
		times += "–" + to
	}
	size := c.textBox(times, xy{}, sizeSmall)
	size.y0, size.y1 = -42, 40
	p, ok := m.nameAt(c, f, size)
	up := 20.0
	if !ok {
		times, up, size = "", 0, c.textBox(name, xy{}, sizeLabel)
		size.y0, size.y1 = -22, 20
		p, ok = m.nameAt(c, f, size)
	}
	if !ok {
		return
	}
	b := size.at(p)
	c.DrawRoundedRectangle(b.x0-2, b.y0+2, b.x1-b.x0+4, b.y1-b.y0-4, 8)
	c.fill(white)
	c.write(name, p.x, p.y-up, 0.5, sizeLabel, black)
	c.write(times, p.x, p.y+22, 0.5, sizeSmall, black)
}

// nameAt finds room for a field's name: within its borders or, in a narrow one, with its
// middle well within them; as near as can be to what is told.
func (m polar) nameAt(c *canvas, f field, size box) (at xy, ok bool) {
	var spots []xy
	var within []float64 // how far each is from the field's middle, 1: at its border
	for lon := -0.9; lon <= 0.9; lon += 0.1 {
		for lat := -0.9; lat <= 0.9; lat += 0.1 {
			spots = append(spots, m.at(lonLat{f.middle.lon + lon*fieldLon/2, f.middle.lat + lat*fieldLat/2}))
			within = append(within, max(math.Abs(lon), math.Abs(lat)))
		}
	}
	told, outline := m.at(f.at), m.outline(f.middle)
	most := 0.65
	if m.apart(f.middle) <= 1 {
		most = 1 // it is never left without a name
	}
	best := math.Inf(1)
	for i, p := range spots {
		b := size.at(p)
		cost := p.apart(told)
		if !b.isWithin(outline) {
			cost += width // only where there is no room for all of it
		}
		if cost < best && (cost < width || within[i] < most) && c.free(b.grown(6), mapFrame()) {
			at, best = p, cost
		}
	}
	if ok = !math.IsInf(best, 1); ok {
		c.keep(size.at(at))
	}
	return at, ok
}

// outline is the border of a field in the picture.
func (m polar) outline(middle lonLat) (points []xy) {
	const sides = 8 // parts of a side
	w, h := fieldLon/2, fieldLat/2
	corners := []lonLat{{-w, -h}, {w, -h}, {w, h}, {-w, h}, {-w, -h}}
	for i, from := range corners[:4] {
		to := corners[i+1]
		for k := range sides {
			part := float64(k) / sides
			points = append(points, m.at(lonLat{middle.lon + from.lon + part*(to.lon-from.lon), middle.lat + from.lat + part*(to.lat-from.lat)}))
		}
	}
	return points
}

// isWithin reports whether all corners of a box are within an outline.
func (b box) isWithin(outline []xy) bool {
	for _, p := range []xy{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}} {
		inside := false
		before := outline[len(outline)-1]
		for _, q := range outline { // a ray to the right crosses it an odd number of times
			if (q.y > p.y) != (before.y > p.y) && p.x < (before.x-q.x)*(p.y-q.y)/(before.y-q.y)+q.x {
				inside = !inside
			}
			before = q
		}
		if !inside {
			return false
		}
	}
	return true
}

// wanted marks the grids wanted, all of them before the first is named: no name is
// covered by the square beside it. It returns those to be named.
func (r Reach) wanted(c *canvas, m polar) (named []Window) {
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
	return named
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
