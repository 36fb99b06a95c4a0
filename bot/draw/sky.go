package draw

import (
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"
	"time"

	"skyslate/predict"
)

// A Spot is a point of the sky at a moment: true azimuth and elevation in
// degrees.
type Spot struct {
	At    time.Time
	AzDeg float64
	ElDeg float64
}

// A Turn is a moment at which the dial changes, and what it shows from then on.
type Turn struct {
	Spot
	Dial string // "436.240"
}

// A Sky is one pass over the own place. Clock times are UTC.
type Sky struct {
	Bird    string
	Track   []Spot // from AOS to LOS, a few seconds apart, at least two
	Peak    Spot
	Turns   []Turn          // the first one is what is dialled at AOS; of many, some are left out
	Side    string          // which dial turns: "receive" or "transmit"; "" if none does
	Horizon predict.Horizon // the own one, nil where the sky is open
	Sun     Spot            // at the peak; not drawn below the horizon
}

// The dome of the sky: its middle is overhead, its rim the level horizon.
const (
	domeX, domeY = width / 2, 740.0
	domeR        = 435.0
)

var overhead = xy{domeX, domeY}

// rowHigh is the height of a row of the legend.
const rowHigh = 74

// mostTurns is how many changes of the dial there is room for. Of more, every
// second is told, or every third: what is told is still right at its moment.
const mostTurns = 8

// PNG draws it. There is an error only for a track without a length.
func (s Sky) PNG() ([]byte, error) {
	if len(s.Track) < 2 {
		return nil, fmt.Errorf("a track of %d points", len(s.Track))
	}
	s.Turns = thinned(s.Turns)
	rows := (len(s.Turns) + 1) / 2
	height := 1270
	if rows > 0 {
		height += 92 + rowHigh*rows
	}
	c, err := newCanvas(height)
	if err != nil {
		return nil, err
	}
	s.heading(c)
	dome(c)
	s.obstacles(c)
	s.sun(c)
	s.track(c)
	s.legend(c)
	return c.png()
}

// place is where a point of the sky stands in the picture.
func place(azDeg, elDeg float64) xy {
	return overhead.off(azDeg, domeR*(90-max(elDeg, 0))/90)
}

func (s Sky) heading(c *canvas) {
	first, last := s.Track[0], s.Track[len(s.Track)-1]
	c.heading(s.Bird, first.At, last.At)
	c.write(fmt.Sprintf("peak %.0f°", s.Peak.ElDeg), width-40, 62, 1, sizeTitle, black)
}

func clock(t time.Time) string { return t.UTC().Round(time.Second).Format("15:04:05") }

// dome draws the rim, two rings of elevation and the points of the compass.
func dome(c *canvas) {
	c.DrawCircle(domeX, domeY, domeR)
	c.stroke(black, 8)
	c.SetColor(middle)
	c.SetLineWidth(3)
	c.SetDash(4, 12)
	for _, el := range []float64{30, 60} {
		c.DrawCircle(domeX, domeY, domeR*(90-el)/90)
		c.Stroke()
	}
	c.SetDash()
	for az := 0.0; az < 360; az += 30 {
		c.line([]xy{overhead.off(az, domeR-4), overhead.off(az, domeR+16)}, 6, black)
	}
	for i, name := range []string{"N", "E", "S", "W"} {
		p := overhead.off(90*float64(i), domeR+50)
		c.write(name, p.x, p.y, 0.5, sizeTitle, black)
		c.keep(around(p.x, p.y, 38))
	}
	c.line([]xy{{domeX - 16, domeY}, {domeX + 16, domeY}}, 4, dark)
	c.line([]xy{{domeX, domeY - 16}, {domeX, domeY + 16}}, 4, dark)
}

// obstacles hatches what the own horizon hides.
func (s Sky) obstacles(c *canvas) {
	if len(s.Horizon) == 0 {
		return
	}
	var edge []xy
	for az := 0.0; az <= 360; az++ {
		edge = append(edge, place(az, s.Horizon.MinElDeg(math.Mod(az, 360))))
	}
	c.DrawCircle(domeX, domeY, domeR-4)
	c.path(edge)
	c.ClosePath()
	c.hatch()
	c.line(edge, 5, black)
}

// hidden names the largest part of the sky that is hidden.
func (s Sky) hidden(c *canvas) {
	var most predict.Sector
	size := func(o predict.Sector) float64 { return wide(o) * o.MinElDeg }
	for _, o := range s.Horizon {
		if size(o) > size(most) {
			most = o
		}
	}
	if size(most) > 0 {
		p := place(most.FromDeg+wide(most)/2, most.MinElDeg/2)
		c.label("hidden", p.x, p.y, -20, most.FromDeg+wide(most)/2, sizeLabel, s.frame(), black, white)
	}
}

// wide is how many degrees of azimuth a sector spans.
func wide(o predict.Sector) float64 {
	if o.ToDeg < o.FromDeg {
		return o.ToDeg + 360 - o.FromDeg
	}
	return o.ToDeg - o.FromDeg
}

// sun draws a disc with rays, and its name.
func (s Sky) sun(c *canvas) {
	if s.Sun.ElDeg < 0 {
		return
	}
	p := place(s.Sun.AzDeg, s.Sun.ElDeg)
	for i := range 12 {
		c.line([]xy{p.off(30*float64(i), 40), p.off(30*float64(i), 58)}, 8, black)
	}
	c.disc(p.x, p.y, 32, 6, yellow, black)
	c.keep(around(p.x, p.y, 58))
}

// track draws the path and all that stands along it.
func (s Sky) track(c *canvas) {
	var path []xy
	for _, spot := range s.Track {
		p := place(spot.AzDeg, spot.ElDeg)
		path = append(path, p)
		c.keep(around(p.x, p.y, 12))
	}
	c.line(path, 26, white)
	c.line(path, 14, black)
	first, last := s.Track[0], s.Track[len(s.Track)-1]
	s.end(c, first, "AOS", black)
	s.end(c, last, "LOS", white)
	s.peak(c)
	s.marks(c)
	s.times(c)
	s.hidden(c)
	rings(c)
	if s.Sun.ElDeg >= 0 {
		p := place(s.Sun.AzDeg, s.Sun.ElDeg)
		c.label("sun", p.x, p.y, 62, 180, sizeLabel, s.frame(), black, yellow)
	}
}

// rings names the rings of elevation where there is room.
func rings(c *canvas) {
	for _, el := range []float64{30, 60} {
		for az := 0.0; az < 360; az += 15 {
			p := place(az, el)
			text := fmt.Sprintf("%.0f°", el)
			if at := c.textBox(text, p.x, p.y, sizeSmall); c.free(at, around(domeX, domeY, domeR)) {
				c.tag(text, p.x, p.y, sizeSmall, dark, white)
				c.keep(at)
				break
			}
		}
	}
}

// frame is where labels may stand.
func (s Sky) frame() box { return box{12, 186, width - 12, domeY + domeR + 76} }

// marks crosses the track where the dial turns, and numbers the crossings on
// the side of overhead; the clock times stand on the other.
func (s Sky) marks(c *canvas) {
	for i, turn := range s.Turns {
		p, out := place(turn.AzDeg, turn.ElDeg), s.outward(turn.Spot)
		if i == 0 || s.marked(p) {
			continue
		}
		bar := []xy{p.off(out, -24), p.off(out, 24)}
		c.line(bar, 18, white)
		c.line(bar, 10, black)
	}
	for i, turn := range s.Turns {
		s.number(c, i+1, turn.Spot)
	}
}

// marked reports whether AOS, LOS or the peak is marked at a point already.
func (s Sky) marked(p xy) bool {
	for _, spot := range []Spot{s.Track[0], s.Track[len(s.Track)-1], s.Peak} {
		if p.apart(place(spot.AzDeg, spot.ElDeg)) < 4 {
			return true
		}
	}
	return false
}

// number sets the number of a turn beside the track.
func (s Sky) number(c *canvas, n int, spot Spot) {
	p := place(spot.AzDeg, spot.ElDeg)
	x, y, ok := c.room(p.x, p.y, 30, s.outward(spot)+180, box{-numberR, -numberR, numberR, numberR}, s.frame(), anywhere)
	if !ok {
		return
	}
	c.line([]xy{p, {x, y}}, 4, black)
	numbered(c, n, x, y)
}

const numberR = 32

// numbered draws a number in a ring.
func numbered(c *canvas, n int, x, y float64) {
	c.disc(x, y, numberR-2, 6, white, black)
	c.write(strconv.Itoa(n), x, y, 0.5, sizeLabel, black)
}

// end marks AOS or LOS: a large dot on the rim, filled or hollow.
func (s Sky) end(c *canvas, spot Spot, name string, fill color.Color) {
	p := place(spot.AzDeg, spot.ElDeg)
	c.disc(p.x, p.y, 24, 8, fill, black)
	c.keep(around(p.x, p.y, 28))
	text := fmt.Sprintf("%s %s", name, degrees(spot.AzDeg))
	// Beside the dot along the rim, away from the track: there is most room.
	c.label(text, p.x, p.y, 34, spot.AzDeg, sizeText, s.frame(), white, black)
}

// degrees is an azimuth in whole degrees, three digits.
func degrees(az float64) string { return fmt.Sprintf("%03d°", int(math.Round(az))%360) }

// peak marks the highest point with a triangle.
func (s Sky) peak(c *canvas) {
	p := place(s.Peak.AzDeg, s.Peak.ElDeg)
	c.DrawRegularPolygon(3, p.x, p.y, 34, 0)
	c.paint(yellow, black, 6)
	c.keep(around(p.x, p.y, 28))
	c.label("peak "+clock(s.Peak.At), p.x, p.y, 40, s.outward(s.Peak), sizeText, s.frame(), white, black)
}

// times writes clock times along the track, at every full minute that is a
// multiple of two, or of one on short passes.
func (s Sky) times(c *canvas) {
	first, last := s.Track[0].At, s.Track[len(s.Track)-1].At
	every := 2 * time.Minute
	if last.Sub(first) < 6*time.Minute {
		every = time.Minute
	}
	before, end := place(s.Track[0].AzDeg, 0), place(s.Track[len(s.Track)-1].AzDeg, 0)
	for at := first.Truncate(every).Add(every); at.Before(last); at = at.Add(every) {
		spot := s.between(at)
		p := place(spot.AzDeg, spot.ElDeg)
		if p.apart(before) < timesApart || p.apart(end) < timesApart {
			continue
		}
		text := at.UTC().Format("15:04")
		x, y, ok := c.room(p.x, p.y, 24, s.outward(spot), c.textBox(text, 0, 0, sizeLabel), s.frame(), nearby)
		if !ok {
			continue
		}
		before = p
		c.disc(p.x, p.y, 9, 3, white, black)
		c.tag(text, x, y, sizeLabel, black, white)
	}
}

// timesApart is the least distance between two times, and to AOS and LOS, whose
// times are told above, in pixels.
const timesApart = 75.0

// between is the track at a moment.
func (s Sky) between(at time.Time) Spot {
	for i := 1; i < len(s.Track); i++ {
		a, b := s.Track[i-1], s.Track[i]
		if at.After(b.At) {
			continue
		}
		part := float64(at.Sub(a.At)) / float64(b.At.Sub(a.At))
		turn := math.Mod(b.AzDeg-a.AzDeg+540, 360) - 180
		return Spot{at, a.AzDeg + part*turn, a.ElDeg + part*(b.ElDeg-a.ElDeg)}
	}
	return s.Track[len(s.Track)-1]
}

// outward is the direction in the picture, clockwise from up, that leads off the
// track on the side away from overhead.
func (s Sky) outward(spot Spot) float64 {
	a, b := s.between(spot.At.Add(-20*time.Second)), s.between(spot.At.Add(20*time.Second))
	p, q := place(a.AzDeg, a.ElDeg), place(b.AzDeg, b.ElDeg)
	at := place(spot.AzDeg, spot.ElDeg)
	along := math.Atan2(q.x-p.x, p.y-q.y) * 180 / math.Pi
	right := along + 90
	sin, cos := math.Sincos(right * math.Pi / 180)
	if sin*(at.x-domeX)-cos*(at.y-domeY) < 0 {
		return right + 180
	}
	return right
}

// thinned leaves the first of the turns and as many of the others as there is
// room for.
func thinned(turns []Turn) []Turn {
	every := (len(turns) + mostTurns - 1) / mostTurns
	var kept []Turn
	for i := 0; i < len(turns); i += every {
		kept = append(kept, turns[i])
	}
	return kept
}

// legend lists what the dial shows from which moment on, under the numbers that
// stand along the track.
func (s Sky) legend(c *canvas) {
	if len(s.Turns) == 0 {
		return
	}
	top := domeY + domeR + 106
	c.line([]xy{{40, top - 10}, {width - 40, top - 10}}, 4, black)
	c.write(upper(s.Side)+" dial (UTC, MHz)", 40, top+34, 0, sizeText, black)
	rows := (len(s.Turns) + 1) / 2
	for i, turn := range s.Turns {
		x, y := 40+float64(i/rows)*520, top+108+rowHigh*float64(i%rows)
		numbered(c, i+1, x+30, y)
		c.write(clock(turn.At), x+80, y, 0, sizeText, black)
		c.write(turn.Dial, x+470, y, 1, sizeText, black)
	}
}

// upper begins a word with a capital.
func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
