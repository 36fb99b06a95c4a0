package predict

import "math"

// A vec is a vector in kilometres or kilometres a second.
type vec struct{ x, y, z float64 }

func (a vec) sub(b vec) vec       { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) scale(k float64) vec { return vec{k * a.x, k * a.y, k * a.z} }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) norm() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) cross(b vec) vec {
	return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

// turned returns a as seen from axes that are turned about z by the angle
// whose sine and cosine are given: R3 of the textbooks.
func (a vec) turned(sin, cos float64) vec {
	return vec{cos*a.x + sin*a.y, -sin*a.x + cos*a.y, a.z}
}

func radians(deg float64) float64 { return deg * (math.Pi / 180) }
func degrees(rad float64) float64 { return rad * (180 / math.Pi) }
