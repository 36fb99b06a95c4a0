package bot

import (
	"strings"
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// Whatever the bird, the pass and the moment, with a name of any length and the
// finest raster, the card, the timetable of an outing and its list fit a phone,
// and the card's first line names a clock time that is still to come.
func TestFieldTextsFitAPhone(t *testing.T) {
	s := inventedSky(t)
	place := placeAt("JO62qm", "JO72")
	var all []passing
	for _, bird := range s.Birds() {
		all = append(all, passingsOf(t, s, bird.Name, place)...)
	}
	contacts := make([]storage.Contact, 120)
	for i := range contacts {
		contacts[i] = storage.Contact{State: storage.Doubtful}
	}
	wanted := []parse.Grid{parse.MustParseGrid("JO43"), parse.MustParseGrid("KO24"), parse.MustParseGrid("IO85")}
	cards := 0
	for i := range all {
		p := &all[i]
		p.wanted, p.rig = wanted, storage.Radio{StepKHz: 6.25}
		if i%2 == 0 {
			p.bird.Name = strings.Repeat("VERY-LONG-", 4) + "1"
		}
		for at := p.pass.AOS; at.Before(p.pass.LOS); at = at.Add(17 * time.Second) {
			cards++
			text := shaped(cardText(*p, at, contacts, strings.Repeat("X", textColumns), i%3 == 0), storage.Edit)
			first, _, _ := strings.Cut(text, " ")
			if why := unfitOnPhone(text); why != "" || strings.HasSuffix(text, textMore) || first < clock(at) && clock(at) < "23:40:00" {
				t.Fatalf("%s at %s: %s\n%s", p.bird.Name, clock(at), why, text)
			}
		}
		for _, text := range []string{sheetText(*p, sheetHead(*p, 30, 30), ownCall), sheetText(*p, sheetMovedHead(*p, -119*time.Second), ownCall), earlyText(*p, p.pass.AOS.Add(-earlyLead))} {
			if why := unfitOnPhone(shaped(text, storage.Send)); why != "" || strings.HasSuffix(shaped(text, storage.Send), textMore) {
				t.Errorf("%s: %s\n%s", p.bird.Name, why, text)
			}
		}
	}
	o := storage.Outing{Place: place, From: all[0].pass.AOS, Until: all[0].pass.AOS.Add(day), Armed: all[0].pass.AOS}
	if why := unfitOnPhone(outingText(o, all, strings.Repeat("refused\n", 5))); why != "" {
		t.Errorf("outing: %s", why)
	}
	t.Logf("%d cards of %d passes", cards, len(all))
}
