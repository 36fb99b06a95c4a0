package say

import (
	"slices"

	"skyslate/bot/dial"
	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// Announcement tells others of an outing: who is where, which birds are worked, on
// what, and when, in UTC. It is forwarded as it stands, so it says nothing to the
// operator, and is short enough for one message: of many passes first the peaks go,
// then LOS.
func Announcement(place Place, passes []Pass, call parse.Callsign) string {
	long := func(p Pass) string { return phrase.Span(p.AOS, p.LOS) + " " + peak(p.Pass) }
	middling := func(p Pass) string { return phrase.Span(p.AOS, p.LOS) }
	short := func(p Pass) string { return phrase.ShortClock(p.AOS) }
	return layout.FirstFit([]func(Pass) string{long, middling, short}, func(moment func(Pass) string) []string {
		return announced(place, passes, call, moment)
	})
}

// announced are the birds, each with its frequencies and its passes below.
func announced(place Place, passes []Pass, call parse.Callsign, moment func(Pass) string) []string {
	lines := layout.Hang(call.String()+" in "+place.name(),
		passes[0].AOS.UTC().Format("Mon 2 January 2006")+", times in UTC")
	birds := phrase.Each(passes, Pass.birdName)
	for i, bird := range birds {
		if slices.Index(birds, bird) < i {
			continue
		}
		day, moments := phrase.DayMonth(passes[0].AOS), []string{}
		for _, p := range passes[i:] {
			if p.Bird.Name != bird {
				continue
			}
			moments = append(moments, phrase.When(phrase.DayMonth(p.AOS) != day, phrase.DayMonth(p.AOS)+" ")+moment(p))
			day = phrase.DayMonth(p.AOS)
		}
		t, step := passes[i].Transponder(), passes[i].Radio.StepKHz
		about := phrase.When(t.Kind == predict.Linear, "about ") // the middles of its passbands
		pair := phrase.Footed(nil,
			phrase.When(t.UplinkMHz > 0, "up "+about+dial.Nearest(t.UplinkMHz, step)+phrase.When(t.Kind == predict.FM, " "+toneWord(t.ToneHz))),
			phrase.When(t.DownlinkMHz > 0, "down "+about+dial.Nearest(t.DownlinkMHz, step)))
		lines = slices.Concat(lines, layout.Enumerate(bird+" "+modeOf(t), pair), layout.Enumerate(" ", moments))
	}
	return lines
}
