package storage

import (
	"errors"
	"fmt"
	"strconv"
	"time"
)

// outPost is a post as stored.
type outPost struct {
	Post
	// Seq is the place in the queue; 0: not owed, because it is out or dropped.
	Seq uint64 `json:"seq,omitempty"`
	// Rev counts how often it was replaced while it was owed.
	Rev     uint64 `json:"rev,omitempty"`
	Dropped string `json:"dropped,omitempty"`
	// Failed says that it was dropped because something is wrong.
	Failed bool      `json:"failed,omitempty"`
	Ended  time.Time `json:"ended,omitzero"` // when it was out or dropped
}

func (p outPost) owed() bool { return p.Seq != 0 }

// out reports whether a post stands in the chat.
func (p outPost) out() bool { return !p.owed() && p.AppID != 0 && (p.Op == Send || p.Op == File) }

// show gives p the content of another post; what the other leaves open about
// its contacts, its pass and its recipe stays.
func (p *outPost) show(q Post) {
	p.Text, p.Buttons = q.Text, q.Buttons
	if q.Pin != PinAsItIs {
		p.Pin = q.Pin
	}
	if q.About != nil {
		p.About = q.About
	}
	if q.Pass != "" {
		p.Pass = q.Pass
	}
	if q.Recipe != nil {
		p.Recipe = q.Recipe
	}
}

func (t tx) post(name string) (outPost, bool, error) {
	return get[outPost](t.in(inPosts), textKey(name))
}

func (t tx) putPost(p outPost) error { return put(t.in(inPosts), textKey(p.Name), p) }

// owe puts a post into the outbox. What is owed already under its name gives
// its place to it; so does an edit of the same post, and a reaction to the same
// message. An edit of a post that is owed itself is absorbed by that.
func (t tx) owe(p Post) error {
	if p.Op == Edit {
		if done, err := t.editOwed(&p); done || err != nil {
			return err
		}
	}
	old, found, err := t.replaceable(p)
	switch {
	case err != nil:
		return err
	case found:
		p.Name = old.Name
		return t.putPost(outPost{Post: p, Seq: old.Seq, Rev: old.Rev + 1})
	}
	return errors.Join(t.retire(p.Name), t.enqueue(outPost{Post: p}))
}

func (t tx) enqueue(p outPost) error {
	k, _ := t.in(inOwed).Cursor().Last()
	p.Seq = lastUint(k) + 1
	return errors.Join(put(t.in(inOwed), uintKey(p.Seq), p.Name), t.putPost(p))
}

// maxEdits bounds a chain of edits that name each other.
const maxEdits = 8

// editOwed finds the post that an edit is about in the end and changes it in
// place if it is owed. An edit of what never went out is dropped.
func (t tx) editOwed(p *Post) (done bool, err error) {
	for range maxEdits {
		target, known, err := t.post(p.Target)
		switch {
		case err != nil:
			return false, err
		case known && target.owed():
			target.show(*p)
			target.Rev++
			return true, t.putPost(target)
		case known && target.Op == Edit:
			p.Target = target.Target
			continue
		case known && target.Dropped == "":
			return false, nil
		}
		break
	}
	return true, t.putPost(outPost{Post: *p, Dropped: "the post it changes never went out", Ended: p.Made})
}

// replaceable is the owed post whose place p takes.
func (t tx) replaceable(p Post) (old outPost, found bool, err error) {
	old, known, err := t.post(p.Name)
	if err != nil || (known && old.owed()) {
		return old, known, err
	}
	if p.Op != Edit && p.Op != React {
		return old, false, nil
	}
	err = t.eachOwed(func(q outPost) bool {
		if q.Op == p.Op && q.Operator == p.Operator &&
			(p.Op == Edit && q.Target == p.Target || p.Op == React && q.ReplyTo == p.ReplyTo) {
			old, found = q, true
		}
		return !found
	})
	return old, found, err
}

func (t tx) eachOwed(visit func(outPost) (more bool)) error {
	return scan(t.in(inOwed), nil, func(_ []byte, name string) (bool, error) {
		p, known, err := t.post(name)
		if err != nil {
			return false, err
		}
		if !known {
			return false, damaged("the owed post %q is missing", name)
		}
		return visit(p), nil
	})
}

// retire gives a post that is out another name, because its own is used again:
// a tap or a reply must still find it.
func (t tx) retire(name string) error {
	p, known, err := t.post(name)
	if err != nil || !known || p.AppID == 0 || p.Op == Edit || p.Op == React {
		return err
	}
	p.Name = name + "#" + strconv.FormatInt(p.AppID, 10)
	return errors.Join(t.indexPost(p), t.putPost(p))
}

// indexPost makes a post that is out known by the messaging app's number.
func (t tx) indexPost(p outPost) error {
	return put(t.in(inPostsByApp), opKey(p.Operator, intKey(p.AppID)), p.Name)
}

// Owed are the posts that must still go out, oldest first. Those that have
// become worthless by now are dropped on the way.
func (s *Store) Owed(now time.Time) ([]Post, error) {
	var owed, late []outPost
	err := s.read(func(t tx) error {
		return t.eachOwed(func(p outPost) bool {
			if !p.NotAfter.IsZero() && now.After(p.NotAfter) {
				late = append(late, p)
			} else {
				owed = append(owed, p)
			}
			return true
		})
	})
	if err != nil {
		return nil, fmt.Errorf("owed posts: %w", err)
	}
	for _, p := range late {
		if err := s.Drop(p.Name, "too late", now); err != nil {
			return nil, err
		}
	}
	return s.hand(owed), nil
}

// hand remembers what is handed out.
func (s *Store) hand(owed []outPost) []Post {
	s.handedMu.Lock()
	defer s.handedMu.Unlock()
	s.handed = make(map[string]outPost, len(owed))
	var posts []Post
	for _, p := range owed {
		s.handed[p.Name] = p
		posts = append(posts, p.Post)
	}
	return posts
}

// Settle says that the post of that name, as Owed last handed it out, is out
// since at under the messaging app's number appID (which edits and reactions
// don't need). It is found by PostByApp from then on, and the contacts of a
// file count as handed over. If the post was replaced in the meantime, the
// newer content is owed as an edit, or again. Settling twice does nothing, nor
// does settling a post whose operator was forgotten while it went out.
func (s *Store) Settle(name string, appID int64, at time.Time) error {
	s.handedMu.Lock()
	sent, handed := s.handed[name]
	s.handedMu.Unlock()
	return wrap(fmt.Sprintf("settle %q", name), s.update(func(t tx) error {
		p, known, err := t.post(name)
		switch {
		case err != nil || !known: // forgotten while it went out
			return err
		case !p.owed() && p.Dropped == "":
			return nil
		case !handed || sent.Rev == p.Rev:
			return t.settle(p, appID, at)
		}
		return t.settleOlder(sent, p, appID, at)
	}))
}

func (t tx) settle(p outPost, appID int64, at time.Time) error {
	if p.Last {
		return t.deletePost(p)
	}
	if err := t.unqueue(&p); err != nil {
		return err
	}
	p.Dropped, p.Failed, p.SentAt, p.Ended = "", false, at, at
	switch p.Op {
	case Edit:
		if err := t.showEdit(&p); err != nil {
			return err
		}
	case Send, File:
		p.AppID = appID
		if err := t.indexPost(p); err != nil {
			return err
		}
	}
	if p.Op == File && p.Recipe != nil {
		if err := t.markHanded(p.Operator, p.Recipe.Contacts, false, at); err != nil {
			return err
		}
	}
	return t.putPost(p)
}

// unqueue takes a post off the queue; nothing stands there under the number 0.
func (t tx) unqueue(p *outPost) error {
	err := t.in(inOwed).Delete(uintKey(p.Seq))
	p.Seq = 0
	return err
}

// showEdit makes an edit that is out the content of the post it changes.
func (t tx) showEdit(edit *outPost) error {
	target, known, err := t.post(edit.Target)
	if err != nil || !known {
		return err
	}
	target.show(edit.Post)
	edit.AppID = target.AppID
	return t.putPost(target)
}

// settleOlder settles what went out and owes what has replaced it since.
func (t tx) settleOlder(sent, newer outPost, appID int64, at time.Time) error {
	if err := t.unqueue(&newer); err != nil {
		return err
	}
	sent.Seq = 0
	if err := t.settle(sent, appID, at); err != nil {
		return err
	}
	again := newer.Post
	if sent.Op == Send {
		again.Op, again.Target, again.ReplyTo = Edit, sent.Name, 0
		again.Name = sent.Name + "/newer"
	}
	return t.owe(again)
}

// Owes reports whether a post of that name must still go out.
func (s *Store) Owes(name string) (owed bool, err error) {
	err = s.read(func(t tx) error {
		p, _, err := t.post(name)
		owed = p.owed()
		return err
	})
	return owed, wrap(fmt.Sprintf("post %q", name), err)
}

// Drop gives a post up: it is worthless by now, or nobody wants it.
func (s *Store) Drop(name, why string, at time.Time) error { return s.giveUp(name, why, at, false) }

// Fail gives a post up that can never go out, because something is wrong with it:
// it counts among the faults.
func (s *Store) Fail(name, why string, at time.Time) error { return s.giveUp(name, why, at, true) }

func (s *Store) giveUp(name, why string, at time.Time, failed bool) error {
	return wrap(fmt.Sprintf("drop %q", name), s.update(func(t tx) error {
		p, known, err := t.post(name)
		switch {
		case err != nil || !known || !p.owed():
			return err
		case p.Last:
			return t.deletePost(p)
		}
		p.Dropped, p.Failed, p.Ended = why, failed, at
		err = t.unqueue(&p)
		return errors.Join(err, t.putPost(p))
	}))
}

func (t tx) deletePost(p outPost) error {
	k := opKey(p.Operator, intKey(p.AppID))
	name, _, err := get[string](t.in(inPostsByApp), k)
	if err == nil && name == p.Name {
		err = t.in(inPostsByApp).Delete(k)
	}
	return errors.Join(err, t.unqueue(&p), t.in(inPosts).Delete(textKey(p.Name)))
}
