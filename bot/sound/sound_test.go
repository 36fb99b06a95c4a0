package sound

import (
	"testing"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/storage"
)

// The calendar rings early for the same passes as the reminder: those of an armed outing that
// are seen from its place.
func TestAlarmsOfOuting(t *testing.T) {
	at := time.Date(2027, 5, 27, 10, 0, 0, 0, time.UTC)
	there := storage.Place{Grids: []parse.Grid{parse.MustParseGrid("IP73")}, LatDeg: 63.5, LonDeg: -17}
	elsewhere := storage.Place{Grids: []parse.Grid{parse.MustParseGrid("JO62")}, LatDeg: 52.5, LonDeg: 13}
	op := storage.Operator{Remind: storage.DefaultRemind(), Outings: []storage.Outing{{Place: there, From: at.Add(-time.Hour), Until: at.Add(time.Hour), Armed: at.Add(-2 * time.Hour)}}}
	for place, want := range map[*storage.Place]time.Duration{&there: EarlyLead, &elsewhere: op.Remind.Lead} {
		pass := storage.Pass{Arm: storage.ArmHand, Place: *place, AOS: at, TCA: at.Add(5 * time.Minute), LOS: at.Add(10 * time.Minute)}
		if got := Alarms(op, []storage.Pass{pass}, make([]say.Pass, 1))[0]; got != want {
			t.Errorf("seen from %v: rings %s before, want %s", place.Grids, got, want)
		}
	}
}
