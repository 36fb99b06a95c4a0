package contact

import (
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// Nearest returns the moment nearest to t that reads clock (UTC).
func Nearest(clock parse.Clock, t time.Time) time.Time {
	period, when := reading(clock, t)
	return nearestOf(when, period, t)
}

// nearestOf is the moment nearest to t of those that come again after each period.
func nearestOf(when time.Time, period time.Duration, t time.Time) time.Time {
	switch d := when.Sub(t); {
	case d > period/2:
		return when.Add(-period)
	case d <= -period/2:
		return when.Add(period)
	}
	return when
}

// latest returns the last moment up to t that reads clock (UTC), or just after t:
// watches differ.
func latest(clock parse.Clock, t time.Time) time.Time {
	period, when := reading(clock, t)
	if when.After(t.Add(ClockSlack)) {
		return when.Add(-period)
	}
	return when
}

// reading is the moment of t's hour, or day, that reads clock, and how often that
// comes again.
func reading(clock parse.Clock, t time.Time) (period time.Duration, when time.Time) {
	t = t.UTC()
	minute := time.Duration(clock.Minute()) * time.Minute
	if !clock.HasHour() {
		return time.Hour, t.Truncate(time.Hour).Add(minute)
	}
	return day, t.Truncate(day).Add(time.Duration(clock.Hour())*time.Hour + minute)
}

// Fits reports whether a contact can have been made on a pass at a moment.
func Fits(pass storage.Pass, when time.Time) bool {
	return !when.Before(pass.AOS.Add(-ClockSlack)) && !when.After(pass.LOS.Add(ClockSlack))
}

// Within reports whether a typed time falls into a pass.
func Within(clock parse.Clock, pass storage.Pass) bool { return Fits(pass, Nearest(clock, pass.TCA)) }

// timeOf says when a contact was made and what says so. A typed time that doesn't
// fit the pass is not believed: ok is false.
func timeOf(clock parse.Clock, m Match, at time.Time) (when time.Time, source storage.TimeSource, ok bool) {
	pass := m.Pass
	if clock.IsSet() {
		if pass.ID == "" {
			return latest(clock, at), storage.FromTyped, clock.HasHour() || !m.Late
		}
		when = Nearest(clock, pass.TCA)
		return when, storage.FromTyped, Fits(pass, when)
	}
	switch {
	case pass.ID == "", pass.LOS.After(at) && !m.Late:
		return at, storage.FromMessage, pass.ID == "" || !at.Before(pass.AOS.Add(-ClockSlack))
	case at.Before(pass.TCA):
		return at, storage.FromPass, true // delivered late, and yet before the middle
	default:
		return pass.TCA, storage.FromPass, true
	}
}
