package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/storage"
)

func (f *field) count(text string) (n int) {
	for _, o := range f.said {
		if o.Text == text {
			n++
		}
	}
	return n
}

// Each limit is said once, holds until its time is over, and stops nobody from
// leaving.
func TestLimits(t *testing.T) {
	flow := func(f *field, change func(*storage.Flow)) {
		var op storage.Operator
		f.must(f.store.View(func(v *storage.View) (err error) { op, _, err = v.Operator("7"); return err }))
		op.Flow.Minute, op.Flow.Day = f.now.Truncate(time.Minute), f.now.Truncate(day)
		change(&op.Flow)
		f.must(f.store.Commit("flow"+stamp(f.now), f.now, storage.Changes{Operator: &op}))
	}
	document := Event{Kind: Handed, Message: 99, File: &Document{Name: "x.txt", Body: []byte("x")}}
	for _, tt := range []struct {
		name  string
		near  func(*storage.Flow)
		says  string
		over  time.Duration
		event func(f *field)
	}{
		{"minute", func(f *storage.Flow) { f.InMinute = mostInMinute }, textTooManyNow, time.Minute, nil},
		{"day", func(f *storage.Flow) { f.InDay = mostInDay }, textTooManyToday, 24 * time.Hour, nil},
		{"contacts", func(f *storage.Flow) { f.Contacts = mostContacts + 1 }, textTooManyContacts, 24 * time.Hour, nil},
		{"documents", func(f *storage.Flow) { f.Documents = mostDocuments }, textTooManyDocuments, 24 * time.Hour, func(f *field) {
			e := document
			e.ID = fmt.Sprint("doc", f.now, len(f.said))
			f.event(e)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := newField(t, "2026-09-01T06:00:00Z")
			send := tt.event
			if send == nil {
				send = func(f *field) { f.say("hx7abc jo33") }
			}
			flow(f, tt.near)
			send(f)
			send(f)
			if n := f.count(tt.says); n != 1 {
				t.Errorf("said %d times, want once:\n%s", n, f.texts(0))
			}
			if n := len(f.contacts()); n != 0 {
				t.Errorf("%d contacts beyond the limit", n)
			}
			if tt.name != "minute" {
				f.say("/forget")
				if !strings.Contains(f.said[len(f.said)-1].Text, "removes your settings") {
					t.Errorf("/forget is answered with %q", f.said[len(f.said)-1].Text)
				}
			}
			f.now = f.now.Add(tt.over)
			before := len(f.said)
			send(f)
			if f.count(tt.says) != 1 || len(f.said) == before {
				t.Errorf("after %s:\n%s", tt.over, f.texts(before))
			}
		})
	}
}

func TestKeepEdits(t *testing.T) {
	var edits []storage.Revision
	for i := range 3 * mostEdits {
		edits = keepEdits(append(edits, storage.Revision{Text: fmt.Sprint(i)}))
	}
	if len(edits) != mostEdits || edits[0].Text != "0" || edits[1].Text != fmt.Sprint(2*mostEdits+1) || edits[mostEdits-1].Text != fmt.Sprint(3*mostEdits-1) {
		t.Errorf("%d kept: %v", len(edits), edits)
	}
}

// What is owed goes out by rank, and in order within a rank.
func TestInTurn(t *testing.T) {
	file := func(kind string) storage.Post {
		return storage.Post{Operator: "7", Name: "7/" + kind, Op: storage.File, Recipe: &storage.Recipe{Kind: kind}}
	}
	named := func(names ...string) (posts []storage.Post) {
		for _, n := range names {
			posts = append(posts, storage.Post{Operator: "7", Name: "7/" + n, Op: storage.Send})
		}
		return posts
	}
	posts := append([]storage.Post{file(recipeSky), file(recipeADIF), file(recipeReach), file(recipeCalendar)},
		named("sum/p", "remind/p", "missed/x", "ask/1", "ack/1", "which/p", "say/x/0", "ack/2")...)
	edit := storage.Post{Operator: "7", Name: "7/sum/q/edit", Op: storage.Edit}
	posts = append(posts, edit)
	inTurn(posts)
	var got []string
	for _, p := range posts {
		got = append(got, strings.TrimPrefix(p.Name, "7/"))
	}
	want := "ack/1 say/x/0 ack/2 sum/q/edit ask/1 which/p remind/p sum/p missed/x adif calendar sky reach"
	if s := strings.Join(got, " "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
}

func TestTextsOfLimitsFit(t *testing.T) {
	at := utc("2026-09-01T13:14:00Z")
	for _, text := range []string{
		textTooManyNow, textTooManyToday, textTooManyContacts, textTooManyDocuments, textNoRoom,
		missedText(storage.Missed{From: at, To: at.Add(time.Hour), Messages: 1234, Contacts: 1234, Reminders: 12}),
		forgottenText([]string{"backups/skyslate-20260901T030000Z.db", "backups/skyslate-20260831T030000Z.db", "skyslate.db.broken-20260801T030000Z"}, nil),
	} {
		checkFits(t, text, textLines)
	}
}
