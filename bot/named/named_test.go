package named

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/sky"
	"skyslate/predict"
	"skyslate/storage"
)

// A pass is named by bird, day, part of a day and moment in any order; what says none of
// them is left.
func TestRead(t *testing.T) {
	birds := []predict.Bird{{Name: "WICKET-1", Catalog: 90001}}
	ahead := time.FixedZone("", 2*60*60)
	r := Reader{Sky: sky.New(birds, nil), Local: ahead, Zone: func(time.Time) *time.Location { return ahead }}
	at := time.Date(2027, 5, 23, 10, 0, 0, 0, time.UTC) // a Sunday
	span := func(m Pass) string {
		if m.To.IsZero() {
			return ""
		}
		return m.From.Format("2 15:04") + "-" + m.To.Format("2 15:04")
	}
	for _, c := range []struct{ text, bird, clock, span, rest string }{
		{"wicket 1 tomorrow 10:45", "WICKET-1", "10:45", "23 22:00-24 22:00", ""},
		{"the 0745z on 2027-05-25", "", "07:45", "25 00:00-26 00:00", ""},
		{"tonight wicket-1", "WICKET-1", "", "23 15:00-23 22:00", ""},
		{"sábado por la tarde", "", "", "29 10:00-29 16:00", ""},
		{"monday morning", "", "", "23 22:00-24 10:00", ""},
		{"gestern abend", "", "", "22 15:00-22 22:00", ""},
		{"evening", "", "", "", "evening"},
		{"much noise", "", "", "", "much noise"},
	} {
		m, rest := r.Read(c.text, at)
		clock := ""
		if m.Clock.IsSet() {
			clock = m.Clock.String()
		}
		if left := strings.Join(rest, " "); m.Bird != c.bird || clock != c.clock || span(m) != c.span || left != c.rest {
			t.Errorf("%q: bird %q at %q, %s, left %q; want %+v", c.text, m.Bird, clock, span(m), left, c)
		}
	}
	m, _ := r.Read("saturday", at)
	if got := span(r.Behind(m, at)); got != "21 22:00-22 22:00" {
		t.Errorf("the saturday before is %s", got)
	}
	m, _ = r.Read("10:45 local", at)
	pass := storage.Pass{AOS: at.Add(-80 * time.Minute), TCA: at.Add(-75 * time.Minute), LOS: at.Add(-70 * time.Minute)}
	pass.Place.Zone = "Etc/GMT-2"
	if moment, fits := m.Fits(pass); !fits || !moment.Equal(at.Add(-75*time.Minute)) {
		t.Errorf("10:45 local is %s of a pass from %s, %v", moment, pass.AOS, fits)
	}
}
