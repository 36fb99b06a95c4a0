package bot

import (
	"bytes"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
)

// An event whose changes the store refuses is set aside: it holds nobody up.
func TestRefusedEventIsSetAside(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	bad, err := event.Encode(event.Event{ID: "bad", Operator: "8\x00", At: f.now, Kind: event.Said, Message: 1, Text: "/help"})
	f.must(err)
	f.must(f.store.Accept(nil, bad))
	if worked, err := f.desk.Work(f.now); !worked || err != nil {
		t.Fatalf("worked: %v, %v", worked, err)
	}
	f.say("/help")
	if _, waits, err := f.store.Oldest(); waits || err != nil {
		t.Errorf("something still waits (%v)", err)
	}
	faults, err := f.store.Faults(time.Time{})
	f.must(err)
	if len(faults) != 1 {
		t.Errorf("%d faults are known, want the event set aside", len(faults))
	}
}

// A moment whose event counts as seen changes nothing: it is taken off the agenda
// and told, and the agenda goes on.
func TestMomentThatIsSeenAlready(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	var log bytes.Buffer
	f.desk.log = slog.New(slog.NewTextHandler(&log, nil))
	stuck := storage.Item{Key: "nothing/7/", At: f.now.Add(time.Minute), Operator: "7", Kind: "nothing", By: "#1"}
	after := storage.Item{Key: "other/7/", At: f.now.Add(2 * time.Minute), Operator: "7", Kind: "other", By: "#1"}
	f.must(f.store.Commit("plan", f.now, storage.Changes{Agenda: []storage.Item{stuck, after}}))
	f.must(f.store.Commit(stuck.Key+"@"+stamp(stuck.At)+stuck.By, f.now, storage.Changes{}))
	f.until(f.now.Add(3 * time.Minute))
	for _, it := range []storage.Item{stuck, after} {
		if _, there, err := f.store.Item(it.Key); there || err != nil {
			t.Errorf("%s is still on the agenda (%v)", it.Key, err)
		}
	}
	if n := strings.Count(log.String(), "nothing/7/"); n != 1 {
		t.Errorf("told %d times:\n%s", n, log.String())
	}
}

// An edit that has become needless, because the post it changes is not on screen, is
// dropped: nothing is wrong.
func TestNeedlessEditIsNoError(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	var log bytes.Buffer
	f.desk.log = slog.New(slog.NewTextHandler(&log, nil))
	post := storage.Post{Name: "7/hello", Operator: "7", Op: storage.Send, Text: "hello"}
	f.must(f.store.Commit("hello", f.now, storage.Changes{Posts: []storage.Post{post}}))
	f.must(f.store.Settle(post.Name, "", f.now)) // under no number: there is nothing to change
	for n, text := range []string{"hello again", "hello once more"} {
		edit := storage.Post{Name: fmt.Sprint("7/edit", n), Operator: "7", Op: storage.Edit, Target: post.Name, Text: text}
		f.must(f.store.Commit(edit.Name, f.now, storage.Changes{Posts: []storage.Post{edit}}))
	}
	o, taken, err := f.desk.Take(f.now)
	f.must(err)
	faults, err := f.store.Faults(time.Time{})
	f.must(err)
	if taken || len(faults) > 0 || strings.Contains(log.String(), "ERROR") || !strings.Contains(log.String(), "needless") {
		t.Errorf("taken %q, faults %v, log:\n%s", o.Name, faults, log.String())
	}
}

// A reminder that waits for its turn says how long it is until AOS by then.
func TestReminderSentLate(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	var reminder storage.Post
	for reminder.Name == "" {
		next, _, err := f.desk.Next()
		f.must(err)
		f.now = next
		_, err = f.desk.Due(f.now)
		f.must(err)
		posts, err := f.store.Owed(f.now)
		f.must(err)
		for _, p := range posts {
			if p.Class == storage.ClassReminder {
				reminder = p
			}
		}
		if reminder.Name == "" {
			f.deliver()
		}
	}
	left := reminder.Due.Sub(f.now)
	for in, want := range map[time.Duration]string{
		0:                     "OCHRE-1 rises in 10 min in the ",
		3 * time.Minute:       "OCHRE-1 rises in 7 min in the ",
		left - 80*time.Second: "OCHRE-1 rises in 80 s in the ",
		left + 20*time.Second: "OCHRE-1 rose at " + reminder.Due.UTC().Format("15:04:05") + " UTC in the ",
	} {
		o, err := f.desk.render(reminder, f.now.Add(in))
		f.must(err)
		if whole := strings.ReplaceAll(o.Text, "\n", " "); !strings.HasPrefix(whole, want) {
			t.Errorf("after %s it begins with %q, want %q", in, whole, want)
		}
	}
	owed, err := f.desk.Owed(reminder.NotAfter.Add(time.Second))
	f.must(err)
	for _, o := range owed {
		if o.Name == reminder.Name {
			t.Error("it goes out after LOS")
		}
	}
}

// Every post says how soon it goes out.
func TestClasses(t *testing.T) {
	f := newField(t, "2026-09-01T12:00:00Z")
	classes := map[storage.Class]map[string]bool{}
	look := func() {
		posts, err := f.store.Owed(f.now)
		f.must(err)
		for _, p := range posts {
			if classes[p.Class] == nil {
				classes[p.Class] = map[string]bool{}
			}
			kind, _, _ := strings.Cut(strings.TrimPrefix(p.Name, "7/"), "/")
			classes[p.Class][kind] = true
			if (p.Class == storage.ClassReminder) == p.Due.IsZero() {
				t.Errorf("%s of class %q is due %s", p.Name, p.Class, p.Due)
			}
		}
		f.deliver()
	}
	for range 40 {
		next, ok, err := f.desk.Next()
		f.must(err)
		if !ok {
			break
		}
		f.now = next
		_, err = f.desk.Due(f.now)
		f.must(err)
		look()
	}
	for n, text := range []string{"/help", "/look", "hx7abc jo33", "HX7A8C JO33"} {
		raw, err := event.Encode(event.Event{
			ID: fmt.Sprint("class", n), Kind: event.Said, Operator: "7", At: f.now, Message: int64(900 + n), Text: text,
		})
		f.must(err)
		f.must(f.desk.Accept(nil, raw))
		_, err = f.desk.Work(f.now)
		f.must(err)
		look()
	}
	for class, kinds := range map[storage.Class][]string{
		storage.ClassAnswer: {"say", "ack"}, storage.ClassReminder: {"remind"}, storage.ClassCard: {"card", "sky"}, storage.ClassAsk: {"ask"},
	} {
		for _, kind := range kinds {
			if !classes[class][kind] {
				t.Errorf("no %s among %v of class %q", kind, classes[class], class)
			}
		}
	}
}
