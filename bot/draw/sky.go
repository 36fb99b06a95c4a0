package draw

import (
	"fmt"
	"image/color"
	"math"
	"slices"
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

func (s Spot) place() xy { return place(s.AzDeg, s.ElDeg) }

// A Turn is a moment at which the dial changes, and what it shows from then on.
type Turn struct {
	Spot
	Dial string // "436.240"
}

// A Sky is one pass over the own place. Clock times are UTC.
type Sky struct {
	Bird    string
	OwnName string // of the place, as the operator says it; empty: none is told
	Track   []Spot // from AOS to LOS, a few seconds apart, at least two
	Peak    Spot
	Turns   []Turn          // the first one is what is dialled at AOS; of many, some are left out
	Side    string          // which dial turns: "receive" or "transmit"; "" if none does
	Horizon predict.Horizon // the own one, nil where the sky is open
	Sun     Spot            // at the peak; not drawn below the horizon
	Now     time.Time       // marked where the bird is then, if that is within the pass
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
	every := max(1, (len(s.Turns)+mostTurns-1)/mostTurns)
	var told []Turn
	for some := range slices.Chunk(s.Turns, every) {
		told = append(told, some[0])
	}
	s.Turns = told
	rows := (len(s.Turns) + 1) / 2
	height := 1270
	if rows > 0 {
		height += 92 + rowHigh*rows
	}
	c, err := newCanvas(height)
	if err != nil {
		return nil, err
	}
	of := s.Bird
	if s.OwnName != "" {
		of += " in " + s.OwnName
	}
	c.heading(of, fmt.Sprintf("peak %.0f°", s.Peak.ElDeg), s.Track[0].At, s.Track[len(s.Track)-1].At)
	dome(c)
	s.obstacles(c)
	s.sun(c)
	s.track(c)
	s.legend(c)
	return encode(c.image, palette)
}

// place is where a point of the sky stands in the picture.
func place(azDeg, elDeg float64) xy {
	return overhead.off(azDeg, domeR*(90-max(elDeg, 0))/90)
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
		c.keep(around(p, 38))
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
	c.SetFillRuleEvenOdd()
	c.SetFillStyle(stripes{})
	c.Fill()
	c.SetFillRuleWinding()
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
		c.label("hidden", p, -20, most.FromDeg+wide(most)/2, sizeLabel, s.frame(), black, white)
	}
}

// wide is how many degrees of azimuth a sector spans.
func wide(o predict.Sector) float64 {
	if o.ToDeg < o.FromDeg {
		o.ToDeg += 360
	}
	return o.ToDeg - o.FromDeg
}

// sun draws a disc with rays, and its name.
func (s Sky) sun(c *canvas) {
	if s.Sun.ElDeg < 0 {
		return
	}
	p := s.Sun.place()
	for i := range 12 {
		c.line([]xy{p.off(30*float64(i), 40), p.off(30*float64(i), 58)}, 8, black)
	}
	c.disc(p, 32, 6, yellow, black)
	c.keep(around(p, 58))
}

// track draws the path and all that stands along it.
func (s Sky) track(c *canvas) {
	var path []xy
	for _, spot := range s.Track {
		p := spot.place()
		path = append(path, p)
		c.keep(around(p, 12))
	}
	c.line(path, 26, white)
	c.line(path, 14, black)
	s.end(c, s.Track[0], "AOS", black)
	s.end(c, s.Track[len(s.Track)-1], "LOS", white)
	peak := s.Peak.place()
	c.DrawRegularPolygon(3, peak.x, peak.y, 34, 0)
	c.paint(white, black, 8)
	c.keep(around(peak, 28))
	s.now(c)
	c.label("peak "+clock(s.Peak.At), peak, 40, s.outward(s.Peak), sizeText, s.frame(), white, black)
	if s.Sun.ElDeg >= 0 {
		c.label("sun", s.Sun.place(), 62, 180, sizeLabel, s.frame(), black, yellow)
	}
	s.marks(c)
	s.times(c)
	s.hidden(c)
	rings(c)
}

// now marks where the bird is while the pass runs.
func (s Sky) now(c *canvas) {
	if s.Now.Before(s.Track[0].At) || s.Now.After(s.Track[len(s.Track)-1].At) {
		return
	}
	spot := s.between(s.Now)
	p := spot.place()
	c.disc(p, 26, 6, blue, white)
	c.keep(around(p, 30))
	c.label("now "+clock(s.Now), p, 36, s.outward(spot)+180, sizeText, s.frame(), white, blue)
}

// rings names the rings of elevation where there is room.
func rings(c *canvas) {
	for _, el := range []float64{30, 60} {
		for az := 0.0; az < 360; az += 15 {
			p := place(az, el)
			text := fmt.Sprintf("%.0f°", el)
			if at := c.textBox(text, p, sizeSmall); c.free(at, around(overhead, domeR)) {
				c.tag(text, p, sizeSmall, dark, white)
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
	// AOS, LOS and the peak have marks of their own.
	marked := []xy{s.Track[0].place(), s.Track[len(s.Track)-1].place(), s.Peak.place()}
	for i, turn := range s.Turns {
		p, out := turn.place(), s.outward(turn.Spot)
		if i == 0 || slices.ContainsFunc(marked, func(q xy) bool { return p.apart(q) < 4 }) {
			continue
		}
		bar := []xy{p.off(out, -24), p.off(out, 24)}
		c.line(bar, 18, white)
		c.line(bar, 10, black)
	}
	ring := around(xy{}, numberR)
	for i, turn := range s.Turns {
		p := turn.place()
		if at, ok := c.room(p, 30, s.outward(turn.Spot)+180, ring, s.frame(), anywhere); ok {
			c.line([]xy{p, at}, 4, black)
			numbered(c, i+1, at)
		}
	}
}

const numberR = 32

// numbered draws a number in a ring.
func numbered(c *canvas, n int, p xy) {
	c.disc(p, numberR-2, 6, white, black)
	c.write(strconv.Itoa(n), p.x, p.y, 0.5, sizeLabel, black)
}

// end marks AOS or LOS: a large dot on the rim, filled or hollow.
func (s Sky) end(c *canvas, spot Spot, name string, fill color.Color) {
	p := spot.place()
	c.disc(p, 24, 8, fill, black)
	c.keep(around(p, 28))
	text := fmt.Sprintf("%s %03d°", name, int(math.Round(spot.AzDeg))%360)
	// Beside the dot along the rim, away from the track: there is most room.
	c.label(text, p, 34, spot.AzDeg, sizeText, s.frame(), white, black)
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
		p := spot.place()
		if p.apart(before) < timesApart || p.apart(end) < timesApart {
			continue
		}
		text := at.UTC().Format("15:04")
		at, ok := c.room(p, 24, s.outward(spot), c.textBox(text, xy{}, sizeLabel), s.frame(), nearby)
		if !ok {
			continue
		}
		before = p
		c.disc(p, 9, 3, white, black)
		c.tag(text, at, sizeLabel, black, white)
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
	p, q := a.place(), b.place()
	at := spot.place()
	along := math.Atan2(q.x-p.x, p.y-q.y) * 180 / math.Pi
	right := along + 90
	sin, cos := math.Sincos(right * math.Pi / 180)
	if sin*(at.x-domeX)-cos*(at.y-domeY) < 0 {
		return right + 180
	}
	return right
}

// legend lists what the dial shows from which moment on, under the numbers that
// stand along the track.
func (s Sky) legend(c *canvas) {
	if len(s.Turns) == 0 {
		return
	}
	top := domeY + domeR + 106
	c.line([]xy{{40, top - 10}, {width - 40, top - 10}}, 4, black)
	c.write(strings.ToUpper(s.Side[:1])+s.Side[1:]+" dial (UTC, MHz)", 40, top+34, 0, sizeText, black)
	rows := (len(s.Turns) + 1) / 2
	for i, turn := range s.Turns {
		x, y := 40+float64(i/rows)*520, top+108+rowHigh*float64(i%rows)
		numbered(c, i+1, xy{x + 30, y})
		c.write(clock(turn.At), x+80, y, 0, sizeText, black)
		c.write(turn.Dial, x+470, y, 1, sizeText, black)
	}
}
