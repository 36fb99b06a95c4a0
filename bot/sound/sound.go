// Package sound says when a pass sounds, on the phone and in a calendar, and how many
// reminders begin early where thousands fall due together. It is pure.
//
// A pass makes its sound once, as long before AOS as is set, and the first one
// of an outing after a pause 45 minutes ahead instead: who has been called then is up,
// and what comes later comes silently. While another followed pass is
// above bestDeg nothing sounds, because ears, eyes and hands belong to that bird. A
// reminder that falls due then comes at the end of those minutes: it is read after
// them in any case, and its sound says that there is something new. The rise from
// bestDeg to the zenith takes as long as the way down from there to LOS (about three
// minutes at 500 km), so of two passes that don't overlap the second is still told
// before AOS. One that rises within those minutes can't wait, and comes silently.
package sound

import (
	"slices"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/say"
	"skyslate/predict"
	"skyslate/storage"
)

// bestDeg is the elevation from which most contacts are made. Common practice, no
// source.
const bestDeg = 15

// EarlyLead is how long before AOS the sound of the first pass after a pause comes:
// time to walk up and set up.
const EarlyLead = 45 * time.Minute

// Pause is how long nothing has to be followed for one to be away: two rounds of a low
// bird. Who waits for the next round stays. Common practice, no source.
const Pause = 3 * time.Hour

// Best are the spans in which passes stand high, by their beginning.
func Best(passes []say.Pass) (all []predict.Window) {
	high := predict.Horizon{{FromDeg: 0, ToDeg: 360, MinElDeg: bestDeg}}
	for _, pass := range passes {
		all = append(all, pass.Table.Clear(pass.Place.Site, pass.Pass, high)...)
	}
	slices.SortFunc(all, func(a, b predict.Window) int { return a.Start.Compare(b.Start) })
	return all
}

// FreeFrom is the first full second from a moment on that is in none of spans, which
// are in order.
func FreeFrom(at time.Time, spans []predict.Window) time.Time {
	for _, w := range spans {
		if !w.Start.After(at) && w.End.After(at) {
			at = w.End.Add(time.Second).Truncate(time.Second)
		}
	}
	return at
}

// HushFrom is from when on a reminder makes no sound, should it go out late: when the
// next best minutes begin, or its pass has set.
func HushFrom(los, now time.Time, spans []predict.Window) time.Time {
	for _, w := range spans {
		if w.Start.After(now) && w.Start.Before(los) {
			return w.Start
		}
	}
	return los
}

// AfterPause reports whether a pass rises after a pause, so that the phone was quiet
// until its early sound.
func AfterPause(aos time.Time, others []storage.Pass) bool {
	return !slices.ContainsFunc(others, func(other storage.Pass) bool {
		return other.Followed() && other.AOS.Before(aos) && other.LOS.After(aos.Add(-Pause))
	})
}

// Alarms is how long before its beginning each pass of a calendar file rings, by the
// same rule; where a reminder would be silent, the calendar rings before those
// minutes begin.
func Alarms(op storage.Operator, passes []storage.Pass, views []say.Pass) []time.Duration {
	alarms := make([]time.Duration, len(passes))
	for i, pass := range passes {
		at := pass.AOS.Add(-op.Remind.Lead)
		others := slices.Concat(views[:i:i], views[i+1:])
		if choice.OnOuting(op, pass) && op.Remind.Lead < EarlyLead && AfterPause(pass.AOS, passes) {
			at = pass.AOS.Add(-EarlyLead)
		}
		best := Best(others)
		if free := FreeFrom(at, best); free.Before(pass.AOS) {
			at = free
		} else {
			for _, w := range slices.Backward(best) {
				if !w.Start.After(at) && w.End.After(at) {
					at = w.Start.Add(-time.Second).Truncate(time.Second)
				}
			}
		}
		alarms[i] = pass.AOS.Sub(at)
	}
	return alarms
}
