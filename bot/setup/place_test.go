package setup

import "testing"

func TestCoordinates(t *testing.T) {
	for text, want := range map[string][2]float64{
		"62.01 -6.77":            {62.01, -6.77},
		"62,01 -6,77":            {62.01, -6.77},
		"62,01, -6,77":           {62.01, -6.77},
		"62.01,-6.77":            {62.01, -6.77},
		"62.01 N, 6.77 W":        {62.01, -6.77},
		"N62.01 W6.77":           {62.01, -6.77},
		"6.77W 62.01N":           {62.01, -6.77},
		"62.01° n 6.77° w":       {62.01, -6.77},
		"-33.9 151.2":            {-33.9, 151.2},
		"62 N 7 W":               {62, -7},
		"I am at 62.01 -6.77":    {62.01, -6.77},
		"position: 62.01; -6.77": {62.01, -6.77},
		"91.5 7.0":               {91.5, 7},
	} {
		lat, lon, ok := coordinates(text)
		if !ok || lat != want[0] || lon != want[1] {
			t.Errorf("%q: %v %v %v", text, lat, lon, ok)
		}
	}
	for _, text := range []string{"62 7", "12:24", "jo33", "145.850/435.4 67", "62°01'N 6°46'W", "munich", "62.01", "1.5 2.5 3.5", "62.01 6.77 jo33"} {
		if lat, lon, ok := coordinates(text); ok {
			t.Errorf("%q: %v %v", text, lat, lon)
		}
	}
}
