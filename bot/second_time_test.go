package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// The second phone's own log rests while it writes into another, and comes back.
func TestOwnLogOfSecondPhoneRests(t *testing.T) {
	f := newSeveral(t)
	f.setUp(mate, "HX7ZZQ")
	f.says(mate, "2z0vek io85")
	own := f.sentBy[mate]
	f.joined(inga, mate)
	f.says(mate, "ox7ec jo33")
	f.edits(mate, own, "2z0vek io86") // what is one's own stays so
	f.wantLog(inga, "OX7EC JO33 certain")
	f.wantLog(mate, "2Z0VEK IO86 certain")
	from := len(f.said)
	f.until(utc("2026-09-01T16:05:00Z")) // three passes later SIENNA is up
	cards := 0
	for _, o := range f.said[from:] {
		if o.Operator == mate && o.Pin == storage.PinOn && o.Op == storage.Send {
			cards++
			if !strings.HasPrefix(o.Name, "8/with/7/") {
				t.Errorf("while away %s is told %s", mate, o.Name)
			}
		}
	}
	if cards == 0 {
		t.Error("the second phone has no card of the passes")
	}
	f.says(inga, "/second off")
	f.says(mate, "di4zab jo43")
	f.wantLog(mate, "2Z0VEK IO86 certain", "DI4ZAB JO43 certain")
}

// The time of a second phone is the outing's, else the day's; it doesn't end amid a pass.
func TestSecondPhonesTime(t *testing.T) {
	f := newSeveral(t)
	until := func() time.Time { return f.operator().Offer.Until }
	f.code(inga)
	if want := utc("2026-09-01T22:00:00Z"); !until().Equal(want) {
		t.Errorf("without an outing it ends at %s, want %s", until(), want)
	}
	var outing storage.Outing
	f.says(inga, "/outing JO62 today 15-18")
	for _, o := range f.operator().Outings {
		outing = o
	}
	f.by(inga, event.Event{Kind: event.Tapped, Data: fmt.Sprintf("outing:%d", outing.ID)})
	outing = f.operator().Outings[0]
	if outing.Armed.IsZero() {
		t.Fatalf("the outing is %+v", outing)
	}
	f.code(inga)
	if got := until(); got.Before(outing.Until) || got.Sub(outing.Until) > time.Hour {
		t.Errorf("on a day with an outing it ends at %s, the outing at %s", got, outing.Until)
	}
}
