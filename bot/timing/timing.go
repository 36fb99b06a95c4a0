// Package timing says when it was: which moment a typed time or a slate means, and
// which passes a moment fits. It is pure: what is now, and which passes there are, it
// is told.
package timing

import (
	"cmp"
	"slices"
	"time"

	"skyslate/bot/idiom"
	"skyslate/parse"
	"skyslate/storage"
)

// ClockSlack is how far outside a pass a typed time may lie: watches differ, and overs
// cross AOS and LOS.
const ClockSlack = 2 * time.Minute

const day = 24 * time.Hour

// Nearest returns the moment nearest to t that reads clock (UTC).
func Nearest(clock parse.Clock, t time.Time) time.Time {
	when, period := reading(clock, t)
	return nearestOf(when, period, t)
}

// NearestIn returns the moment nearest to t at which the clocks of a zone read clock, which
// tells the hour.
func NearestIn(clock parse.Clock, loc *time.Location, t time.Time) time.Time {
	year, month, date := t.In(loc).Date()
	var all []time.Time
	for d := date - 1; d <= date+1; d++ {
		all = append(all, time.Date(year, month, d, clock.Hour(), clock.Minute(), 0, 0, loc).UTC())
	}
	return slices.MinFunc(all, func(a, b time.Time) int { return cmp.Compare(a.Sub(t).Abs(), b.Sub(t).Abs()) })
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

// Latest returns the last moment up to t that reads clock (UTC), or just after t:
// watches differ.
func Latest(clock parse.Clock, t time.Time) time.Time {
	when, period := reading(clock, t)
	if when.After(t.Add(ClockSlack)) {
		return when.Add(-period)
	}
	return when
}

// reading is the moment of t's hour, or day, that reads clock, and how often that
// comes again.
func reading(clock parse.Clock, t time.Time) (when time.Time, period time.Duration) {
	t = t.UTC()
	past := time.Duration(clock.Minute())*time.Minute + time.Duration(clock.Second())*time.Second
	if !clock.HasHour() {
		return t.Truncate(time.Hour).Add(past), time.Hour
	}
	return t.Truncate(day).Add(time.Duration(clock.Hour())*time.Hour + past), day
}

// OnDate is the time of day of a moment on another date, both in UTC.
func OnDate(date, t time.Time) time.Time { return date.Add(t.Sub(t.UTC().Truncate(day))) }

// Slate is the moment that a slate means: of the date told, else the one nearest to the
// pass or, without a pass, the latest before the message.
func Slate(s idiom.Slate, pass storage.Pass, at time.Time) time.Time {
	if !s.Date.IsZero() {
		return s.Date.Add(s.Day)
	}
	around := at.Add(-day / 2)
	if pass.ID != "" {
		around = pass.TCA
	}
	return nearestOf(around.UTC().Truncate(day).Add(s.Day), day, around)
}

// SlateIn reads the slate that a line tells, as the moment that is meant.
func SlateIn(line string, pass storage.Pass, at time.Time) (time.Time, bool) {
	told := idiom.SlateIn(line)
	return Slate(told, pass, at), told.Set
}

// Fits reports whether a contact can have been made on a pass at a moment.
func Fits(pass storage.Pass, when time.Time) bool { return Apart(pass, when) <= ClockSlack }

// Within reports whether a typed time falls into a pass.
func Within(clock parse.Clock, pass storage.Pass) bool { return Fits(pass, Nearest(clock, pass.TCA)) }

// Apart is how far a moment is from a pass, nothing during it.
func Apart(pass storage.Pass, at time.Time) time.Duration {
	return max(pass.AOS.Sub(at), at.Sub(pass.LOS), 0)
}

// Closest is the pass nearest to a moment, of several the first. There must be one.
func Closest(passes []storage.Pass, at time.Time) storage.Pass {
	return slices.MinFunc(passes, func(a, b storage.Pass) int { return cmp.Compare(Apart(a, at), Apart(b, at)) })
}

// OfContact says when a contact was made on a pass, or on none that is known, and what
// says so: the time typed, if one was, or the moment of the message, unless that came
// late. A typed time that doesn't fit the pass is not believed: ok is false.
func OfContact(clock parse.Clock, pass storage.Pass, late bool, at time.Time) (when time.Time, source storage.TimeSource, ok bool) {
	if clock.IsSet() {
		if pass.ID == "" {
			return Latest(clock, at), storage.FromTyped, clock.HasHour() || !late
		}
		when = Nearest(clock, pass.TCA)
		return when, storage.FromTyped, Fits(pass, when)
	}
	switch {
	case pass.ID == "", pass.LOS.After(at) && !late:
		return at, storage.FromMessage, pass.ID == "" || !at.Before(pass.AOS.Add(-ClockSlack))
	case at.Before(pass.TCA):
		return at, storage.FromPass, true // delivered late, and yet before the middle
	default:
		return pass.TCA, storage.FromPass, true
	}
}

// Later is the later of two moments.
func Later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// Earlier is the earlier of two moments.
func Earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// RiseMinute is when a pass rises, as its name says it.
func RiseMinute(pass storage.Pass) time.Time {
	return pass.AOS.Round(time.Second).Truncate(time.Minute)
}
