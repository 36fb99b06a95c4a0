package predict

import (
	"math"
	"time"
)

// Ages of an element set, counted from its epoch to the moment predicted for.
// Common practice, no source: drag makes the error grow faster than linearly,
// and a bird that manoeuvres leaves its elements within days.
const (
	WarnAge = 14 * 24 * time.Hour // predictions deserve a warning
	MaxAge  = 30 * 24 * time.Hour // predictions are refused unless asked for
)

const maxCatalog = 999_999_999

// Elements is one set of mean orbital elements for the SGP4 model.
type Elements struct {
	Name       string    // as in the file; the catalog number where the file has no name
	Designator string    // international designator, as "1998-067A"; may be empty
	Catalog    int       // 1 to 999,999,999
	Epoch      time.Time // UTC, exact to the microsecond

	MeanMotion     float64 // revolutions a day, Kozai mean
	Eccentricity   float64
	InclinationDeg float64
	RAANDeg        float64 // right ascension of the ascending node
	ArgPerigeeDeg  float64
	MeanAnomalyDeg float64
	BStar          float64 // drag, 1/Earth radii
	NDot           float64 // half the first derivative of mean motion, rev/day²
	NDDot          float64 // a sixth of its second derivative, rev/day³
}

// Age is the time between the epoch and at, in either direction, never negative.
func (e Elements) Age(at time.Time) time.Duration { return at.Sub(e.Epoch).Abs() }

// Newest keeps the set with the latest epoch of each catalog number, in the
// order in which the numbers first appear. Of equal epochs the later set wins.
func Newest(sets []Elements) []Elements {
	at := make(map[int]int, len(sets))
	var out []Elements
	for _, e := range sets {
		i, seen := at[e.Catalog]
		switch {
		case !seen:
			at[e.Catalog] = len(out)
			out = append(out, e)
		case !e.Epoch.Before(out[i].Epoch):
			out[i] = e
		}
	}
	return out
}

// What makes predictions drift. Literature, from memory: element sets are
// about 1 km off at their epoch and lose 1 to 3 km a day along the track; the
// density of the upper air is known to about a fifth (Vallado & Finkleman
// 2014, Acta Astronautica 95).
const (
	kmAtEpoch    = 1.0
	kmEachDay    = 2.0
	dragDoubt    = 0.2
	kmEachSecond = 7.5 // along a low orbit
)

// Drift is how far off AOS may be at a moment, roughly: a part linear in age,
// and a fifth of what drag does to the orbit in that time, which grows with
// the square of the age.
func (e Elements) Drift(at time.Time) time.Duration {
	days := e.Age(at).Hours() / 24
	seconds := (kmAtEpoch + kmEachDay*days) / kmEachSecond
	if e.MeanMotion > 0 {
		seconds += dragDoubt * math.Abs(e.NDot) * days * days / e.MeanMotion * 86400
	}
	return time.Duration(seconds * float64(time.Second)).Round(time.Millisecond)
}
