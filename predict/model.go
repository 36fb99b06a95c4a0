package predict

import (
	"fmt"
	"math"
	"time"

	satellite "github.com/joshuaferrara/go-satellite"
)

// Constants of the model: WGS 72, to which element sets are fitted
// (AIAA 2006-6753, table 1).
const (
	modelMu     = 398600.8    // km³/s²
	modelRadius = 6378.135    // km
	modelJ2     = 0.001082616 // second zonal harmonic
	deepSpace   = 225.0       // minutes; longer periods feel Sun and Moon in the model
)

// What is refused. Measured against the verification set of AIAA 2006-6753:
// below the perigee the library is wrong by 8 to 3,439 km; the set with
// e = 0.97 is off by 217 m, those up to 0.79 by less than 2 m.
const (
	minPerigee = 156.0 // km above modelRadius
	maxEcc     = 0.9
	maxBStar   = 1.0  // 1/Earth radii; published sets stay below 0.14
	minMotion  = 0.05 // rev/day
	maxMotion  = 18.0 // rev/day; 17 is at the ground
	apsisSlack = 1.05 // of a near-Earth orbit's distance against its mean apogee
)

// The years that two digits of an element line can mean.
const (
	firstYear = 1957
	lastYear  = 2056
)

// A model is the propagator primed with one element set.
//
// The library takes whole seconds only and cuts the epoch to one. Near-Earth
// theory knows no calendar, only minutes since the epoch, so for those orbits
// the library is given an epoch at day zero of its own day count, where its
// float64 days resolve nanoseconds, and is asked for whole seconds after it:
// exactly whole seconds after the true epoch, which stays here. Deep-space
// theory needs Sun and Moon, so it gets the epoch rounded to a second.
type model struct {
	elements         Elements
	sat              satellite.Satellite
	year, month, day int     // of the library's epoch
	second           int     // of that day
	apogee           float64 // km from the Earth's centre, of the mean elements
}

// newModel primes the propagator, or says with a *Refusal why predictions
// from e would be wrong.
func newModel(e Elements) (*model, error) {
	if why := absurd(e); why != "" {
		return nil, e.refused(Absurd, why)
	}
	axis := meanAxis(e)
	if e.Eccentricity > maxEcc {
		return nil, e.refused(Eccentric, fmt.Sprintf("eccentricity %.3f, at most %.1f can be predicted", e.Eccentricity, maxEcc))
	}
	if up := axis*(1-e.Eccentricity) - modelRadius; up < minPerigee {
		return nil, e.refused(LowPerigee, fmt.Sprintf("%.0f km up, the drag model needs %.0f", up, minPerigee))
	}
	m := &model{elements: e, apogee: axis * (1 + e.Eccentricity)}
	m.prime()
	return m, nil
}

func (e Elements) refused(r Reason, detail string) *Refusal {
	return &Refusal{Name: e.Name, Catalog: e.Catalog, Reason: r, Detail: detail}
}

// absurd names the first value that no satellite of the Earth can have.
func absurd(e Elements) string {
	for _, f := range []struct {
		name          string
		value, lo, hi float64
	}{
		{"year of the epoch", float64(e.Epoch.Year()), firstYear, lastYear},
		{"mean motion", e.MeanMotion, minMotion, maxMotion},
		{"eccentricity", e.Eccentricity, 0, 0.999999},
		{"inclination", e.InclinationDeg, 0, 179.9999}, // the library divides by zero at 180
		{"node", e.RAANDeg, 0, 360},
		{"argument of perigee", e.ArgPerigeeDeg, 0, 360},
		{"mean anomaly", e.MeanAnomalyDeg, 0, 360},
		{"drag", e.BStar, -maxBStar, maxBStar},
	} {
		if !(f.value >= f.lo && f.value <= f.hi) { // a NaN is neither
			return fmt.Sprintf("%s %v, sensible is %v to %v", f.name, f.value, f.lo, f.hi)
		}
	}
	return ""
}

// meanAxis is the semi-major axis in km, its mean motion freed of the
// oblateness that the published one contains (AIAA 2006-6753, initl).
func meanAxis(e Elements) float64 {
	n := e.MeanMotion * 2 * math.Pi / 86400
	cos := math.Cos(radians(e.InclinationDeg))
	k := math.Sqrt(1 - e.Eccentricity*e.Eccentricity)
	d1 := 0.75 * modelJ2 * (3*cos*cos - 1) / (k * k * k)
	ak := math.Cbrt(modelMu/(n*n)) / modelRadius
	del := d1 / (ak * ak)
	del = d1 / math.Pow(ak*(1-del*del-del*(1.0/3+134*del*del/81)), 2)
	n /= 1 + del
	return math.Cbrt(modelMu / (n * n))
}

func (m *model) period() time.Duration {
	return time.Duration(float64(24*time.Hour) / m.elements.MeanMotion)
}

// deep says whether the theory for deep space is used.
func (m *model) deep() bool { return m.period() >= deepSpace*time.Minute }

// libraryDay0 is the day of January 2000 that the library's day count calls 0.5.
const libraryDay0 = -2451543

func (m *model) prime() {
	line1, line2 := m.elements.twoLines("00", fmt.Sprintf("%12.3f", float64(libraryDay0)))
	m.year, m.month, m.day = 2000, 1, libraryDay0
	if m.deep() {
		t := m.elements.Epoch.Round(time.Second)
		m.year, m.month, m.day = t.Year(), int(t.Month()), t.Day()
		m.second = t.Hour()*3600 + t.Minute()*60 + t.Second()
		// A third of a second more, because the library cuts to the second.
		day := float64(t.YearDay()) + (float64(m.second)+1.0/3)/86400
		line1, line2 = m.elements.twoLines(fmt.Sprintf("%02d", m.year%100), fmt.Sprintf("%012.8f", day))
	}
	m.sat = satellite.TLEToSat(line1, line2, satellite.GravityWGS72)
}

// twoLines writes the two lines for the library. The model never uses the number,
// and the derivatives of mean motion only stand in the lines.
func (e Elements) twoLines(year, day string) (line1, line2 string) {
	line1 = fmt.Sprintf("1 00000U 00000A   %s%s  .00000000  00000+0 %s 0    00", year, day, assumedPoint(e.BStar))
	line2 = fmt.Sprintf("2 00000 %8.4f %8.4f %07.0f %8.4f %8.4f %11.8f    00",
		e.InclinationDeg, e.RAANDeg, e.Eccentricity*1e7, e.ArgPerigeeDeg, e.MeanAnomalyDeg, e.MeanMotion)
	return line1, line2
}

// assumedPoint writes v as element lines do: sign, five digits after an
// assumed point, a power of ten of one digit.
func assumedPoint(v float64) string {
	sign := ' '
	if v < 0 {
		sign, v = '-', -v
	}
	if v < 1e-10 {
		return " 00000+0"
	}
	power := int(math.Floor(math.Log10(v))) + 1
	digits := math.Round(v * math.Pow10(5-power))
	if digits >= 100000 {
		digits, power = digits/10, power+1
	}
	return fmt.Sprintf("%c%05.0f%+d", sign, digits, power)
}

// at is the state k seconds after the exact epoch, in the TEME frame.
func (m *model) at(k int) (pos, vel vec, err error) {
	r, v := satellite.Propagate(m.sat, m.year, m.month, m.day, 0, 0, m.second+k)
	pos, vel = vec{r.X, r.Y, r.Z}, vec{v.X, v.Y, v.Z}
	var why string
	distance := pos.norm()
	switch { // because the library returns no error with a state
	case !(distance >= modelRadius): // a NaN is not
		why = "below ground"
	case !(vel.dot(vel)/2 < modelMu/distance):
		why = "not bound to the Earth"
	case !m.deep() && distance > m.apogee*apsisSlack+100:
		why = "far from its own orbit"
	default:
		return pos, vel, nil
	}
	at := m.elements.Epoch.Add(time.Duration(k) * time.Second)
	return pos, vel, m.elements.refused(Decayed, why+" at "+at.Format("2006-01-02 15:04Z"))
}
