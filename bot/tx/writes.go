package tx

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/timing"
	"skyslate/storage"
)

// Add puts a new contact, or a new version of a known one, into the plan and
// into the step that undo takes back.
func (t *Tx) Add(c storage.Contact) storage.Contact {
	c.Operator, c.Made = t.Op.ID, t.Event.At
	c.Cause.Event = t.Event.ID
	c.Number = t.groupOf(c.Pass, c.Bird, c.Time).numberFor(c, func() []storage.Contact {
		if _, known := t.StoredContact(c.ID); !known {
			return nil
		}
		return List(t, func() ([]storage.Contact, error) { return t.View.History(t.Op.ID, c.ID) })
	})
	from := 0
	if c.ID == 0 {
		c.ID = t.NewID()
		c.Version = 1
	} else if planned, ok := t.Contacts[c.ID]; ok {
		// One version an event: a second change in the same one refines it.
		c.Version = planned.Version
		t.keepContact(c)
		return c
	} else {
		from = c.Version
		c.Version++
	}
	t.keepContact(c)
	t.expectSummary(c)
	t.Moves = append(t.Moves, storage.Move{Contact: c.ID, From: from, To: c.Version})
	return c
}

// keepContact makes c the version that the plan leaves.
func (t *Tx) keepContact(c storage.Contact) {
	t.Contacts[c.ID] = c
	t.Use(append(c.Rivals[:len(c.Rivals):len(c.Rivals)], c.Pass)...)
	clear(t.workedIn)
	if t.called[c.Call] == nil {
		t.called[c.Call] = map[uint64]bool{}
	}
	t.called[c.Call][c.ID] = true
	for _, g := range t.groups {
		g.put(&c)
	}
}

// expectSummary makes sure that a pass with contacts is summed up after LOS, also
// if nobody armed it.
func (t *Tx) expectSummary(c storage.Contact) {
	pass, ok := t.Pass(c.Pass)
	if over := !pass.LOS.After(t.Now()); ok && pass.Closed.IsZero() && (over || !pass.Followed()) {
		t.At(MomentSet, timing.Later(pass.LOS, t.Now()), pass.ID)
	}
}

// NewID is the number of the next contact.
func (t *Tx) NewID() uint64 {
	if t.nextID == 0 {
		t.nextID = t.View.NextContact(t.Op.ID)
	}
	id := t.nextID
	t.nextID++
	return id
}

// ChangeMessage puts an earlier message, changed, into the plan.
func (t *Tx) ChangeMessage(m storage.Message) {
	t.Use(m.Pass)
	if t.Message != nil && t.Message.ID == m.ID {
		*t.Message = m
		return
	}
	for i := range t.others {
		if t.others[i].ID == m.ID {
			t.others[i] = m
			return
		}
	}
	t.others = append(t.others, m)
}

// Keep keeps a small value under the operator's own key; nil for none.
func (t *Tx) Keep(key string, value []byte) { t.kept[key] = value }

// Name makes the name of a post: unique, and the same on a replay.
func (t *Tx) Name(parts ...any) string {
	var name strings.Builder
	name.WriteString(string(t.Op.ID))
	for _, part := range parts {
		name.WriteString("/" + fmt.Sprint(part))
	}
	return name.String()
}

// MostMade is how many requests of a day are answered with files: pictures, logs, calendars.
const MostMade = 200

// Post owes the operator something. Everything but a reminder is silent. A file that was
// asked for is not owed where too many were on the day.
func (t *Tx) Post(post storage.Post) {
	if asked := post.Op == storage.File && post.Offer == nil && t.Event.Kind != event.Moment; asked && madeTooMany(t) {
		return
	}
	post.Operator, post.Made = t.Op.ID, t.Now()
	if post.Op == "" {
		post.Op = storage.Send
	}
	t.Posts = append(t.Posts, shaped(post))
}

// madeTooMany counts the event as one that asks for files, and says so at the first that is
// too many.
func madeTooMany(t *Tx) bool {
	if !t.makes {
		t.makes = true
		if t.Op.Flow.Made++; t.Op.Flow.Made == MostMade+1 {
			t.Say(limits.TooManyMade)
		}
	}
	return t.Op.Flow.Made > MostMade
}

// Asking is the class of a question: of one to somebody who has just written, or
// of one that comes by itself.
func (t *Tx) Asking() storage.Class {
	if t.Event.Kind == event.Moment {
		return storage.ClassQuestion
	}
	return storage.ClassAsk
}

// Say answers the operator's message with a text, in as many messages as it takes;
// the last one has the buttons.
func (t *Tx) Say(text string, buttons ...[]storage.Button) {
	pages := layout.Pages(text)
	for i, page := range pages {
		post := storage.Post{Name: t.Name("say", t.Event.ID, len(t.Posts)), ReplyTo: t.Event.Message, Text: page, Silent: true}
		if i == len(pages)-1 {
			post.Buttons = buttons
		}
		t.Post(post)
	}
}

// Put sends a silent post, or edits the one of the same name that is out.
func (t *Tx) Put(post storage.Post) {
	post.Op, post.Silent = storage.Send, true
	post.Text = cmp.Or(post.Text, say.NothingLeft)
	post = shaped(post)
	old, ok := t.StoredPost(post.Name)
	if ok {
		if old.Shows(post) && old.Means(post) {
			return
		}
		post.Op, post.Target = storage.Edit, post.Name
		if post.Class == storage.ClassAsk {
			post.Class = storage.ClassAnswer // it corrects what is read already
		}
		post.Name += storage.EditOf
	}
	t.Post(post)
}

// EditTapped replaces the text of the post whose button was tapped, and its
// buttons.
func (t *Tx) EditTapped(text string, rows ...[]storage.Button) {
	post, ok := t.TappedPost()
	if !ok {
		t.Say(text, rows...)
		return
	}
	if text != post.Text {
		post.Text, post.Spans = text, nil
	}
	post.Buttons = rows
	post.NotAfter, post.Class, post.Due = time.Time{}, storage.ClassAnswer, time.Time{}
	t.Put(post)
}

// shaped is the last guard of what goes out: it fits a phone, but for a sign, and
// the caption of a file, whose lines do. A text that has its spans is shaped already.
func shaped(post storage.Post) storage.Post {
	text := post.Text
	switch {
	case post.Op == storage.React || len(post.Spans) > 0:
		return post
	case post.Op == storage.File:
		text = layout.Caption(text)
	default:
		text = layout.Fit(text)
	}
	var spans []layout.Span
	post.Text, spans = layout.Styled(text)
	for _, span := range spans {
		post.Spans = append(post.Spans, storage.Span{Start: span.Start, End: span.End, Style: storage.Style(span.Style)})
	}
	return post
}
