package second

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// Which posts go to which of two phones is decided here, where what the event comes to is
// put together, and nowhere else:
//
//	an answer to an event, a picture
//	that was asked for                  the phone that it came from
//	a sign on a message                 the phone that wrote it
//	what is of a pass and its log       both, and so are their edits
//	all else: settings, days, files     the operator's
//
// Below an echo, or a question, that shows a contact changed by the other phone stands who
// that was, and what the contact was before, until the contact is changed again.
//
// A second phone's copy is silent, and has the buttons that the phone may tap. A card
// that went up before the phone came goes up there as soon as it moves; other posts of
// before are not edited there.

// shared are the posts that go to both phones: the first part of their names, after the
// operator's.
var shared = []string{"ack", "ask", "which", "again", "slate", "sum", "card", "remind", "early"}

// Shared reports whether posts whose names begin with a kind go to both phones.
func Shared(kind string) bool { return slices.Contains(shared, kind) }

// answering are the posts that answer an event, pictures among them.
var answering = []string{"say", "speech", "sky", "reach", "worked"}

// kindOf is the first part of a post's name after the operator's.
func (p *Phones) kindOf(name string) string {
	kind, _, _ := strings.Cut(strings.TrimPrefix(name, p.Name()+"/"), "/")
	return kind
}

// delivered are posts, each for the phones that it is for.
func (p *Phones) delivered(posts []storage.Post) []storage.Post {
	second, on := p.Second()
	if !on {
		for i := range posts {
			posts[i] = p.noted(posts[i], parse.Callsign{}, false)
		}
		return append(p.withoutAway(posts), p.alone...)
	}
	came := p.Event.Second != ""
	others, operators := p.callOf(second.Of), p.Op.Call
	var all []storage.Post
	for _, post := range posts {
		theirs, kind := phones.Of(post.ReplyTo), p.kindOf(post.Name)
		answers := slices.Contains(answering, kind)
		toOwn, toSecond := !came || !answers, came && answers || Shared(kind)
		if post.Op == storage.React {
			toOwn, toSecond = theirs == 0, theirs == second.Number
		}
		if toOwn {
			own := post
			if theirs != 0 {
				own.ReplyTo = 0 // no message of this phone
			}
			all = append(all, p.noted(own, others, came))
		}
		if toSecond {
			if c, ok := p.copied(second, post, operators); ok {
				all = append(all, c)
			}
		}
	}
	return append(all, p.alone...)
}

// noted adds to a post that shows contacts how the other phone has changed them: by the
// event, if that came from there, or before, where the event changes nothing of them.
func (p *Phones) noted(post storage.Post, other parse.Callsign, fromOther bool) storage.Post {
	if kind := p.kindOf(tx.Original(p.Op.ID, post).Name); kind != "ack" && kind != "ask" {
		return post
	}
	stands, _ := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.Post(cmp.Or(post.Target, post.Name)) })
	about, lines, changed := post.About, "", false
	if about == nil {
		about = stands.About
	}
	for _, id := range about {
		was, known := p.StoredContact(id)
		now, touched := p.Contacts[id]
		if !known || !touched {
			continue
		}
		line := say.ChangedBy(other, shown.Contact(was), shown.Contact(now), post.Text == say.NothingLeft)
		changed = changed || line != ""
		if strings.Count(post.Text+lines+line, "\n") < layout.Lines {
			lines += line
		}
	}
	switch {
	case !changed && (post.About != nil || stands.Text == post.Text+stands.Below):
		lines = stands.Below // it shows them still
	case !changed || !fromOther || p.Event.Kind == event.Moment:
		lines = ""
	}
	if strings.Count(post.Text+lines, "\n") < layout.Lines {
		post.Text, post.Below = post.Text+lines, lines
	}
	return post
}

// Deliver gives each of the event's posts to the phones that it is for.
func (p *Phones) Deliver() {
	p.Posts = p.delivered(p.Posts)
	p.noteQuestions(p.Posts)
}

// noteQuestions keeps the post that went to each phone last: it may ask something.
func (p *Phones) noteQuestions(all []storage.Post) {
	for _, post := range all {
		if post.Op != storage.Send || post.Class == storage.ClassCard {
			continue
		}
		if post.Operator == p.Op.ID {
			p.Op.Question = post.Name
		}
		for i := range p.Op.Phones {
			if o := &p.Op.Phones[i]; o.Of == post.Operator {
				o.Question = post.Name
			}
		}
	}
}

// copied is a post as it goes to a second phone. An edit of what the phone never got is
// none there, but that of a card.
func (p *Phones) copied(second storage.Phone, post storage.Post, operators parse.Callsign) (storage.Post, bool) {
	c := p.noted(p.copyOf(second, post), operators, p.Event.Second == "")
	if post.Op != storage.Edit {
		return c, true
	}
	old, has := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.Post(c.Target) })
	if has && old.Shows(c) && old.Means(c) {
		return c, false
	}
	if !has {
		c.Name, c.Op, c.Target = c.Target, storage.Send, ""
	}
	return c, has || p.kindOf(post.Name) == "card" && post.Pin == storage.PinOn
}

// copyOf is a post of an operator's log as another phone gets it.
func (p *Phones) copyOf(second storage.Phone, post storage.Post) storage.Post {
	post.Name = tx.CopyName(second.Of, post.Name)
	if post.Target != "" {
		post.Target = tx.CopyName(second.Of, post.Target)
	}
	post.Operator, post.Of, post.Silent = second.Of, p.Op.ID, true
	post.Buttons = tx.Filtered(post.Buttons, func(b storage.Button) bool { return p.May(tx.ReadTap(b.Data).Verb) })
	if phones.Of(post.ReplyTo) == second.Number {
		post.ReplyTo = phones.OnPhone(post.ReplyTo)
	} else {
		post.ReplyTo = 0
	}
	return post
}

// withoutAway leaves out what would tell somebody of a pass of theirs who writes into
// another's log now. What stands on screen of a pass that is over says so.
func (p *Phones) withoutAway(posts []storage.Post) []storage.Post {
	if p.Event.Kind != event.Moment || !p.View.Seat(p.Op.ID).Holds(p.Now()) {
		return posts
	}
	return lists.Filter(posts, func(post storage.Post) bool {
		ofPass := Shared(p.kindOf(post.Name)) && post.Op == storage.Send
		return !ofPass && post.Class != storage.ClassReminder && post.Class != storage.ClassCard
	})
}
