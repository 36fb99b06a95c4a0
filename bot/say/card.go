package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/dial"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/predict"
)

// The card that follows a pass. Phones lag, so it says at what time something
// is to be done, and never that it is now.

const (
	// cardRows is how many rows a card shows: the one in force and the next.
	cardRows = 5
	// cardEvery fills the gaps between the changes of the dial, so that the
	// antenna keeps up: at full minutes, but not within cardApart of another row.
	cardEvery = 2 * time.Minute
	cardApart = 30 * time.Second
)

// Card is a pass at a moment: the next step first, then what is needed to work it,
// and what was logged so far: how many count, how many are to be answered, the last
// as it was read. With advice it says once what helps.
func Card(p Pass, now time.Time, worth, open int, last string, advice bool) string {
	dials := p.dials()
	above := slices.Concat(layout.BoldLines(nextStep(p, dials, now)),
		[]string{layout.Line("LOS " + phrase.Clock(p.LOS) + " UTC, " + p.Bird.Name)}, p.tuning())
	below := []string{"Nothing logged yet" + cmp.Or(phrase.Some(open, ", %d to answer"), ": type call, grid")}
	if last != "" {
		below = phrase.Footed([]string{phrase.NContacts(worth) + phrase.Some(open, ", %d to answer") + ", last:"}, last)
	}
	switch {
	case advice && now.Before(along.Halfway(p.AOS, p.TCA)): // before the first call
		below = append(below, "Earphones in: a speaker feeds back.")
	case advice: // fading has been heard
		below = append(below, "Fades? Twist the antenna on its boom.")
	}
	times := cardTimes(p, dials)
	for len(times) > 1 && !times[1].After(now) { // the first is the one in force
		times = times[1:]
	}
	rows := p.tableAt(times, dials)
	room := max(layout.Lines-len(above)-len(below), 0)
	return phrase.Lined(above, rows[:min(len(rows), cardRows+1, room)], below)
}

// nextStep is the first line: what comes next, and when.
func nextStep(p Pass, dials []dial.Moving, now time.Time) string {
	at := NextRow(p, now)
	l := p.Look(at)
	if !at.Before(p.LOS) {
		return layout.Line(phrase.Clock(p.LOS) + " UTC LOS in the " + predict.CompassPoint(l.AzDeg))
	}
	look := strings.TrimRight(phrase.Heading(l.AzDeg), " ") + " " + phrase.Degrees(l.ElDeg)
	linear := p.Transponder().Kind == predict.Linear
	if linear {
		dials = dials[:1]
	}
	words := []string{phrase.Clock(at)}
	for _, d := range dials {
		if linear || d.At(now) != d.At(at) {
			words = append(words, sides[d.Side], strings.TrimSpace(d.At(at)))
		}
	}
	if len(words) == 1 {
		return fmt.Sprintf("%s UTC look %s", phrase.Clock(at), look)
	}
	return layout.Line(strings.Join(words, " ") + ", " + look)
}

// NextRow is the moment of the first row after now, LOS if there is none.
func NextRow(p Pass, now time.Time) time.Time {
	for _, at := range cardTimes(p, p.dials()) {
		if at.After(now) {
			return at
		}
	}
	return p.LOS
}

// cardTimes are the moments of the timetable, and full minutes between them.
func cardTimes(p Pass, dials []dial.Moving) []time.Time {
	times := dial.Moments(p.Pass, dials, p.AOS.Add(-time.Hour), 0, true)
	for at := p.AOS.Truncate(cardEvery).Add(cardEvery); at.Before(p.LOS); at = at.Add(cardEvery) {
		if !slices.ContainsFunc(times, func(t time.Time) bool { return t.Sub(at).Abs() < cardApart }) {
			times = append(times, at)
		}
	}
	slices.SortFunc(times, time.Time.Compare)
	return times
}

// WorkedElsewhere stands on a card while another bird is worked.
func WorkedElsewhere(p, worked predict.Pass) string {
	return phrase.Sentence("You work %s. %s is up until %s UTC.", worked.Name, p.Name, phrase.Clock(p.LOS))
}

// Armed says that a pass is followed, and when its reminder comes; zero: no more.
func Armed(p predict.Pass, reminder time.Time) string {
	return "Armed: " + PassName(p) + "." + phrase.When(!reminder.IsZero(), " Reminder "+phrase.ShortClock(reminder)+".")
}

// ArmingBack says that a pass is again as it was before it was armed or skipped.
func ArmingBack(p predict.Pass, reminded, unsked bool) string {
	sked := phrase.When(unsked, " Its last sked is off.")
	if reminded {
		return phrase.Sentence("Taken back: you are reminded of %s as before.%s", PassName(p), sked)
	}
	return phrase.Sentence("Taken back: you are not reminded of %s.%s", PassName(p), sked)
}

// What is said of a pass, and the buttons that show it in full, skip it and arm it.
var (
	Skipped       = phrase.InLine(PassName, "Skipped: %s.")
	SkippedWorked = phrase.InLines(PassName, "Skipped: %s. It has contacts: card and summary go on.")
	TellLabel     = phrase.InLine(PassName, "Timetable %s")
	SkipLabel     = phrase.InLine(PassName, "Skip %s")
	ArmLabel      = phrase.InLine(PassName, "Arm %s")
)
