package run

import (
	"context"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/bot/rehearsal"
	"skyslate/bot/sky"
	"skyslate/storage"
)

// scene is the rehearsal's operator and birds, on orbits moved to begin at the
// present moment of the bubble.
func scene(t *testing.T) (*sky.Sky, storage.Operator) {
	t.Helper()
	s, err := rehearsal.Open("7")
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Elements {
		s.Elements[i].Epoch = now()
	}
	return sky.New(s.Birds, s.Elements), s.Operator
}

// A reminder makes a sound; everything else is silent.
func rings(sent []sending) []sending {
	return slices.DeleteFunc(slices.Clone(sent), func(s sending) bool { return s.Silent || s.Op != storage.Send })
}

// passesOf are the passes that an operator follows.
func passesOf(t *testing.T, h house, op storage.Operator, from, to time.Time) (all []storage.Pass) {
	t.Helper()
	err := h.store.View(func(v *storage.View) error {
		passes, err := v.Passes(op.ID, from, to)
		all = slices.DeleteFunc(passes, func(p storage.Pass) bool { return !p.Followed() })
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// followed is when the reminders of those passes fall due.
func followed(t *testing.T, h house, op storage.Operator, from, to time.Time) map[storage.PassID]time.Time {
	t.Helper()
	due := make(map[storage.PassID]time.Time)
	for _, p := range passesOf(t, h, op, from, to) {
		due[p.ID] = p.AOS.Add(-op.Remind.Lead)
	}
	return due
}

// waited reports whether a reminder came in another pass of the operator's that was up
// when it fell due: it waits for the end of its best minutes.
func waited(t *testing.T, h house, op storage.Operator, at time.Time) bool {
	t.Helper()
	var ups []storage.Pass
	err := h.store.View(func(v *storage.View) (err error) {
		ups, err = v.Passes(op.ID, at, at.Add(time.Second))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, due := range followed(t, h, op, at, at.Add(op.Remind.Lead)) {
		if due.Before(at) && slices.ContainsFunc(ups, func(p storage.Pass) bool { return p.Followed() && p.Up(due) }) {
			return true
		}
	}
	return false
}

// Three days of the loops: every reminder goes out within one beat of its
// moment, or of when it had to wait for, and once.
func TestRemindersKeepTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		sky, op := scene(t)
		h, a := newHouse(t, bot.Config{Sky: sky}), &app{}
		start := now()
		if err := h.desk.SetUp(op, start); err != nil {
			t.Fatal(err)
		}
		_, stop := running(t, h, a, nil)
		time.Sleep(72 * time.Hour)
		end := now()
		if err := stop(); err != nil {
			t.Error(err)
		}
		due := slices.SortedFunc(maps.Values(followed(t, h, op, start, end)), time.Time.Compare)
		due = slices.DeleteFunc(due, func(at time.Time) bool { return at.After(end.Add(-tickEvery)) || at.Before(start) })
		got := rings(a.to(op.ID))
		if len(got) == 0 {
			t.Fatal("no reminder in three days")
		}
		t.Logf("%d reminders for %d passes", len(got), len(due))
		names := make(map[string]bool)
		for _, s := range got {
			if names[s.Name] {
				t.Errorf("%s went out twice", s.Name)
			}
			names[s.Name] = true
			if !slices.ContainsFunc(due, func(at time.Time) bool { return !s.at.Before(at) && s.at.Sub(at) <= tickEvery }) && !waited(t, h, op, s.at) {
				t.Errorf("a reminder at %s belongs to no moment within %s", s.at, tickEvery)
			}
		}
		for _, p := range passesOf(t, h, op, start.Add(op.Remind.Lead), end.Add(-tickEvery)) {
			clock := p.AOS.UTC().Round(time.Second).Format("15:04")
			tells := func(s sending) bool {
				return s.at.Before(p.LOS) && strings.Contains(s.Text, p.Bird.Name) && strings.Contains(s.Text, clock)
			}
			if !slices.ContainsFunc(got, tells) {
				t.Errorf("no reminder tells of %s %s", p.Bird.Name, clock)
			}
		}
	})
}

// After a start the agenda waits for what was typed meanwhile, at most half a
// minute.
func TestAgendaWaitsForBacklog(t *testing.T) {
	for _, tt := range []struct {
		name     string
		caughtUp time.Duration // 0: never
		atLeast  time.Duration
		atMost   time.Duration
	}{
		{"short", 12 * time.Second, 12 * time.Second, 12 * time.Second},
		{"never", 0, backlogWait, backlogWait + tickEvery},
	} {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				sky, op := scene(t)
				h := newHouse(t, bot.Config{Sky: sky})
				if err := h.desk.SetUp(op, now()); err != nil {
					t.Fatal(err)
				}
				if _, err := h.desk.Due(now()); err != nil { // plans the passes
					t.Fatal(err)
				}
				due := slices.SortedFunc(maps.Values(followed(t, h, op, now(), now().Add(48*time.Hour))), time.Time.Compare)
				if len(due) == 0 {
					t.Fatal("no pass is followed")
				}
				time.Sleep(due[0].Add(time.Minute).Sub(now())) // the reminder fell due while nothing ran
				a := &app{}
				a.receive = func(ctx context.Context, in Intake) error {
					if tt.caughtUp == 0 {
						<-ctx.Done()
						return ctx.Err()
					}
					time.Sleep(tt.caughtUp)
					return in.Accept(nil, said(t, "7", 1, "/help"))
				}
				start := now()
				_, stop := running(t, h, a, nil)
				time.Sleep(2 * time.Minute)
				if err := stop(); err != nil {
					t.Error(err)
				}
				got := rings(a.to("7"))
				if len(got) != 1 {
					t.Fatalf("%d reminders, want 1", len(got))
				}
				if waited := got[0].at.Sub(start); waited < tt.atLeast || waited > tt.atMost {
					t.Errorf("the reminder went out after %s, want %s to %s", waited, tt.atLeast, tt.atMost)
				}
				if tt.caughtUp > 0 && a.to("7")[0].ReplyTo != "1" {
					t.Errorf("the reminder came before the answer to what was typed: %q", firstLine(a.to("7")[0].Text))
				}
			})
		})
	}
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
