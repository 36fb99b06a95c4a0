// Package choice says which passes an operator is reminded of, by what is set, and which
// are the best of some. It is pure.
package choice

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/sky"
	"skyslate/predict"
	"skyslate/storage"
)

// Arms says how each pass of one operator should stand on the agenda; the
// answer has the order of passes. Give it whole local days, or the best of a
// day can't be told.
//
//   - A pass armed or skipped by hand stays so, and so does a pass whose one
//     reminder is decided, and one that no longer takes place.
//   - The others are followed if the rules say so: the birds, the peak, the own
//     horizon, the weekday and local hour of AOS, and the cap of a local day, highest peak first, the
//     earlier one where peaks are equal.
//   - What was armed by hand or with an outing comes on top of the cap. What was skipped by hand
//     keeps its place under it, so that skipping a pass never brings another.
//     A decided pass has used up its place in the same way.
func Arms(
	r storage.Remind, passes []storage.Pass, birds []predict.Bird, loc *time.Location, hidden func(storage.Pass) bool,
) []storage.Arming {
	suits := func(p storage.Pass) bool { return Suits(r, p, birds, loc) && !hidden(p) }
	arms := make([]storage.Arming, len(passes))
	left := map[time.Time]int{}
	var fit []int
	for i, p := range passes {
		on := dayOf(p.AOS, loc)
		if _, seen := left[on]; !seen {
			left[on] = r.PerDay
		}
		arms[i] = p.Arm
		switch {
		case p.Void || p.Arm == storage.ArmHand || p.Arm == storage.ArmOuting:
		case !p.Decided.IsZero():
			if p.Arm == storage.ArmAuto || p.Arm == storage.ArmSkipped && suits(p) {
				left[on]--
			}
		default:
			if arms[i] == storage.ArmAuto {
				arms[i] = storage.ArmNone
			}
			if suits(p) {
				fit = append(fit, i)
			}
		}
	}
	slices.SortFunc(fit, func(i, j int) int { return better(passes[i], passes[j]) })
	for _, i := range fit {
		on := dayOf(passes[i].AOS, loc)
		if left[on] <= 0 {
			continue
		}
		left[on]--
		if arms[i] == storage.ArmNone {
			arms[i] = storage.ArmAuto
		}
	}
	return arms
}

// Suits reports whether the rules want a pass, horizon and cap aside.
func Suits(r storage.Remind, p storage.Pass, birds []predict.Bird, loc *time.Location) bool {
	return !r.Off && p.PeakElDeg >= r.PeakDeg && inHours(r, p.AOS.In(loc)) &&
		sky.Wanted(r.Birds, p.Bird, birds)
}

// inHours reports whether a moment of the local clock lies in the hours of its day, or
// in those of the day before that go on after midnight.
func inHours(r storage.Remind, at time.Time) bool {
	if from, until, on := r.Hours(at.Weekday()); on && at.Hour() >= from && (at.Hour() < until || until <= from) {
		return true
	}
	from, until, on := r.Hours((at.Weekday() + 6) % 7)
	return on && until <= from && at.Hour() < until
}

// Best are so many of passes at most, the highest, in their order.
func Best(passes []storage.Pass, most int) []storage.Pass {
	best := slices.SortedFunc(slices.Values(passes), better)
	best = best[:min(len(best), most)]
	slices.SortFunc(best, ByAOS)
	return best
}

// ByAOS orders the earliest first.
func ByAOS(a, b storage.Pass) int { return a.AOS.Compare(b.AOS) }

// better orders those with a sked first, then the highest peak, then the earliest.
func better(a, b storage.Pass) int {
	return cmp.Or(
		cmp.Compare(min(len(b.Skeds), 1), min(len(a.Skeds), 1)),
		cmp.Compare(b.PeakElDeg, a.PeakElDeg),
		a.AOS.Compare(b.AOS),
		strings.Compare(string(a.ID), string(b.ID)),
	)
}

// dayOf is the day of the calendar, by its midnight in UTC.
func dayOf(t time.Time, loc *time.Location) time.Time { return Midnight(t.In(loc), 0, time.UTC) }

// Midnight is when a date begins in a zone, or one some days later.
func Midnight(date time.Time, days int, loc *time.Location) time.Time {
	y, m, d := date.Date()
	return time.Date(y, m, d+days, 0, 0, 0, 0, loc).UTC()
}

// GrazingDeg is the peak below which a pass is not offered unasked: hardly
// above the trees. Common practice, no source.
const GrazingDeg = 10

// Worthwhile reports whether a pass is followed or doesn't graze.
func Worthwhile(pass storage.Pass) bool { return pass.Followed() || pass.PeakElDeg >= GrazingDeg }
