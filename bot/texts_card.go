package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/predict"
	"skyslate/storage"
)

// The card that follows a pass. Phones lag, so it says at what time something
// is to be done, and never that it is now.

const (
	textEarphones = "Earphones in: a speaker feeds back."
	textTwist     = "Fades? Twist the antenna on its boom."

	// cardRows is how many rows a card shows: the one in force and the next.
	cardRows = 5
	// cardEvery fills the gaps between the changes of the dial, so that the
	// antenna keeps up: at full minutes, but not within cardApart of another row.
	cardEvery = 2 * time.Minute
	cardApart = 30 * time.Second
)

// cardText is a pass at a moment: the next step first, then what is needed to
// work it, and what was logged so far, the last contact as it was read. With
// advice it says once what helps.
func cardText(p passing, now time.Time, all []storage.Contact, last string, advice bool) string {
	above := append([]string{nextStep(p, now), clip("LOS "+clock(p.pass.LOS)+" UTC, "+p.bird.Name, textColumns)},
		tuningLines(p.radio(), rasterOf(p.rig))...)
	below := soFar(all, last)
	if advice {
		below = append(below, wrap(adviceAt(p.pass, now), "")...)
	}
	rows := cardTable(p, now)
	room := textLines - len(above) - len(below)
	return strings.Join(slices.Concat(above, rows[:min(len(rows), cardRows+1, max(room, 0))], below), "\n")
}

// adviceAt is what helps at a moment: earphones before the first call, the twist
// when fading has been heard.
func adviceAt(p storage.Pass, now time.Time) string {
	if now.Before(p.AOS.Add(p.TCA.Sub(p.AOS) / 2)) {
		return textEarphones
	}
	return textTwist
}

// soFar counts the contacts and shows the last one.
func soFar(all []storage.Contact, last string) []string {
	if last == "" {
		return []string{"Nothing logged yet: type call, grid"}
	}
	line := count(worth(all), "contact")
	if open := len(only(all, func(c storage.Contact) bool { return c.State == storage.Doubtful })); open > 0 {
		line += fmt.Sprintf(", %d to answer", open)
	}
	return append([]string{line + ", last:"}, strings.Split(last, "\n")...)
}

// nextStep is the first line: what comes next, and when.
func nextStep(p passing, now time.Time) string {
	at := nextRow(p, now)
	l := p.look(at)
	look := strings.TrimRight(heading(l.AzDeg), " ") + " " + degrees(l.ElDeg)
	if !at.Before(p.pass.LOS) {
		return clip(clock(p.pass.LOS)+" UTC LOS in the "+predict.CompassPoint(l.AzDeg), textColumns)
	}
	var changed strings.Builder
	for _, s := range steppedSides(p.radio()) {
		steps := p.steps(s)
		if before, after := dialAt(steps, now), dialAt(steps, at); before != after {
			changed.WriteString(" " + s.label + " " + dialled(after, rasterOf(p.rig)))
		}
	}
	if p.radio().Kind == predict.Linear {
		_, dials := p.dials()
		changed.WriteString(" receive " + strings.TrimSpace(dials(at)[0]))
	}
	if changed.String() == "" {
		return fmt.Sprintf("%s UTC look %s", clock(at), look)
	}
	return clip(clock(at)+changed.String()+", "+look, textColumns)
}

// cardTable is the timetable from the row in force on.
func cardTable(p passing, now time.Time) []string {
	times := cardTimes(p)
	force := 0
	for i, at := range times {
		if !at.After(now) {
			force = i
		}
	}
	return p.tableAt(times[force:])
}

// nextRow is the moment of the first row after now, LOS if there is none.
func nextRow(p passing, now time.Time) time.Time {
	for _, at := range cardTimes(p) {
		if at.After(now) {
			return at
		}
	}
	return p.pass.LOS
}

// cardTimes are the moments of a card's rows: those of the timetable, and full
// minutes between them.
func cardTimes(p passing) []time.Time {
	times := rowTimes(p.pass, p.allSteps(), p.pass.AOS.Add(-time.Hour), thrift{})
	for at := p.pass.AOS.Truncate(cardEvery).Add(cardEvery); at.Before(p.pass.LOS); at = at.Add(cardEvery) {
		if !slices.ContainsFunc(times, func(t time.Time) bool { return t.Sub(at).Abs() < cardApart }) {
			times = append(times, at)
		}
	}
	slices.SortFunc(times, time.Time.Compare)
	return times
}

// elsewhereText stands on a card while another bird is worked.
func elsewhereText(p, worked storage.Pass) string {
	return strings.Join(wrap(fmt.Sprintf("You work %s. %s is up until %s UTC.", worked.Bird.Name, p.Bird.Name, clock(p.LOS)), ""), "\n")
}

func skippedText(p storage.Pass) string { return "Skipped: " + passLabel(p) + "." }
