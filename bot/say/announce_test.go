package say

import (
	"slices"
	"strings"
	"testing"

	"skyslate/bot/say/saytest"
)

// An announcement is for others: it says who is where, when and on what, and is one
// message however many passes there are.
func TestAnnouncement(t *testing.T) {
	s, place := inventedSky(t), placeAt("JO62")
	all := slices.Concat(passesOf(t, s, "OCHRE-1", place), passesOf(t, s, "UMBER-A", place))
	slices.SortFunc(all, func(a, b Pass) int { return a.AOS.Compare(b.AOS) })
	few := Announcement(place, all[:4], ownCall)
	for _, want := range []string{ownCall.String() + " in JO62", "times in UTC", span(all[0].AOS, all[0].LOS) + " " + peak(all[0].Pass)} {
		if !strings.Contains(few, want) {
			t.Errorf("%q is not in\n%s", want, few)
		}
	}
	linear := passesOf(t, s, "UMBER-A", place)[:1]
	if text := Announcement(place, linear, ownCall); !strings.Contains(text, "UMBER-A SSB up about 145.965") || !strings.Contains(text, "down about 435.640") {
		t.Errorf("a linear bird:\n%s", text)
	}
	many := Announcement(place, all, ownCall)
	if why := saytest.UnfitOnPhone(many); why != "" {
		t.Errorf("%d passes: %s\n%s", len(all), why, many)
	}
	for _, p := range all {
		if !strings.Contains(many, shortClock(p.AOS)) {
			t.Errorf("%s is not in\n%s", shortClock(p.AOS), many)
		}
	}
	for _, own := range []string{"/", "you", "Armed", "…"} {
		if strings.Contains(few+many, own) {
			t.Errorf("%q is of the conversation", own)
		}
	}
}
