package bot

import (
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// late hands in what was sent at a moment and is worked off now.
func (f *field) late(at time.Time, text string) {
	f.t.Helper()
	f.sent++
	raw, err := event.Encode(event.Event{
		ID: "late" + stamp(at) + text, Operator: "7", At: at, Kind: event.Said, Message: f.sent, Text: text,
	})
	f.must(err)
	f.must(f.desk.Accept(nil, raw))
	f.work()
}

// texts are what was said since, joined.
func (f *field) texts(since int) string {
	var all []string
	for _, o := range f.said[since:] {
		all = append(all, o.Text)
	}
	return strings.Join(all, "\n--\n")
}

// armed is the first pass at or after a moment for which a reminder is to come.
func (f *field) armed(from time.Time) storage.Pass {
	f.t.Helper()
	var found storage.Pass
	f.must(f.store.View(func(v *storage.View) error {
		passes, err := v.Passes("7", from, from.Add(72*time.Hour))
		for _, p := range passes {
			if found.ID == "" && p.Followed() && !p.Void && p.Decided.IsZero() && p.AOS.After(from) {
				found = p
			}
		}
		return err
	}))
	if found.ID == "" {
		f.t.Fatal("no pass is followed")
	}
	return found
}

// reminders counts what rang for a pass.
func (f *field) reminders(id storage.PassID) (n int) {
	for _, o := range f.said {
		if o.Name == "7/remind/"+string(id) {
			n++
		}
	}
	return n
}

// A backlog is read as of when each message was sent, and told in one line.
func TestBacklogIsReadAsOfItsTime(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	pass := f.armed(f.now)
	sent := pass.AOS.Add(2 * time.Minute)
	f.now = pass.LOS.Add(3 * time.Hour)
	before := len(f.said)
	f.late(sent, "hx7abc jo33")
	f.late(sent.Add(time.Minute), "di4zab jo43")
	f.until(f.now.Add(time.Minute))

	all := f.contacts()
	if len(all) != 2 {
		t.Fatalf("%d contacts, want 2", len(all))
	}
	if c := all[0]; c.Pass != pass.ID || !c.Time.Equal(sent) {
		t.Errorf("the first contact is of %s at %s, want %s at %s", c.Pass, c.Time, pass.ID, sent)
	}
	if f.reminders(pass.ID) != 0 {
		t.Error("a reminder came after LOS")
	}
	var lines int
	for _, o := range f.said[before:] {
		if strings.HasPrefix(o.Text, "Caught up: 2 messages") {
			lines++
			if !strings.Contains(strings.ReplaceAll(o.Text, "\n ", ""), "2 new contacts") {
				t.Errorf("what was caught up: %q", o.Text)
			}
		}
	}
	if lines != 1 {
		t.Errorf("what was caught up was told %d times:\n%s", lines, f.texts(before))
	}
}

// Nothing ran for longer than passes are planned ahead. What was sent on the last
// day is of the passes of that day all the same, one that was over already too.
func TestBacklogAfterDays(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	day6 := utc("2026-09-06T00:00:00Z")
	f.now = day6.Add(23 * time.Hour)
	f.late(day6.Add(12*time.Hour+47*time.Minute), "hx7abc jo33 1233z") // the pass is over
	f.late(day6.Add(14*time.Hour+3*time.Minute), "di4zab jo43")        // during one
	f.until(f.now.Add(time.Minute))

	all := f.contacts()
	if len(all) != 2 {
		t.Fatalf("%d contacts, want 2:\n%s", len(all), f.texts(0))
	}
	for i, want := range []string{"20260906T1229", "20260906T1401"} {
		if c := all[i]; !strings.HasPrefix(string(c.Pass), want) || c.State != storage.Certain {
			t.Errorf("%s is of pass %q (%v), want %s", c.Call, c.Pass, c.State, want)
		}
	}
}

// A clock that runs ahead for a while takes nothing away from what is to come,
// and nothing is told twice when it is right again.
func TestClockAheadAndBack(t *testing.T) {
	for _, ahead := range []time.Duration{20 * time.Minute, 5 * time.Hour, 30 * time.Hour, 10 * 24 * time.Hour} {
		t.Run(ahead.String(), func(t *testing.T) {
			f := newField(t, "2026-09-01T06:00:00Z")
			right := f.now
			f.now = right.Add(ahead)
			_, err := f.desk.Due(f.now) // all that seems to be over, at once
			f.must(err)
			f.deliver()
			f.now = right
			f.must(f.desk.Replan(f.now))
			end := right.Add(60 * time.Hour)
			f.until(end)

			checked := 0
			f.must(f.store.View(func(v *storage.View) error {
				passes, err := v.Passes("7", right.Add(storage.DefaultRemind().Lead), end.Add(-time.Hour))
				for _, p := range passes {
					if !p.Followed() || p.Void {
						continue
					}
					checked++
					wrong := p.Decided.Equal(right.Add(ahead)) // told then: not again
					if p.Decided.IsZero() || !wrong && (p.Decided.After(p.LOS) || p.AOS.Sub(p.Decided) > time.Hour) {
						t.Errorf("%s was decided at %s", p.ID, p.Decided)
					}
					if late := p.Closed.Sub(p.LOS); late < 0 || late > time.Minute {
						t.Errorf("%s was closed %s after LOS", p.ID, late)
					}
				}
				return err
			}))
			if checked < 4 {
				t.Errorf("only %d passes followed", checked)
			}
			names := map[string]bool{}
			for _, o := range f.said {
				if strings.HasPrefix(o.Name, "7/remind/") && names[o.Name] {
					t.Errorf("%s went out twice", o.Name)
				}
				names[o.Name] = true
			}
			if len(names) < 4 {
				t.Errorf("only %d posts", len(names))
			}
		})
	}
}

// A machine that slept over passes tells of none of them, and of all to come.
func TestAsleep(t *testing.T) {
	f := newField(t, "2026-09-01T06:00:00Z")
	first := f.armed(f.now)
	f.now = first.LOS.Add(8 * time.Hour)
	_, err := f.desk.Due(f.now)
	f.must(err)
	f.deliver()
	if f.reminders(first.ID) != 0 {
		t.Error("a reminder came after LOS")
	}
	f.until(f.now.Add(time.Minute))
	if !strings.Contains(f.texts(0), "Dropped, because it came after LOS") {
		t.Errorf("nothing told of the reminder that was dropped:\n%s", f.texts(0))
	}
	next := f.armed(f.now)
	f.until(next.LOS)
	if n := f.reminders(next.ID); n != 1 {
		t.Errorf("%d reminders for the next pass", n)
	}
}
