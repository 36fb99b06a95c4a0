package say

import (
	"strings"
	"testing"

	"skyslate/parse"
)

func TestMeeting(t *testing.T) {
	for _, c := range []struct {
		grids    string
		lat, lon float64
	}{
		{"JO33", 53.5, 7},
		{"JO33 JO43", 53.5, 8},         // the line between them
		{"JO33 JO34 JO43 JO44", 54, 8}, // the corner
		{"RA90 AA00", -89.5, 180},      // across the date line
	} {
		var grids []parse.Grid
		for g := range strings.FieldsSeq(c.grids) {
			grids = append(grids, parse.MustParseGrid(g))
		}
		site := Meeting(grids)
		lat, lon := site.LatDeg, site.LonDeg
		// Two squares of one row meet a little poleward of their parallel.
		if d := lat - c.lat; d < -0.01 || d > 0.01 {
			t.Errorf("%s: latitude %f, want %f", c.grids, lat, c.lat)
		}
		if d := lon - c.lon; d*d > 1e-6 && (d+360)*(d+360) > 1e-6 {
			t.Errorf("%s: longitude %f, want %f", c.grids, lon, c.lon)
		}
	}
}
