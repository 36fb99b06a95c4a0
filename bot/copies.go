package bot

import (
	"slices"
	"strings"

	"skyslate/bot/event"
	"skyslate/bot/tx"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// Which posts go to which of two phones is decided here, where what the event comes to is
// put together, and nowhere else:
//
//	an answer to an event               the phone that it came from
//	a sign on a message                 the phone that wrote it
//	what is of a pass and its log       both, and so are their edits
//	all else: settings, days, files     the operator's
//
// A second phone's copy is silent, and has the buttons that the phone may tap. A card
// that went up before the phone came goes up there as soon as it moves; other posts of
// before are not edited there.

// shared are the posts that go to both phones: the first part of their names, after the
// operator's.
var shared = []string{"ack", "ask", "which", "again", "slate", "sum", "card", "remind", "early"}

// answering are the posts that answer an event.
var answering = []string{"say", "speech"}

// kindOf is the first part of a post's name after the operator's.
func (p *plan) kindOf(name string) string {
	kind, _, _ := strings.Cut(strings.TrimPrefix(name, p.Name()+"/"), "/")
	return kind
}

// delivered are the plan's posts, each to the phones that it is for.
func (p *plan) delivered(posts []storage.Post) []storage.Post {
	second, on := p.Second()
	if !on {
		return append(p.withoutAway(posts), p.onSecond...)
	}
	came := p.Event.Second != ""
	var all []storage.Post
	for _, post := range posts {
		theirs, kind := phones.Of(post.ReplyTo), p.kindOf(post.Name)
		answers := slices.Contains(answering, kind)
		toOwn, toSecond := !came || !answers, came && answers || slices.Contains(shared, kind)
		if post.Op == storage.React {
			toOwn, toSecond = theirs == 0, theirs == second.Number
		}
		if toOwn {
			own := post
			if theirs != 0 {
				own.ReplyTo = 0 // no message of this phone
			}
			all = append(all, own)
		}
		if toSecond && post.Op != storage.File {
			if c, ok := p.copied(second, post); ok {
				all = append(all, c)
			}
		}
	}
	return append(all, p.onSecond...)
}

// copied is a post as it goes to a second phone. An edit of what the phone never got is
// none there, but that of a card.
func (p *plan) copied(second storage.Phone, post storage.Post) (storage.Post, bool) {
	c := copyOf(p.Op.ID, second, post)
	if post.Op != storage.Edit {
		return c, true
	}
	_, has := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.Post(c.Target) })
	if !has {
		c.Name, c.Op, c.Target = c.Target, storage.Send, ""
	}
	return c, has || p.kindOf(post.Name) == "card" && post.Pin == storage.PinOn
}

// copyOf is a post of an operator's log as another phone gets it.
func copyOf(log storage.OperatorID, second storage.Phone, post storage.Post) storage.Post {
	post.Name = tx.CopyName(second.Of, post.Name)
	if post.Target != "" {
		post.Target = tx.CopyName(second.Of, post.Target)
	}
	post.Operator, post.Of, post.Silent = second.Of, log, true
	post.Buttons = tx.Filtered(post.Buttons, func(b storage.Button) bool { return bothTap[tx.ReadTap(b.Data).Verb] })
	if phones.Of(post.ReplyTo) == second.Number {
		post.ReplyTo = phones.OnPhone(post.ReplyTo)
	} else {
		post.ReplyTo = 0
	}
	return post
}

// withoutAway leaves out what would tell somebody of a pass of theirs who writes into
// another's log now.
func (p *plan) withoutAway(posts []storage.Post) []storage.Post {
	if p.Event.Kind != event.Moment || !p.View.Seat(p.Op.ID).Holds(p.Now()) {
		return posts
	}
	return tx.Filter(posts, func(post storage.Post) bool {
		return post.Class != storage.ClassReminder && post.Class != storage.ClassCard
	})
}
