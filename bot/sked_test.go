package bot

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// A sked on a day whose passes are not planned yet keeps its pass when they are,
// and is reminded of once.
func TestSkedBeyondThePlan(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	f.say("/sked di4zab jo43 2026-09-07 ochre-1")
	last := f.said[len(f.said)-1]
	if len(last.Buttons) == 0 {
		t.Fatalf("no pass is offered: %q", last.Text)
	}
	f.event(event.Event{ID: "tap", Kind: event.Tapped, Post: f.out, Data: last.Buttons[0][0].Data})
	f.until(utc("2026-09-08T00:00:00Z"))
	var skeds, armed int
	f.must(f.store.View(func(v *storage.View) error {
		passes, err := v.Passes("7", utc("2026-09-01T00:00:00Z"), f.now.Add(20*24*time.Hour))
		for _, pass := range passes {
			skeds += len(pass.Skeds)
			if len(pass.Skeds) > 0 && !pass.Void && pass.Followed() && !pass.Decided.IsZero() {
				armed++
			}
		}
		return err
	}))
	if skeds != 1 || armed != 1 {
		t.Errorf("%d skeds, %d on a pass that took place", skeds, armed)
	}
	reminded := 0
	for _, o := range f.said {
		if strings.Contains(o.Text, "Sked DI4ZAB JO43") && strings.Contains(o.Text, "rises in") {
			reminded++
		}
	}
	if reminded != 1 {
		t.Errorf("reminded of %d times", reminded)
	}
}
