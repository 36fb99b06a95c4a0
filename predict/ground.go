package predict

import "math"

// groundRadius is the mean radius R1 of the Earth in km (IUGG). Great circles
// on it differ from the WGS 84 geodesic by at most 0.4 % and 0.3°.
const groundRadius = 6371.0088

// DistanceKm is the length of the great circle between two sites, in km.
func DistanceKm(a, b Site) float64 { return groundRadius * arc(a, b) }

// arc is the central angle between two sites on a sphere, in radians, by the
// haversine formula.
func arc(a, b Site) float64 {
	lat := math.Sin(radians(b.LatDeg-a.LatDeg) / 2)
	lon := math.Sin(radians(b.LonDeg-a.LonDeg) / 2)
	h := lat*lat + math.Cos(radians(a.LatDeg))*math.Cos(radians(b.LatDeg))*lon*lon
	return 2 * math.Asin(math.Min(1, math.Sqrt(h)))
}

// BearingDeg is the true direction in which the great circle to b leaves a, 0
// to 360 degrees.
func BearingDeg(a, b Site) float64 {
	sinA, cosA := math.Sincos(radians(a.LatDeg))
	sinB, cosB := math.Sincos(radians(b.LatDeg))
	sin, cos := math.Sincos(radians(b.LonDeg - a.LonDeg))
	return turn(degrees(math.Atan2(sin*cosB, cosA*sinB-sinA*cosB*cos)))
}

// turn brings an angle to 0 ≤ a < 360 degrees.
func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}

// CompassPoint names an azimuth by the nearest of the sixteen points: "N",
// "NNE", "NE", …
func CompassPoint(azDeg float64) string {
	points := [16]string{
		"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
		"S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
	}
	return points[int(math.Round(azDeg/22.5))&15]
}
