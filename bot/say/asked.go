package say

import (
	"fmt"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/layout"
)

// Answers to plain questions about passes.

// NotUnderstood answers what is said to the bot and is no question that it knows; the
// labels are buttons that tell more of a pass.
const (
	NotUnderstood = "Kept as a note: I can't answer that.\n/help says what I understand."

	LabelTimetable = "Timetable"
	LabelLight     = "Light"
	LabelMemories  = "Memories"
)

// NextPass tells when a pass that is still to rise comes; loc is the zone of its place.
func NextPass(p Pass, now time.Time, loc *time.Location) string {
	return lined(headline(p, now), momentLines(p, loc), ageLines(p))
}

// WhereNow tells where to point during a pass; before it where the bird comes up.
func WhereNow(p Pass, now time.Time) string { return lined(headline(p, now), p.pointing(now)) }

// pointing has its moment with each place, because phones lag.
func (p Pass) pointing(now time.Time) []string {
	if !along.Up(p.Pass, now) {
		at := strings.TrimSpace(heading(p.Look(p.AOS).AzDeg))
		return []string{"Point there first: " + at + " at " + Clock(p.AOS) + " UTC"}
	}
	var lines []string
	for _, ahead := range []time.Duration{0, 30 * time.Second, time.Minute, 2 * time.Minute} {
		if at := now.Add(ahead); at.Before(p.LOS) {
			l := p.Look(at)
			lines = append(lines, fmt.Sprintf("%s UTC look %s %3s", Clock(at), heading(l.AzDeg), degrees(l.ElDeg)))
		}
	}
	return lines
}

// Tuned tells the frequencies and tones of a pass, and what the dials show now or, if
// it is still to rise, then.
func Tuned(p Pass, now time.Time) string { return lined(headline(p, now), p.tuning(), p.dialling(now)) }

func (p Pass) dialling(now time.Time) []string {
	at := now
	if !along.Up(p.Pass, now) {
		at = p.AOS
	}
	return each(p.movingDials(), func(d movingDial) string {
		return upperFirst(d.label) + " " + strings.TrimSpace(d.at(at)) + " at " + Clock(at) + " UTC"
	})
}

// DoNow tells what there is to do at the moment of a pass, of which a reminder comes
// so long before if it is to be reminded of.
func DoNow(p Pass, now time.Time, lead time.Duration, reminded bool) string {
	const log = "type call and grid of whom you work: ox9qzt jo33."
	ahead := "You are not reminded of it: /passes arms it."
	switch {
	case along.Up(p.Pass, now):
		return lined(headline(p, now), p.tuning(), p.dialling(now), p.pointing(now),
			layout.Wrap("Listen, call, and "+log))
	case reminded && now.Before(p.AOS.Add(-lead)):
		ahead = "Nothing until then: I remind you " + minutes(lead) + " before."
	case reminded:
		ahead = "Set the radio and be outside by then."
	}
	return lined(headline(p, now), layout.Wrap(ahead+" During it "+log))
}
