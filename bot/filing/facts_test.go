package filing

import (
	"testing"
	"time"

	"skyslate/parse"
	"skyslate/storage"
)

// A local time is one of the place from where the pass that it falls on is seen: on an armed
// outing the outing's, also when it is typed at home in the evening; of no pass it is one of
// the place set. Lisbon is one hour ahead of UTC in May, Berlin two, Reykjavík none.
func TestLocalZone(t *testing.T) {
	at := func(clock string) time.Time {
		when, err := time.Parse("15:04", clock)
		if err != nil {
			t.Fatal(err)
		}
		return time.Date(2027, 5, 27, when.Hour(), when.Minute(), 0, 0, time.UTC)
	}
	pass := func(aos, zone string) storage.Pass {
		return storage.Pass{
			ID: storage.PassID(aos), AOS: at(aos), TCA: at(aos).Add(6 * time.Minute), LOS: at(aos).Add(12 * time.Minute),
			Place: storage.Place{Grids: []parse.Grid{parse.MustParseGrid("JO62")}, Zone: zone},
		}
	}
	passes := []storage.Pass{pass("07:10", "Europe/Lisbon"), pass("09:10", "Europe/Berlin"), pass("10:50", "Europe/Berlin")}
	f := Facts{
		Own: []storage.OwnSide{{Zone: "Europe/Lisbon"}},
		Passes: func(from, to time.Time) (all []storage.Pass) {
			for _, p := range passes {
				if p.AOS.Before(to) && p.LOS.After(from) {
					all = append(all, p)
				}
			}
			return all
		},
		Zone: func(own storage.OwnSide) *time.Location {
			loc, err := time.LoadLocation(own.Zone)
			if err != nil {
				t.Fatal(err)
			}
			return loc
		},
	}
	for _, c := range []struct{ clock, sent, zone string }{
		{"08:16", "07:20", "Europe/Lisbon"}, // before the outing
		{"11:16", "09:18", "Europe/Berlin"},
		{"11:16", "19:00", "Europe/Berlin"}, // in the evening, at home
		{"12:55", "10:58", "Europe/Berlin"},
		{"08:16", "18:00", "Europe/Lisbon"},
		{"14:30", "13:30", "Europe/Lisbon"}, // of no pass
	} {
		clock := parse.MakeClock(at(c.clock).Hour(), at(c.clock).Minute())
		if loc := f.localZone(clock, &storage.Evidence{At: at(c.sent)}); loc.String() != c.zone {
			t.Errorf("%s local, sent at %s: %s, want %s", c.clock, c.sent, loc, c.zone)
		}
	}
}
