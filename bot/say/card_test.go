package say

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/say/saytest"
	"skyslate/predict"
)

// Whatever the bird, the pass and the moment, with a name of any length and the
// finest raster, the card, the timetable of an outing and its list fit a phone,
// and the card's first line names a clock time that is still to come.
func TestFieldTextsFitAPhone(t *testing.T) {
	s := inventedSky(t)
	place := placeAt("JO62qm JO72")
	var all []Pass
	for _, bird := range s.birds {
		all = append(all, passesOf(t, s, bird.Name, place)...)
	}
	wanted := grids("JO43 KO24 IO85")
	cards := 0
	for i := range all {
		p := &all[i]
		p.Wanted, p.Radio.StepKHz = wanted, 6.25
		if i%2 == 0 {
			p.Bird.Name = strings.Repeat("VERY-LONG-", 4) + "1"
		}
		for at := p.AOS; at.Before(p.LOS); at = at.Add(17 * time.Second) {
			cards++
			text := layout.Fit(Card(*p, at, 120, 120, strings.Repeat("X", layout.Columns), i%3 == 0))
			first, _, _ := strings.Cut(saytest.Unstyled(text), " ")
			if why := saytest.UnfitOnPhone(text); why != "" || strings.HasSuffix(text, saytest.More) || first < Clock(at) && Clock(at) < "23:40:00" {
				t.Fatalf("%s at %s: %s\n%s", p.Bird.Name, Clock(at), why, text)
			}
		}
		for _, text := range []string{Early(*p, 10*time.Minute, p.AOS.Add(-45*time.Minute), time.UTC)} {
			if why := saytest.UnfitOnPhone(layout.Fit(text)); why != "" || strings.HasSuffix(layout.Fit(text), saytest.More) {
				t.Errorf("%s: %s\n%s", p.Bird.Name, why, text)
			}
		}
	}
	o := Outing{Place: place, Zone: time.UTC, From: all[0].AOS, Until: all[0].AOS.Add(day), Armed: true}
	var passes []OutingPass
	for i, p := range all {
		passes = append(passes, OutingPass{Pass: p, Left: i%3 == 0})
	}
	shown := 0
	for _, page := range OutingPages(o, passes, strings.Repeat("refused\n", 5)) {
		if why := saytest.UnfitOnPhone(page.Text); why != "" || page.First != shown {
			t.Errorf("outing from %d: %s", page.First, why)
		}
		shown = page.Last
	}
	if shown != len(passes) {
		t.Errorf("%d of %d passes of an outing are shown", shown, len(passes))
	}
	t.Logf("%d cards of %d passes", cards, len(all))
}

// everythingSet has all set that an operator can, for texts that must still fit.
func everythingSet(p Pass) Pass {
	p.Place.Horizon = predict.Horizon{
		{ToDeg: 360, MinElDeg: 3}, {FromDeg: 100, ToDeg: 140, MinElDeg: 25}, {FromDeg: 200, ToDeg: 230, MinElDeg: 20},
	}
	p.Wanted = grids("JO33 KO24 IO91 JP71 FN31 QF56")
	p.Radio.Both = true
	return p
}

// Reminders and what is told of light fit whatever the operator has set, at every
// reference site, with every raster.
func TestEverythingSetFits(t *testing.T) {
	for _, sky := range []testSky{inventedSky(t), agedSky(t, 16*day)} {
		for _, grid := range referenceGrids(t) {
			for _, b := range sky.birds {
				passes := passesOf(t, sky, b.Name, placeAt(grid))
				for i, p := range passes[:min(len(passes), 4)] {
					p = everythingSet(p)
					p.Radio.StepKHz = rasters[i%len(rasters)]
					checkFits(t, Reminder(p, nil, ownCall, p.AOS.Add(-10*time.Minute), time.UTC), layout.Lines)
					checkFits(t, Light(p), layout.Lines)
					if b.Main().Kind == predict.FM {
						checkFits(t, Memories(p, p.Table.MemoryPlan(p.Place.Site, p.Pass, p.Transponder(), p.Radio.StepKHz, 7)), layout.Lines)
					} else {
						checkFits(t, Dials(p, p.Transponder(), p.TCA), layout.Lines)
					}
				}
			}
		}
	}
}
