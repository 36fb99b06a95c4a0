package bot

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/predict"
	"skyslate/storage"
)

// TestListsFit holds the lists to the size; that of all birds may be long.
func TestListsFit(t *testing.T) {
	const anyLength = 1000
	s := inventedSky(t)
	for _, grid := range referenceGrids(t) {
		var all []passing
		for _, b := range s.Birds() {
			passes := passingsOf(t, s, b.Name, placeAt(grid))
			all = append(all, passes[:min(len(passes), 2)]...)
			checkFits(t, passesText(lengthened(passes), placeAt(grid), ""), textLines)
		}
		checkFits(t, passesText(all, placeAt(grid), ""), textLines)
	}
	for _, now := range []string{"2026-09-02T00:00:00Z", "2026-09-16T00:00:00Z", "2026-12-01T00:00:00Z"} {
		checkFits(t, birdsText(s, storage.Operator{}, nil, utc(now)), anyLength)
		starter := NewSky(predict.StarterBirds(), inventedSets(t))
		checkFits(t, birdsText(starter, storage.Operator{}, nil, utc(now)), anyLength)
		for _, sky := range []*Sky{s, starter} {
			for _, b := range sky.Birds() {
				e, known := sky.Elements(b.Catalog)
				checkFits(t, birdText(b, e, known, rasterKHz, utc(now)), textLines)
			}
		}
	}
}

func TestFullFirst(t *testing.T) {
	one := func(name string, peak float64, aos string, arm storage.Arming) passing {
		return passing{pass: storage.Pass{PeakElDeg: peak, AOS: utc(aos), Arm: arm}, bird: predict.Bird{Name: name}}
	}
	var got []string
	for _, p := range fullFirst([]passing{
		one("late", 50, "2026-09-01T12:02:00Z", storage.ArmAuto),
		one("early", 50, "2026-09-01T12:01:00Z", storage.ArmAuto),
		one("high", 80, "2026-09-01T12:05:00Z", storage.ArmAuto),
		one("by hand", 10, "2026-09-01T12:09:00Z", storage.ArmHand),
	}) {
		got = append(got, p.bird.Name)
	}
	if diff := cmp.Diff([]string{"by hand", "high", "early", "late"}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
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
		{"a dial between channels", dial(145.8666, rasterKHz), "145.865"},
		{"a dial at half a channel goes up", dial(436.6625, rasterKHz), "436.665"},
		{"a dial on a channel", dial(436.795, rasterKHz), "436.795"},
		{"no negative zero", degrees(-0.4), "0°"},
		{"azimuth that rounds to a whole turn", heading(359.6), "000 N  "},
		{"half a minute before", until(at.Add(30*time.Second), at), "in 30 s"},
		{"just under two minutes", until(at.Add(110*time.Second), at), "in 2 min"},
		{"ten minutes, a moment late", until(at.Add(598*time.Second), at), "in 10 min"},
		{"an hour and a half", until(at.Add(90*time.Minute), at), "in 1 h 30 min"},
		{"full hours", until(at.Add(4*time.Hour), at), "in 4 h"},
		{"a day", until(at.Add(day), at), "on 2 Sep"},
		{"seconds are rounded", clock(at.Add(59600 * time.Millisecond)), "12:01:00"},
		{"a zone with a name", localClock(at, zone("Europe/Berlin")), "14:00:00 CEST"},
		{"the same in winter", localClock(utc("2026-12-01T12:00:00Z"), zone("Europe/Berlin")), "13:00:00 CET"},
		{"a zone without a name", localClock(at, zone("Asia/Kathmandu")), "17:45:00 UTC+05:45"},
		{"UTC needs no second time", localClock(at, time.UTC), ""},
		{"no zone known", localClock(at, nil), ""},
		{"cut to the width", clip("OCHRE-1", 5), "OCHR…"},
		{"not cut", clip("OCHRE", 5), "OCHRE"},
		{"no room at all", clip("OCHRE", 0), "…"},
		{"a beacon alone", tuningLines(predict.Transponder{Kind: predict.Beacon, DownlinkMHz: 435.605, Mode: "CW"}, rasterKHz)[0], "Beacon 435.605 CW"},
		{"nothing known", tuningLines(predict.Transponder{}, rasterKHz)[0], "No frequencies known"},
		{"a state without words", statusText(predict.Status{}), "State not known."},
	} {
		if tt.got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, tt.got, tt.want)
		}
	}
}
