package bot

import (
	"strings"
	"testing"
	"time"
)

// Whatever happens in the days, an evening is told once, silently, for the day
// after, and none is lost to planning at that very moment.
func TestEveningOnce(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	for at := f.now; at.Before(utc("2026-09-04T06:00:00Z")); at = at.Add(time.Hour) {
		f.until(at)
		if at.Hour()%4 == 0 { // 20 h among them: the place keeps UTC
			f.must(f.desk.Replan(at))
			f.until(at)
		}
	}
	var told []string
	for _, o := range f.said {
		if strings.Contains(o.Name, "/evening/") {
			told = append(told, o.Name)
			if !o.Silent || len(o.Buttons) == 0 {
				t.Errorf("%s: silent %t, %d rows of buttons", o.Name, o.Silent, len(o.Buttons))
			}
		}
	}
	if got, want := strings.Join(told, " "), "7/evening/2026-09-02 7/evening/2026-09-03 7/evening/2026-09-04"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
}

// Hours late, an evening is not told any more, and the next one comes.
func TestEveningTooLate(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	f.until(utc("2026-09-01T17:00:00Z"))
	before := len(f.said)
	f.now = utc("2026-09-01T23:30:00Z") // the process was down
	_, err := f.desk.Due(f.now)
	f.must(err)
	f.deliver()
	for _, o := range f.said[before:] {
		if strings.Contains(o.Name, "/evening/") {
			t.Errorf("told in the night: %s", o.Name)
		}
	}
	f.until(utc("2026-09-02T20:30:00Z"))
	last := ""
	for _, o := range f.said {
		if strings.Contains(o.Name, "/evening/") {
			last = o.Name
		}
	}
	if last != "7/evening/2026-09-03" {
		t.Errorf("the evening after: %q", last)
	}
}
