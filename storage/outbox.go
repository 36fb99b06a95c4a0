package storage

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"skyslate/storage/fault"
	"skyslate/storage/keys"
	"skyslate/storage/names"
	"skyslate/storage/schema"
	"skyslate/storage/table"
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

// show gives p the content of another post; what the other leaves open about
// its contacts, its pass and its recipe stays.
func (p *outPost) show(q Post) {
	p.Text, p.Spans, p.Buttons, p.Below = q.Text, q.Spans, q.Buttons, q.Below
	if q.Pin != "" {
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

// Shows reports whether a post reads as another does, so that an edit to that needn't go
// out.
func (p Post) Shows(q Post) bool {
	return p.Text == q.Text && slices.Equal(p.Spans, q.Spans) &&
		slices.EqualFunc(p.Buttons, q.Buttons, slices.Equal) && (q.Pin == "" || q.Pin == p.Pin)
}

// Means reports whether a reply to a post means what a reply to another does, which
// may leave that open.
func (p Post) Means(q Post) bool {
	return (q.About == nil || slices.Equal(p.About, q.About)) && (q.Pass == "" || p.Pass == q.Pass)
}

func (t *tx) post(name string) (outPost, bool) {
	return table.Get[outPost](t.In(schema.Posts), keys.Text(name))
}

func (t *tx) putPost(p outPost) {
	postRecords.Put(t.Tx, keys.Text(p.Name), p)
	t.news.Post(p.queued())
}

// owe puts a post into the outbox. What is owed already under its name gives
// its place to it; so does an edit of the same post, and a reaction to the same
// message. An edit of a post that is owed itself is absorbed by that; one after which a
// post that is out reads as before only tells what a reply to it means.
func (t *tx) owe(p Post) {
	if p.Op == Edit && t.editOwed(&p) {
		return
	}
	old, _ := t.post(p.Name)
	if name, found := t.owedAt(p); found && !old.owed() {
		old, _ = t.post(name)
	}
	if old.owed() {
		p.Name = old.Name
		if old.Class.rank() < p.Class.rank() { // it goes out no later than what it replaces
			p.Class, p.Due = old.Class, old.Due
		}
		t.putPost(outPost{Post: p, Seq: old.Seq, Rev: old.Rev + 1})
		return
	}
	if target, _ := t.post(p.Target); p.Op == Edit && target.Shows(p) {
		target.show(p)
		t.putPost(target)
		return
	}
	t.retire(p.Name)
	k, _ := t.In(schema.Owed).Last(nil)
	seq := keys.UintOf(k) + 1
	t.putPost(outPost{Post: p, Seq: seq})
}

// Behind the name of a post, the names of edits of it.
const (
	EditOf  = "/edit"  // as rules make it
	newerOf = "/newer" // what took its place while it went out
)

// maxEdits bounds a chain of edits that name each other.
const maxEdits = 8

// editOwed finds the post that an edit is about in the end and changes it in
// place if it is owed. An edit of what never went out is dropped.
func (t *tx) editOwed(p *Post) (done bool) {
	for range maxEdits {
		target, known := t.post(p.Target)
		switch {
		case known && target.owed():
			target.show(*p)
			target.Rev++
			t.putPost(target)
			return true
		case known && target.Op == Edit:
			p.Target = target.Target
			continue
		case known && target.Dropped == "":
			return false
		}
		break
	}
	t.putPost(outPost{Post: *p, Dropped: "the post it changes never went out", Ended: p.Made})
	return true
}

// retire gives a post that is out another name, because its own is used again:
// a tap, a reply and an edit that is owed must still find it.
func (t *tx) retire(name string) {
	p, _ := t.post(name)
	if p.AppID == 0 || p.Op == Edit || p.Op == React {
		return
	}
	t.deletePost(p)
	p.Name = name + "#" + strconv.FormatInt(p.AppID, 10)
	t.putPost(p)
	if edit, found := t.owedAt(Post{Operator: p.Operator, Op: Edit, Target: name}); found {
		change, _ := t.post(edit)
		change.Target = p.Name
		t.putPost(change)
	}
}

// Owed are the posts that must still go out, in the order of sending. Those that
// have become worthless by now are dropped.
func (s *Store) Owed(now time.Time) (posts []Post, err error) {
	if err := s.dropLate(now); err != nil {
		return nil, fmt.Errorf("owed posts: %w", err)
	}
	var found []outPost
	err = s.read(func(t *tx) {
		for _, name := range s.pending.All() {
			if p, _ := t.post(name); p.owed() {
				found = append(found, p)
			}
		}
	})
	if err != nil {
		return nil, fmt.Errorf("owed posts: %w", err)
	}
	for _, p := range found {
		s.pending.HandOut(string(p.Operator), p.Name, p, false)
		posts = append(posts, p.Post)
	}
	return posts, nil
}

// TakeOwed hands out the post that is to go out next, of all operators of whom
// none is handed out. Release lets the next one of its operator follow. Those that
// have become worthless by now are dropped on the way.
func (s *Store) TakeOwed(now time.Time) (p Post, ok bool, err error) {
	for gone := ""; ; {
		name, late, ok := s.pending.Next(now)
		switch {
		case !ok:
			return Post{}, false, nil
		case late:
			if err := s.dropLate(now); err != nil {
				return Post{}, false, fmt.Errorf("owed posts: %w", err)
			}
			continue
		}
		var post outPost
		if err := s.read(func(t *tx) { post, _ = t.post(name) }); err != nil {
			return Post{}, false, fmt.Errorf("owed post %q: %w", name, err)
		}
		if post.owed() && s.pending.HandOut(string(post.Operator), name, post, true) {
			return post.Post, true, nil
		}
		if name == gone {
			return Post{}, false, fault.Damaged("the owed post %q is missing", name)
		}
		gone = name
		s.awaitNews()
	}
}

// awaitNews returns when what the last transaction changed is known in memory.
func (s *Store) awaitNews() {
	s.writing.Lock()
	defer s.writing.Unlock()
}

// Release says that nothing is going out to an operator any more.
func (s *Store) Release(op OperatorID) { s.pending.Release(string(op)) }

// dropAtOnce is how many posts one transaction gives up.
const dropAtOnce = 200

// dropLate gives up all that would come too late by now.
func (s *Store) dropLate(now time.Time) error {
	for names := range slices.Chunk(s.pending.Late(now), dropAtOnce) {
		err := s.update(func(t *tx) {
			for _, name := range names {
				p, _ := t.post(name)
				t.giveUp(p, "too late", now, false)
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// Settle says that the post of that name, as it was last handed out, is out
// since at under the messaging app's name for it, which edits and reactions don't
// need (package names). It is found by PostByApp from then on, and the contacts of a
// file count as handed over. If the post was replaced in the meantime, the
// newer content is owed as an edit, or again. Settling twice does nothing, nor
// does settling a post whose operator was forgotten while it went out.
func (s *Store) Settle(name, appName string, at time.Time) error {
	sent, handed := s.pending.LastHanded(name)
	return s.conclude("settle", name, func(t *tx, p outPost, known bool) {
		switch {
		case !known: // forgotten while it went out
		case !p.owed() && p.Dropped == "":
		case !handed || sent.Rev == p.Rev:
			t.settle(p, appName, at)
		default:
			t.settleOlder(sent, p, appName, at)
		}
	})
}

// conclude lets end say what became of a post. With the last post of who is forgotten
// their name goes from the freed pages, too.
func (s *Store) conclude(doing, name string, end func(t *tx, p outPost, known bool)) error {
	last := false
	err := s.update(func(t *tx) {
		p, known := t.post(name)
		if last = p.Last; last {
			tracesKey.Set(t.Tx, append(tracesKey.Of(t.Tx), who(p.Operator)))
		}
		end(t, p, known)
	})
	if err == nil && last {
		s.scrub()
	}
	return fault.In(fmt.Sprintf("%s %q", doing, name), err)
}

func (t *tx) settle(p outPost, appName string, at time.Time) {
	if p.Last {
		t.deletePost(p)
		return
	}
	p.Seq, p.Dropped, p.Failed, p.SentAt, p.Ended = 0, "", false, at, at
	switch p.Op {
	case Edit: // it is the content of the post it changes from now on
		if target, known := t.post(p.Target); known {
			target.show(p.Post)
			t.putPost(target)
			p.AppID = target.AppID
		}
	case Send, File:
		p.AppID = t.number(p.Operator, appName, names.Ours, at)
	}
	if p.Op == File && p.Recipe != nil {
		t.markHanded(p.Operator, p.Recipe.Contacts, false, at)
	}
	t.putPost(p)
}

// settleOlder settles what went out and owes what has replaced it since.
func (t *tx) settleOlder(sent, newer outPost, appName string, at time.Time) {
	t.settle(sent, appName, at)
	again := newer.Post
	if sent.Op == Send {
		again.Op, again.Target, again.ReplyTo = Edit, sent.Name, 0
		again.Name = sent.Name + newerOf
	}
	t.owe(again)
}

// Owes reports whether a post of that name must still go out.
func (s *Store) Owes(name string) (owed bool, err error) {
	err = s.read(func(t *tx) {
		p, _ := t.post(name)
		owed = p.owed()
	})
	return owed, fault.In(fmt.Sprintf("post %q", name), err)
}

// Drop gives a post up: it is worthless by now, or nobody wants it.
func (s *Store) Drop(name, why string, at time.Time) error { return s.giveUp(name, why, at, false) }

// Fail gives a post up that can never go out, because something is wrong with it:
// it counts among the faults.
func (s *Store) Fail(name, why string, at time.Time) error { return s.giveUp(name, why, at, true) }

func (s *Store) giveUp(name, why string, at time.Time, failed bool) error {
	return s.conclude("drop", name, func(t *tx, p outPost, _ bool) { t.giveUp(p, why, at, failed) })
}

func (t *tx) giveUp(p outPost, why string, at time.Time, failed bool) {
	switch {
	case !p.owed():
	case p.Last:
		t.deletePost(p)
	default:
		p.Seq, p.Dropped, p.Failed, p.Ended = 0, why, failed, at
		t.putPost(p)
	}
}

func (t *tx) deletePost(p outPost) {
	postRecords.Remove(t.Tx, keys.Text(p.Name))
	p.Seq = 0
	t.news.Post(p.queued())
}
