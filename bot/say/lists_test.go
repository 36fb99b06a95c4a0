package say

import (
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/phrase"
	"skyslate/predict"
	"skyslate/predict/predicttest"
)

// TestListsFit holds the lists to the size; that of all birds may be long.
func TestListsFit(t *testing.T) {
	const anyLength = 1000
	s := inventedSky(t)
	for _, grid := range referenceGrids(t) {
		var all []Pass
		for _, b := range s.birds {
			passes := passesOf(t, s, b.Name, placeAt(grid))
			all = append(all, passes[:min(len(passes), 2)]...)
			checkFits(t, Passes(lengthened(passes), placeAt(grid), "", 0), layout.Lines)
		}
		checkFits(t, Passes(all, placeAt(grid), "", 0), layout.Lines)
	}
	for _, now := range []string{"2026-09-02T00:00:00Z", "2026-09-16T00:00:00Z", "2026-12-01T00:00:00Z"} {
		for _, sky := range []testSky{s, {predict.StarterBirds(), predicttest.Sets(t)}} {
			checkFits(t, Birds(sky.list(), BirdNotes{}, 5, utc(now)), anyLength)
			for _, b := range sky.list() {
				checkFits(t, OneBird(b, 5, utc(now)), layout.Lines)
			}
		}
	}
}

func TestSmallWords(t *testing.T) {
	at := utc("2026-09-01T12:00:00Z")
	zone := func(name string) *time.Location {
		loc, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		return loc
	}
	for _, tt := range []struct{ what, got, want string }{
		{"no negative zero", phrase.Degrees(-0.4), "0°"},
		{"azimuth that rounds to a whole turn", phrase.Heading(359.6), "000 N  "},
		{"half a minute before", phrase.Until(at.Add(30*time.Second), at), "in 30 s"},
		{"just under two minutes", phrase.Until(at.Add(110*time.Second), at), "in 2 min"},
		{"ten minutes, a moment late", phrase.Until(at.Add(598*time.Second), at), "in 10 min"},
		{"an hour and a half", phrase.Until(at.Add(90*time.Minute), at), "in 1 h 30 min"},
		{"full hours", phrase.Until(at.Add(4*time.Hour), at), "in 4 h"},
		{"a day", phrase.Until(at.Add(phrase.Day), at), "on 2 Sep"},
		{"seconds are rounded", phrase.Clock(at.Add(59600 * time.Millisecond)), "12:01:00"},
		{"a zone with a name", phrase.LocalClock(at, zone("Europe/Berlin")), "14:00:00 CEST"},
		{"the same in winter", phrase.LocalClock(utc("2026-12-01T12:00:00Z"), zone("Europe/Berlin")), "13:00:00 CET"},
		{"a zone without a name", phrase.LocalClock(at, zone("Asia/Kathmandu")), "17:45:00 UTC+05:45"},
		{"UTC needs no second time", phrase.LocalClock(at, time.UTC), ""},
		{"no zone known", phrase.LocalClock(at, nil), ""},
		{"a beacon alone", tuningLines(predict.Transponder{Kind: predict.Beacon, DownlinkMHz: 435.605, Mode: "CW"}, 5)[0], "Beacon 435.605 CW"},
		{"nothing known", tuningLines(predict.Transponder{}, 5)[0], "No frequencies known"},
		{"a state without words", status(predict.Status{}), "State not known."},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, tt.got, tt.want)
		}
	}
}
