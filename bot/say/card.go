package say

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
)

// The card that follows a pass. Phones lag, so it says at what time something
// is to be done, and never that it is now.

const (
	earphones = "Earphones in: a speaker feeds back."
	twist     = "Fades? Twist the antenna on its boom."

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
	above := append([]string{nextStep(p, now), clip("LOS "+Clock(p.LOS)+" UTC, "+p.Bird.Name, Columns)},
		tuningLines(p.Transponder(), p.Radio.StepKHz)...)
	below := soFar(worth, open, last)
	if advice {
		below = append(below, wrap(adviceAt(p, now), "")...)
	}
	rows := cardTable(p, now)
	room := max(Lines-len(above)-len(below), 0)
	return strings.Join(slices.Concat(above, rows[:min(len(rows), cardRows+1, room)], below), "\n")
}

// adviceAt is earphones before the first call, the twist when fading has been heard.
func adviceAt(p Pass, now time.Time) string {
	if now.Before(p.AOS.Add(p.TCA.Sub(p.AOS) / 2)) {
		return earphones
	}
	return twist
}

// soFar counts the contacts and shows the last one.
func soFar(worth, open int, last string) []string {
	if last == "" {
		return []string{"Nothing logged yet: type call, grid"}
	}
	return footed([]string{count(worth, "contact") + some(open, ", %d to answer") + ", last:"}, last)
}

// nextStep is the first line: what comes next, and when.
func nextStep(p Pass, now time.Time) string {
	at := NextRow(p, now)
	l := p.Look(at)
	look := strings.TrimRight(heading(l.AzDeg), " ") + " " + degrees(l.ElDeg)
	if !at.Before(p.LOS) {
		return clip(Clock(p.LOS)+" UTC LOS in the "+predict.CompassPoint(l.AzDeg), Columns)
	}
	var changed strings.Builder
	for _, s := range steppedSides(p.Transponder()) {
		steps := p.steps(s)
		if before, after := dialAt(steps, now), dialAt(steps, at); before != after {
			changed.WriteString(" " + s.label + " " + dialled(after, p.Radio.StepKHz))
		}
	}
	if p.Transponder().Kind == predict.Linear {
		_, dials := p.dials()
		changed.WriteString(" receive " + strings.TrimSpace(dials(at)[0]))
	}
	if changed.String() == "" {
		return fmt.Sprintf("%s UTC look %s", Clock(at), look)
	}
	return clip(Clock(at)+changed.String()+", "+look, Columns)
}

// cardTable is the timetable from the row in force on.
func cardTable(p Pass, now time.Time) []string {
	times := cardTimes(p)
	for len(times) > 1 && !times[1].After(now) {
		times = times[1:]
	}
	return p.tableAt(times)
}

// NextRow is the moment of the first row after now, LOS if there is none.
func NextRow(p Pass, now time.Time) time.Time {
	for _, at := range cardTimes(p) {
		if at.After(now) {
			return at
		}
	}
	return p.LOS
}

// cardTimes are the moments of the timetable, and full minutes between them.
func cardTimes(p Pass) []time.Time {
	times := rowTimes(p, p.allSteps(), p.AOS.Add(-time.Hour), thrift{})
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
	return sentence("You work %s. %s is up until %s UTC.", worked.Name, p.Name, Clock(p.LOS))
}

// Skipped says that a pass is not followed.
func Skipped(p predict.Pass) string { return "Skipped: " + PassName(p) + "." }

// Armed says that a pass is followed, and when its reminder comes; zero: no more.
func Armed(p predict.Pass, reminder time.Time) string {
	return "Armed: " + PassName(p) + "." + when(!reminder.IsZero(), " Reminder "+shortClock(reminder)+".")
}

// TellLabel is the button that shows a pass in full.
func TellLabel(p predict.Pass) string { return "Timetable " + PassName(p) }

// SkipLabel is the button that skips a pass.
func SkipLabel(p predict.Pass) string { return "Skip " + PassName(p) }

// ArmLabel is the button that arms a pass.
func ArmLabel(p predict.Pass) string { return "Arm " + PassName(p) }
