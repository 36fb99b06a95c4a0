package say

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"skyslate/bot/along"
	"skyslate/bot/dial"
	"skyslate/bot/glossary"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Answers to plain questions about passes.

// NotUnderstood answers what is said to the bot and is no question that it knows, and
// NoPassKnown one about a pass where none is ahead; the labels are buttons that tell more.
const (
	NotUnderstood = "Kept as a note: I can't answer that.\n/help says what I understand."
	NothingBack   = "Nothing was dropped or skipped that\nI could bring back. Name it: bring\nHX7ABC back, arm wicket-1."
	NoPassKnown   = "No pass ahead that I know of: see\n/passes."

	LabelTimetable = "Timetable"
	LabelLight     = "Light"
	LabelMemories  = "Memories"
)

// Coming is what there is to tell of passes: those that are up, the next to rise, and
// those after it, all of one bird if it was named. Worked is the bird that lines belong to.
type Coming struct {
	Up     []Pass
	Next   *Pass // nil: none is known
	Later  []Pass
	OfBird bool
	AsksUp bool // it was asked which are up
	Worked string
}

// NextPass tells which birds are up, and when the next pass comes; loc is the zone of
// its place.
func NextPass(c Coming, now time.Time, loc *time.Location) string {
	if c.Next == nil {
		return phrase.Lined(c.upLines(now))
	}
	next := *c.Next
	return phrase.Lined(c.upLines(now), headline(next, now), momentLines(next, loc), ageLines(next),
		phrase.Footed(nil, phrase.When(!next.Followed, notReminded)), c.laterLines())
}

// upLines tell where the birds are that are up, and whose the lines are that come now.
func (c Coming) upLines(now time.Time) (lines []string) {
	for _, p := range c.Up {
		l := p.Look(now)
		lines = append(lines, layout.Hang(fmt.Sprintf("%s, %s more: now %s %s, peak %s", strings.Join(headline(p, now), " "), strings.TrimPrefix(phrase.Until(p.LOS, now), "in "),
			strings.TrimSpace(phrase.Heading(l.AzDeg)), phrase.Degrees(l.ElDeg), peak(p.Pass)))...)
	}
	whose := phrase.When(c.Worked != "", "Your lines go to "+c.Worked+".")
	return phrase.Footed(lines,
		phrase.When(len(c.Up) > 1, cmp.Or(whose, "Send the name of the one you work.")),
		phrase.When(len(c.Up) == 0 && c.AsksUp && !c.OfBird, "None of your birds is up."))
}

// laterLines name the passes after the next: some of a bird, of all the first.
func (c Coming) laterLines() []string {
	lead, most := "With a reminder: ", 1
	if c.OfBird {
		lead, most = "Later: ", len(c.Later)
	}
	later := phrase.Each(c.Later[:min(len(c.Later), most)], func(p Pass) string {
		return phrase.When(!c.OfBird, p.Bird.Name+" ") + phrase.ShortClock(p.AOS) + " " + peak(p.Pass)
	})
	return layout.Hang(phrase.Led(lead, phrase.FirstN(later, 4)))
}

const notReminded = "You are not reminded of it: /passes\narms it."

// NoPassThen names the pass nearest to a moment at which there is none, Meaning explains
// a term by its row in the glossary. WhichRises asks which of two is meant that rise at once.
var (
	WhichRises = phrase.InLines2(PassName, PassName, "%s or %s? Say the bird, too.")
	NoPassThen = phrase.InLines(DatedName, "No pass then. The nearest: %s.")
	Meaning    = phrase.InLines(glossary.Meaning, "%s")
)

// HowFar tells how far grids are from a place, and where they lie.
func HowFar(grids []parse.Grid, from Place) string {
	site := Meeting(grids)
	return phrase.Sentence("%s is %.0f km %s of %s.", phrase.Grids(grids), predict.DistanceKm(from.Site, site),
		predict.CompassPoint(predict.BearingDeg(from.Site, site)), from.name())
}

// WhereNow tells where to point during a pass; before it where the bird comes up.
func WhereNow(p Pass, now time.Time) string { return phrase.Lined(headline(p, now), p.pointing(now)) }

// pointing has its moment with each place, because phones lag.
func (p Pass) pointing(now time.Time) []string {
	if !along.Up(p.Pass, now) {
		at := strings.TrimSpace(phrase.Heading(p.Look(p.AOS).AzDeg))
		return []string{"Point there first: " + at + " at " + phrase.Clock(p.AOS) + " UTC"}
	}
	var lines []string
	for _, ahead := range []time.Duration{0, 30 * time.Second, time.Minute, 2 * time.Minute} {
		if at := now.Add(ahead); at.Before(p.LOS) {
			l := p.Look(at)
			lines = append(lines, fmt.Sprintf("%s UTC look %s %3s", phrase.Clock(at), phrase.Heading(l.AzDeg), phrase.Degrees(l.ElDeg)))
		}
	}
	return lines
}

// Tuned tells the frequencies and tones of a pass, and what the dials show now or, if
// it is still to rise, then.
func Tuned(p Pass, now time.Time) string {
	return phrase.Lined(headline(p, now), p.tuning(), p.dialling(now))
}

func (p Pass) dialling(now time.Time) []string {
	at := now
	if !along.Up(p.Pass, now) {
		at = p.AOS
	}
	return phrase.Each(p.dials(), func(d dial.Moving) string {
		return phrase.UpperFirst(sides[d.Side]) + " " + strings.TrimSpace(d.At(at)) + " at " + phrase.Clock(at) + " UTC"
	})
}

// DoNow tells what there is to do at the moment of a pass, of which a reminder comes
// at a moment, or none any more.
func DoNow(p Pass, now, reminder time.Time) string {
	const log = "type call and grid of whom you work: ox9qzt jo33."
	ahead := notReminded
	switch {
	case along.Up(p.Pass, now):
		return phrase.Lined(headline(p, now), p.tuning(), p.dialling(now), p.pointing(now),
			layout.Wrap("Listen, call, and "+log))
	case !reminder.IsZero():
		ahead = "Nothing until then: I remind you " + phrase.Minutes(p.AOS.Sub(reminder)) + " before."
	case p.Followed:
		ahead = "Set the radio and be outside by then."
	}
	return phrase.Lined(headline(p, now), layout.Wrap(ahead+" During it "+log))
}

// ItIs tells the time, in UTC and at the place.
func ItIs(now time.Time, loc *time.Location) string {
	text := "It is " + phrase.Clock(now) + " UTC"
	if local := phrase.LocalClock(now, loc); local != "" {
		text += ", " + local
	}
	return text + "."
}
