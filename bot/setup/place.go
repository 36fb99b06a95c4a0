package setup

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/parse"
	"skyslate/predict"
)

// TakeSpot takes a shared location as the place. A live one moves: it speaks only
// when it crosses into another square, once it is sure of it.
func (p Settings) TakeSpot() {
	s := p.Event.Spot
	if s == nil || !onEarth(s.LatDeg, s.LonDeg) {
		p.Say(say.BadPlace)
		return
	}
	if s.Live && len(p.Op.Place.Grids) > 0 {
		p.moved(parse.GridAt(s.LatDeg, s.LonDeg, 6), *s)
		return
	}
	p.setSpot(s.LatDeg, s.LonDeg, s.AccuracyM)
}

func onEarth(latDeg, lonDeg float64) bool { return math.Abs(latDeg) <= 90 && math.Abs(lonDeg) <= 180 }

// setSpot sets the place by where exactly it is.
func (p Settings) setSpot(latDeg, lonDeg, accuracyM float64) {
	grid := parse.GridAt(latDeg, lonDeg, 6)
	side, corner := borders(latDeg, lonDeg)
	p.setPlace([]parse.Grid{grid}, latDeg, lonDeg, "\n"+settings.Borders(grid.Square(), side, corner, accuracyM))
}

// twoDegrees are coordinates: two figures of degrees, each perhaps with its direction
// before or behind it, and words before them.
var twoDegrees = regexp.MustCompile(`(?i)^(?:[\p{L}': ]* )?` + degrees + `(?:[\s;/]+|,\s*)` + degrees + `\s*$`)

const degrees = `([NSEW])?\s*([+-]?\d{1,3}(?:[.,]\d+)?)\s*°?\s*([NSEW])?\b`

// coordinates reads latitude and longitude in degrees, the latitude first unless a
// direction says otherwise. Two whole numbers without any might be anything.
func coordinates(text string) (latDeg, lonDeg float64, ok bool) {
	m := twoDegrees.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil || !strings.ContainsAny(m[2]+m[5], ".,") && m[1]+m[3]+m[4]+m[6] == "" {
		return 0, 0, false
	}
	read := func(figure, direction string) float64 {
		deg, _ := strconv.ParseFloat(strings.Replace(figure, ",", ".", 1), 64)
		if strings.ContainsAny(direction, "SWsw") {
			deg = -math.Abs(deg)
		}
		return deg
	}
	latDeg, lonDeg = read(m[2], m[1]+m[3]), read(m[5], m[4]+m[6])
	if strings.ContainsAny(m[1]+m[3], "EWew") || strings.ContainsAny(m[4]+m[6], "NSns") {
		latDeg, lonDeg = lonDeg, latDeg
	}
	return latDeg, lonDeg, true
}

// moved follows a live location.
func (p Settings) moved(grid parse.Grid, s event.Spot) {
	own := p.Op.Place.Grids
	inside := slices.ContainsFunc(own, func(g parse.Grid) bool { return g.Square() == grid.Square() })
	side, _ := borders(s.LatDeg, s.LonDeg)
	switch {
	case inside && (len(own) > 1 || own[0] == grid || own[0].Chars() == 4):
		// A line or a corner claimed, or a square named by hand: still there.
		p.Op.Place.Confirmed = p.Event.At
	case inside:
		horizon := p.Op.Place.Horizon
		p.movePlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg)
		p.Op.Place.Horizon = horizon
		if p.Ready() {
			p.Replan()
		}
	case s.AccuracyM > side.Metres:
		// Perhaps across, perhaps not: the next one will tell.
	default:
		text := say.Crossed(own, parse.GridAt(s.LatDeg, s.LonDeg, 6))
		if p.movePlace([]parse.Grid{grid}, s.LatDeg, s.LonDeg) {
			text += "\n" + settings.LevelAgain
		}
		p.settled(text)
	}
}

// borders returns the nearest side and the nearest corner of the square (2° by
// 1°) around a place, in degrees of WGS 84.
func borders(latDeg, lonDeg float64) (side, corner settings.Border) {
	square := parse.GridAt(latDeg, lonDeg, 4)
	lat, lon := square.Center()
	dLat, dLon := math.Copysign(0.5, latDeg-lat), math.Copysign(1, lonDeg-lon)
	here := predict.Site{LatDeg: latDeg, LonDeg: lonDeg}
	to := func(sideLat, sideLon, beyondLat, beyondLon float64) settings.Border {
		there := predict.Site{LatDeg: sideLat, LonDeg: sideLon}
		return settings.Border{
			Metres: predict.DistanceKm(here, there) * 1000,
			Point:  predict.CompassPoint(predict.BearingDeg(here, there)),
			Beyond: parse.GridAt(beyondLat, eastOf(beyondLon), 4),
		}
	}
	side = to(lat+dLat, lonDeg, lat+2*dLat, lon)
	side.Point = toward(dLat, "N", "S")
	if east := to(latDeg, lon+dLon, lat, lon+2*dLon); east.Metres < side.Metres {
		side = east
		side.Point = toward(dLon, "E", "W")
	}
	return side, to(lat+dLat, lon+dLon, lat+2*dLat, lon+2*dLon)
}

// toward names the side that a difference points to, also if it is no distance
// at all.
func toward(d float64, plus, minus string) string {
	if d > 0 {
		return plus
	}
	return minus
}

// eastOf brings a longitude into ±180°.
func eastOf(lonDeg float64) float64 { return math.Remainder(lonDeg, 360) }
