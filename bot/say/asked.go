package say

import (
	"fmt"
	"strings"
	"time"

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
	return lined(layout.Wrap(headline(p, now)), momentLines(p, loc), ageLines(p))
}

// WhereNow tells where to point during a pass: phones lag, so each place has its
// moment; before it where the bird comes up.
func WhereNow(p Pass, now time.Time) string {
	lines := layout.Wrap(headline(p, now))
	if !isUp(p.Pass, now) {
		l := p.Look(p.AOS)
		return lined(lines, []string{"Point there first: " + strings.TrimSpace(heading(l.AzDeg)) + " at " + Clock(p.AOS) + " UTC"})
	}
	for _, at := range []time.Time{now, now.Add(30 * time.Second), now.Add(time.Minute), now.Add(2 * time.Minute)} {
		if at.Before(p.LOS) {
			l := p.Look(at)
			lines = append(lines, fmt.Sprintf("%s UTC look %s %3s", Clock(at), heading(l.AzDeg), degrees(l.ElDeg)))
		}
	}
	return lined(lines)
}

// Tuned tells the frequencies and tones of a pass, and what the dials show now or, if
// it is still to rise, then.
func Tuned(p Pass, now time.Time) string {
	at := now
	if !isUp(p.Pass, now) {
		at = p.AOS
	}
	lines := lined(layout.Wrap(headline(p, now)), tuningLines(p.Transponder(), p.Radio.StepKHz))
	for _, d := range p.movingDials() {
		lines += "\n" + upperFirst(d.label) + " " + strings.TrimSpace(d.at(at)) + " at " + Clock(at) + " UTC"
	}
	return lines
}

// DoNow tells what there is to do at the moment of a pass, of which a reminder comes
// so long before if it is to be reminded of.
func DoNow(p Pass, now time.Time, lead time.Duration, reminded bool) string {
	const log = "During it type call and grid of whom you work: ox9qzt jo33."
	head := layout.Wrap(headline(p, now))
	switch aos := p.AOS; {
	case isUp(p.Pass, now):
		const logNow = "Listen, call, and type call and grid of whom you work: ox9qzt jo33."
		return lined(strings.Split(Tuned(p, now), "\n"), strings.Split(WhereNow(p, now), "\n")[len(head):], layout.Wrap(logNow))
	case reminded && now.Before(aos.Add(-lead)):
		return lined(head, layout.Wrap("Nothing until then: I remind you "+minutes(lead)+" before. "+log))
	case reminded:
		return lined(head, layout.Wrap("Set the radio and be outside by then. "+log))
	}
	return lined(head, layout.Wrap("You are not reminded of it: /passes arms it. "+log))
}
