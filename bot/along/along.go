// Package along chooses moments along a pass: those that a timetable tells. It knows
// where the bird is by package predict, and no word of what is said.
package along

import (
	"slices"
	"time"

	"skyslate/predict"
)

// Up reports whether a bird is up at a moment.
func Up(p predict.Pass, at time.Time) bool { return !at.Before(p.AOS) && at.Before(p.LOS) }

// Halfway is the moment in the middle of two.
func Halfway(from, to time.Time) time.Time { return from.Add(to.Sub(from) / 2) }

// Dial is what a stepped dial shows at a moment of the pass, in MHz.
func Dial(steps []predict.Step, at time.Time) float64 {
	var mhz float64
	for i, s := range steps {
		if i == 0 || !s.At.After(at) {
			mhz = s.DialMHz
		}
	}
	return mhz
}

// Five are moments along the pass, and now during it.
func Five(p predict.Pass, now time.Time) []time.Time {
	return FromNow([]time.Time{p.AOS, Halfway(p.AOS, p.TCA), p.TCA, Halfway(p.TCA, p.LOS), p.LOS}, p, now)
}

// FromNow sorts moments of a pass, and during it replaces those gone by with now.
func FromNow(times []time.Time, p predict.Pass, now time.Time) []time.Time {
	if Up(p, now) {
		times = append(slices.DeleteFunc(times, func(at time.Time) bool { return !at.After(now) }), now)
	}
	slices.SortFunc(times, time.Time.Compare)
	return times
}

// Together is how close two changes on different sides of the radio may be
// to be told as one: a hand can't make them apart, and straight overhead at
// 420 km the earlier one is 0.9 kHz further off by then (175 Hz/s on 70 cm).
const Together = 5 * time.Second

// Thinned keeps AOS, of the changes after it every so many, and the last.
func Thinned(times []time.Time, every int) []time.Time {
	slices.SortFunc(times, time.Time.Compare)
	times = slices.CompactFunc(times, time.Time.Equal)
	var kept []time.Time
	for i, at := range times {
		if every < 2 || i%every == 0 || i == len(times)-1 {
			kept = append(kept, at)
		}
	}
	return kept
}

// LatestOf keeps the last of moments that are told as one: the dials have changed by then.
func LatestOf(times []time.Time, within time.Duration) []time.Time {
	var kept []time.Time
	for _, at := range times {
		if n := len(kept); n > 0 && at.Round(time.Second).Sub(kept[n-1].Round(time.Second)) < within {
			kept[n-1] = at
			continue
		}
		kept = append(kept, at)
	}
	return kept
}
