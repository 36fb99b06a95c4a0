package draw

import (
	_ "embed"
	"encoding/binary"

	"skyslate/predict"
)

//go:embed land.bin
var landFile []byte

// A place on the Earth in degrees: longitude to the east, latitude to the north.
type lonLat struct{ lon, lat float64 }

func (p lonLat) site() predict.Site { return predict.Site{LatDeg: p.lat, LonDeg: p.lon} }

// land returns the shores of the Earth, ring by ring. By the even-odd rule a ring
// inside another is a lake. See land.md.
func land() [][]lonLat {
	rest := landFile
	next := func() int {
		v, n := binary.Varint(rest)
		rest = rest[max(n, 0):]
		return int(v)
	}
	rings := make([][]lonLat, next())
	for i := range rings {
		rings[i] = make([]lonLat, next())
		x, y := 0, 0
		for j := range rings[i] {
			x, y = x+next(), y+next()
			rings[i][j] = lonLat{float64(x) / 100, float64(y) / 100}
		}
	}
	return rings
}
