package setup

import (
	"math"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/predict"
)

// borders returns the nearest side and the nearest corner of the square (2° by
// 1°) around a place, in degrees of WGS 84.
func borders(latDeg, lonDeg float64) (side, corner say.Border) {
	square := parse.GridAt(latDeg, lonDeg, 4)
	lat, lon := square.Center()
	dLat, dLon := math.Copysign(0.5, latDeg-lat), math.Copysign(1, lonDeg-lon)
	here := predict.Site{LatDeg: latDeg, LonDeg: lonDeg}
	to := func(sideLat, sideLon, beyondLat, beyondLon float64) say.Border {
		there := predict.Site{LatDeg: sideLat, LonDeg: sideLon}
		return say.Border{
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
