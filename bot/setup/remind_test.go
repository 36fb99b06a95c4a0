package setup

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot/layout"
	"skyslate/bot/sky"
	"skyslate/predict/predicttest"
	"skyslate/storage"
)

func offOn(r *storage.Remind, days ...time.Weekday) {
	for _, day := range days {
		r.Week[day].Off = true
	}
}

func TestChangeRemind(t *testing.T) {
	own := sky.New(predicttest.Birds(), nil)
	for _, c := range []struct {
		text string
		want func(*storage.Remind)
		fail string
	}{
		{text: "ahead 15", want: func(r *storage.Remind) { r.Lead = 15 * time.Minute }},
		{text: "peak 20°", want: func(r *storage.Remind) { r.PeakDeg = 20 }},
		{text: "hours 22-6", want: func(r *storage.Remind) { r.From, r.Until = 22, 6 }},
		{text: "daily 0", want: func(r *storage.Remind) { r.PerDay = 0 }},
		{text: "off", want: func(r *storage.Remind) { r.Off = true }},
		{text: "sat sun", want: func(r *storage.Remind) { offOn(r, 1, 2, 3, 4, 5) }},
		{text: "only on weekends", want: func(r *storage.Remind) { offOn(r, 1, 2, 3, 4, 5) }},
		{text: "Every Sunday", want: func(r *storage.Remind) { offOn(r, 1, 2, 3, 4, 5, 6) }},
		{text: "fri-mon", want: func(r *storage.Remind) { offOn(r, 2, 3, 4) }},
		{text: "weekends off", want: func(r *storage.Remind) { offOn(r, 6, 0) }},
		{text: "mon to sun off", want: func(r *storage.Remind) { r.Off = true }},
		{text: "every day", want: func(*storage.Remind) {}},
		{text: "wed, sat after 17:00", want: func(r *storage.Remind) {
			r.Week[3], r.Week[6] = storage.DayHours{From: 17, Until: 24}, storage.DayHours{From: 17, Until: 24}
		}},
		{text: "only sunday 6-9", want: func(r *storage.Remind) {
			offOn(r, 1, 2, 3, 4, 5, 6)
			r.Week[0] = storage.DayHours{From: 6, Until: 9}
		}},
		{text: "mon-fri after 17:30", fail: "17:30-24"},
		{text: "on sunday maybe", fail: "maybe"},
		{text: "birds ochre2, OCHRE-1", want: func(r *storage.Remind) { r.Birds = []string{"OCHRE-2", "OCHRE-1"} }},
		{text: "picture", want: func(r *storage.Remind) { r.Picture = true }},
		{text: "picture off", want: func(*storage.Remind) {}},
		{text: "picture maybe", fail: "picture on"},
		{text: "birds on", want: func(*storage.Remind) {}},
		{text: "birds nonesuch", fail: "nonesuch"},
		{text: "birds", fail: "Name the birds"},
		{text: "peak 91", fail: "degrees from 0 to 90"},
		{text: "hours 6", fail: "no full hours"},
		{text: "sing", fail: "sing"},
	} {
		got, err := changeRemind(storage.DefaultRemind(), c.text, own)
		if c.fail != "" {
			if err == nil || !strings.Contains(err.Error(), c.fail) {
				t.Errorf("%q: error %v, want one with %q", c.text, err, c.fail)
			} else {
				checkFits(t, err.Error())
			}
			continue
		}
		want := storage.DefaultRemind()
		c.want(&want)
		if a, b := fmt.Sprint(got), fmt.Sprint(want); err != nil || a != b {
			t.Errorf("%q: got %s, %v, want %s", c.text, a, err, b)
		}
	}
}

// checkFits fails if a text is wider or longer than a phone shows.
func checkFits(t *testing.T, text string) {
	t.Helper()
	if layout.Fit(text) != text {
		t.Errorf("too wide or too long:\n%s", text)
	}
}
