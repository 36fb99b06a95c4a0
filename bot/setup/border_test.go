package setup

import (
	"math"
	"testing"

	"skyslate/bot/layout"
	"skyslate/bot/say/settings"
	"skyslate/parse"
)

// A minute of latitude on the sphere of radius 6371.0088 km (IUGG mean radius
// R1) is 1853.25 m; a minute of longitude is that times the cosine of the
// latitude.
func TestBorders(t *testing.T) {
	const minute = 6371008.8 * math.Pi / 180 / 60
	for _, c := range []struct {
		lat, lon     float64
		side, corner float64
		point, to    string
	}{
		{62 + 59.0/60, -7.5, minute, 0, "N", "IP63"},
		{62 + 1.0/60, -7, minute, 0, "S", "IP61"},
		{0.5, 1.0 / 60, minute, 0, "W", "IJ90"},
		{0.5, 179 + 59.0/60, minute, 0, "E", "AJ00"}, // over the date line
		{1.0 / 60, 2.0 / 60, minute, minute * math.Sqrt(5), "S", "JI09"},
	} {
		side, corner := borders(c.lat, c.lon)
		if math.Abs(side.Metres-c.side) > 1 || side.Point != c.point || side.Beyond.String() != c.to {
			t.Errorf("%f,%f: nearest side %+v, want %.0f m %s to %s", c.lat, c.lon, side, c.side, c.point, c.to)
		}
		if c.corner > 0 && math.Abs(corner.Metres-c.corner) > 1 {
			t.Errorf("%f,%f: nearest corner %+v, want %.0f m", c.lat, c.lon, corner, c.corner)
		}
		for _, accuracy := range []float64{0, 5, 300, 3000} {
			text := settings.Borders(parse.GridAt(c.lat, c.lon, 4), side, corner, accuracy)
			if layout.Fit(text) != text {
				t.Errorf("too wide or too long:\n%s", text)
			}
		}
	}
}
