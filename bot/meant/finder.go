// Package meant finds what is meant: which pass, which contacts or which earlier words a
// message, a command or a question is about that doesn't name them in full.
package meant

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/ledger"
	"skyslate/bot/lists"
	"skyslate/bot/past"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/storage"
)

// A Finder finds the pass, the contacts or the earlier words that a message, a
// command or a question is about.
type Finder struct {
	*tx.Tx
	Ledger  *ledger.Ledger
	Planner watch.Planner
}

// PassAtHand is the pass that a question without a name is about: the one that
// lines would belong to, of several the latest with contacts.
func (f Finder) PassAtHand(at time.Time) (storage.Pass, bool) {
	m := f.Ledger.PassAt(at)
	if m.Pass.ID != "" {
		if !f.WorkedOn(m.Pass) { // one that was worked may have set moments ago
			for _, pass := range slices.Backward(f.StoredIn(at.Add(-filing.Lingering), at)) {
				if !pass.LOS.After(at) && f.WorkedOn(pass) {
					return pass, true
				}
			}
		}
		return m.Pass, true
	}
	for _, some := range [][]storage.Pass{lists.Filter(m.Rivals, f.WorkedOn), m.Rivals} {
		if len(some) > 0 {
			return some[len(some)-1], true
		}
	}
	return storage.Pass{}, false
}

// LastPass is the pass at hand if something is logged on it, else the last one
// that something is logged on, else the one at hand.
func (f Finder) LastPass() storage.PassID {
	at, _ := f.PassAtHand(f.Event.At)
	if slices.ContainsFunc(f.ContactsOf(at.ID), storage.Contact.Exported) {
		return at.ID
	}
	for _, c := range slices.Backward(f.ContactsIn(f.Event.At.Add(-tx.Day), f.Event.At.Add(tx.Day))) {
		if c.Pass != "" && c.Exported() {
			return c.Pass
		}
	}
	return at.ID
}

// workedFor is how long a pass is likely one that lines are of which name none.
const workedFor = 2 * tx.Day

// Likely are the passes that lines of a moment can be of which name none: first those that have
// set of late, then those with contacts, the followed ones, and all others; of each the latest.
func (f Finder) Likely(at time.Time) []storage.Pass {
	all := lists.Filter(f.PassesIn(at.Add(-filing.LookBack), at.Add(filing.LookAhead)), func(pass storage.Pass) bool {
		return pass.Followed() || f.Follows(pass)
	})
	for _, pass := range f.StoredIn(at.Add(-workedFor), at.Add(-filing.LookBack)) {
		if f.WorkedOn(pass) && !filing.Holds(all, pass.ID) {
			all = append(all, pass)
		}
	}
	rank := func(pass storage.Pass) int {
		switch {
		case timing.Apart(pass, at) <= filing.Lately:
			return 1
		case f.WorkedOn(pass):
			return 2
		case pass.Followed():
			return 3
		}
		return 4
	}
	slices.SortStableFunc(all, func(a, b storage.Pass) int { return cmp.Or(rank(a)-rank(b), b.AOS.Compare(a.AOS)) })
	return all
}

// PassMeant is the pass that a command is about: the only one with contacts that words
// name, else that of the post answered, else the pass at hand.
func (f Finder) PassMeant(words string) (storage.Pass, bool) {
	if words != "" {
		if named, _ := f.Planner.PassesBehind(words); len(named) == 1 {
			return named[0], true
		}
		return storage.Pass{}, false
	}
	post, _ := f.RepliedPost()
	if pass, ok := f.Pass(post.Pass); ok {
		return pass, true
	}
	pass, ok := f.PassAtHand(f.Event.At)
	if last, known := f.Pass(f.LastPass()); known && !f.WorkedOn(pass) {
		return last, true // nothing could be meant on the one at hand
	}
	return pass, ok
}

// PassMeantID is the pass that a command without words is about.
func (f Finder) PassMeantID() storage.PassID {
	pass, _ := f.PassMeant("")
	return pass.ID
}

// RepliedContacts returns the contacts that an answer to a message, ours or the
// operator's, means.
func (f Finder) RepliedContacts() []storage.Contact {
	post, ours := f.RepliedPost()
	about := post.About
	if m, ok := f.MessageOf(f.Event.ReplyTo); ok && !ours {
		about = f.Ledger.ContactsBy(m)
	}
	var all []storage.Contact
	for _, id := range about {
		if c, ok := f.Contact(id); ok && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	return all
}

// Delayed reports whether what comes in now follows a silence that covers a
// whole followed pass, so that it may have been written during that.
func (f Finder) Delayed(at time.Time) bool {
	silent := f.Op.Silent
	return !silent.IsZero() && slices.ContainsFunc(f.StoredIn(timing.Later(silent, at.Add(-filing.LookBack)), at), func(pass storage.Pass) bool {
		return pass.Followed() && !pass.AOS.Before(silent) && !pass.LOS.After(at)
	})
}

// AnsweredBy is what the message at hand replies to, and the sitting that knows of
// it; nil where it replies to nothing that the log is about.
func (f Finder) AnsweredBy() (*storage.Answered, *ledger.Sitting) {
	if f.Event.ReplyTo == 0 {
		return nil, nil
	}
	if post, ok := f.RepliedPost(); ok {
		return f.answeredPost(post)
	}
	m, ok := f.MessageOf(f.Event.ReplyTo)
	if !ok {
		return nil, nil
	}
	if m.Voice != "" {
		return &storage.Answered{Voice: m.ID, Pass: m.Pass}, f.Awaiting(storage.Recording{Voice: m.ID})
	}
	return f.answeredMessage(m)
}

// Awaiting is the sitting that the slate of a recording is evidence in: the one whose
// contacts wait for it, however long ago, else the present one.
func (f Finder) Awaiting(r storage.Recording) *ledger.Sitting {
	return f.awaiting(func(c storage.Contact) bool { return contact.RecordingOf(c, c.Pass) == r })
}

// recordingKept is how long after its contacts a recording is listened to at the latest.
const recordingKept = 7 * tx.Day

func (f Finder) awaiting(counts func(storage.Contact) bool) *ledger.Sitting {
	all := f.Overlay(f.ContactsIn(f.Event.At.Add(-recordingKept), f.Event.At), func(c storage.Contact) bool {
		return c.Mark != nil && c.Mark.Slate.IsZero() && c.State == storage.Doubtful && counts(c)
	})
	for _, c := range slices.Backward(all) {
		if s, _, ok := f.Ledger.KeyOf(c); ok {
			return s
		}
	}
	return f.Ledger.Present()
}

// awaitingSlate is the sitting that goes on with a message which begins with the slate that
// its contacts wait for: the last one, if nothing was said since, else the present one.
func (f Finder) awaitingSlate(text string) *ledger.Sitting {
	now := f.Ledger.Present()
	first, _, _ := strings.Cut(text, "\n")
	slate, told := timing.SlateIn(first, storage.Pass{}, f.Event.At)
	if !told {
		return now
	}
	s := f.awaiting(func(c storage.Contact) bool {
		pass, ok := f.Pass(c.Pass)
		return ok && contact.InRecordingOf(pass, slate)
	})
	if s.ID+1 < now.ID || now.Lines > 0 {
		return now
	}
	return s
}

// NamedIn is the sitting that lines are evidence in which answer nothing: the one that
// holds the first contact that they name by its number, or the one that they name by its
// call, or that waits for the slate they tell, else the present one. Of an older one they answer the pass, or the contacts, that
// they mean.
func (f Finder) NamedIn(text string) (*storage.Answered, *ledger.Sitting) {
	now := f.Ledger.Present()
	isBird := func(name string) bool { _, known := f.Sky.Bird(name); return known }
	if n, ok := idiom.Named(text, isBird); ok {
		if r, s := f.calledIn(n, now); r != nil {
			return r, s
		}
	}
	for line := range strings.SplitSeq(text, "\n") {
		if n, ok := idiom.Numbered(line); ok {
			if r, s := f.numberedIn(n, now); s != nil {
				return r, s
			}
		}
	}
	if call, _, ok := idiom.GridGiven(text); ok {
		if r, s := f.lacking(call, now); r != nil {
			return r, s
		}
	}
	return nil, f.awaitingSlate(text)
}

// lacksFor is how long a contact is likely the one of whose station a grid is told.
const lacksFor = 2 * tx.Day

// lacking is the contact of an earlier sitting that waits for the grid of a call, if it is the
// only one; nil where a bird is up, or one that is followed or worked has just set: then a
// line with that call and a grid may tell a new contact.
func (f Finder) lacking(call parse.Callsign, present *ledger.Sitting) (*storage.Answered, *ledger.Sitting) {
	at := f.Event.At
	if slices.ContainsFunc(f.StoredIn(at.Add(-filing.Lingering), at.Add(filing.EarlySlack)), func(pass storage.Pass) bool {
		return pass.Up(at) || pass.Followed() || f.WorkedOn(pass)
	}) {
		return nil, nil
	}
	lacks := f.withoutGrid(call)
	if len(lacks) != 1 {
		return nil, nil
	}
	s, key, ok := f.Ledger.KeyOf(lacks[0])
	if !ok || s == present {
		return nil, nil
	}
	return &storage.Answered{Pass: lacks[0].Pass, Contacts: []storage.ContactKey{key}}, s
}

// withoutGrid are the contacts with a call that wait for its grid.
func (f Finder) withoutGrid(call parse.Callsign) []storage.Contact {
	return lists.Filter(f.named(idiom.Naming{Calls: []parse.Callsign{call}}), func(c storage.Contact) bool {
		return c.State == storage.Incomplete && len(c.Grids) == 0 && c.Pass != "" && !tx.Imported(c) && f.Event.At.Sub(c.Time) < lacksFor
	})
}

// GridButtons make of contacts whose pass is asked the grids of those which wait for one.
func (f Finder) GridButtons(s *ledger.Sitting, keys []storage.ContactKey) (rows [][]storage.Button) {
	for _, key := range keys[:min(len(keys), tx.MaxChoices)] {
		told, _ := f.Contact(s.Known[key])
		if len(told.Grids) == 0 || !told.Call.IsValid() {
			continue
		}
		for _, c := range f.withoutGrid(told.Call) {
			pass, _ := f.Pass(c.Pass)
			view := shown.Contact(c)
			view.Grids = told.Grids
			label := say.ContactOnLabel(view, shown.Planned(pass))
			rows = append(rows, []storage.Button{past.GridButton(label, c, told.Grids, told.ID)})
		}
	}
	return rows
}

// numberedIn is the pass that a line means which names contacts by their numbers, and the
// sitting that holds them: the one that its words name, or else the list seen last, or the
// one at hand; none where the present sitting can tell.
func (f Finder) numberedIn(n idiom.Numbers, present *ledger.Sitting) (*storage.Answered, *ledger.Sitting) {
	var passes []storage.Pass
	if n.Words != "" {
		passes, _ = f.Planner.PassesBehind(n.Words)
	} else if pass, ok := f.Pass(cmp.Or(f.Op.Listed, f.PassMeantID())); ok {
		passes = []storage.Pass{pass}
	}
	var found []storage.Contact
	for _, pass := range passes {
		if c, ok := f.Numbered(pass.ID, n.All[0]); ok && c.State != storage.Dropped {
			found = append(found, c)
		}
	}
	if len(found) != 1 {
		return nil, nil
	}
	s, _, ok := f.Ledger.KeyOf(found[0])
	if !ok || s == present && n.Words == "" {
		return nil, nil
	}
	return &storage.Answered{Pass: found[0].Pass}, s
}

// calledIn are the contacts that a line names by their call and, if it says so, their
// pass; nil where it may mean those at hand.
func (f Finder) calledIn(n idiom.Naming, present *ledger.Sitting) (*storage.Answered, *ledger.Sitting) {
	all := lists.Filter(f.named(n), func(c storage.Contact) bool { return !tx.Imported(c) && contact.Names(n, c) })
	at := f.Event.At
	isUp := slices.ContainsFunc(f.StoredIn(at, at.Add(time.Second)), func(pass storage.Pass) bool { return pass.Up(at) })
	if n.Open && !n.Fine && len(all) == 0 && (n.Words != "" || !isUp) { // nothing is asked of it, nor is it told anew: it is in the log
		all = lists.Filter(f.named(n), func(c storage.Contact) bool {
			return (c.Exported() || c.State == storage.Heard || c.State == storage.Incomplete) && c.Pass != "" && !tx.Imported(c) && (n.Words != "" || c.Time.After(f.since()))
		})
	}
	if n.Words != "" {
		passes, ok := f.Planner.PassesBehind(n.Words)
		if !ok {
			return nil, nil
		}
		all = lists.Filter(all, func(c storage.Contact) bool {
			return slices.ContainsFunc(passes, func(pass storage.Pass) bool { return pass.ID == c.Pass })
		})
	} else {
		now := func(c storage.Contact) bool {
			m, _ := f.MessageOf(c.Message)
			return m.Sitting == present.ID
		}
		if n.Plain && (!n.Aside && !n.Guess || isUp) || slices.ContainsFunc(all, now) {
			return nil, nil
		}
		since := f.since()
		all = lists.Filter(all, func(c storage.Contact) bool { return n.Sure || n.Open || c.Time.After(since) })
	}
	if len(all) == 0 {
		return nil, nil
	}
	last := slices.MaxFunc(all, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	r := &storage.Answered{Pass: last.Pass}
	var in *ledger.Sitting
	for _, c := range all {
		if s, key, ok := f.Ledger.KeyOf(c); ok && (c.Pass == last.Pass || n.Words != "") && (in == nil || s == in) {
			in = s
			r.Contacts = append(r.Contacts, key) // of several passes of the day that is named it is asked
		}
	}
	if in == nil {
		return nil, nil
	}
	return r, in
}

// since is from when on a line may mean a contact that it doesn't name for certain: the
// outing's beginning, or a day ago.
func (f Finder) since() time.Time {
	since := f.Event.At.Add(-tx.Day)
	if o, out := f.Op.OutingAt(f.Event.At); out && o.From.Before(since) {
		return o.From
	}
	return since
}

// named are the contacts of the whole log whose call, with marks or without, a line names.
func (f Finder) named(n idiom.Naming) []storage.Contact {
	var stored []storage.Contact
	log := past.Past{Tx: f.Tx}
	for _, said := range n.Calls {
		for _, call := range log.CallsOf(said.Base()) {
			stored = append(stored, tx.List(f.Tx, func() ([]storage.Contact, error) { return f.View.ContactsOfCall(f.Op.ID, call) })...)
		}
	}
	return f.Overlay(stored, func(c storage.Contact) bool { _, means := n.Means(c.Call); return means })
}

func (f Finder) answeredMessage(m storage.Message) (*storage.Answered, *ledger.Sitting) {
	s, ok := f.Ledger.SittingOf(m.Sitting)
	if !ok && len(m.Lines) > 0 {
		s, ok = f.Ledger.Adopt(m), true
	}
	if !ok {
		return nil, nil
	}
	return &storage.Answered{Message: m.ID}, s
}

func (f Finder) answeredPost(post storage.Post) (*storage.Answered, *ledger.Sitting) {
	if r := exchange.SlateAsked(f.Tx, post); r != nil {
		return &storage.Answered{Slate: r, Pass: post.Pass}, f.Awaiting(*r)
	}
	if id, ok := strings.CutPrefix(post.Name, f.Name("ack")+"/"); ok {
		n, err := strconv.ParseInt(strings.TrimSuffix(id, storage.EditOf), 10, 64)
		if m, known := f.MessageOf(n); err == nil && known {
			return f.answeredMessage(m)
		}
	}
	r := &storage.Answered{List: post.List, Pass: post.Pass}
	var in *ledger.Sitting
	for _, id := range post.About {
		c, _ := f.Contact(id)
		if s, key, ok := f.Ledger.KeyOf(c); ok && (in == nil || s == in) {
			in = s
			r.Contacts = append(r.Contacts, key)
		}
	}
	if r.Pass == "" && len(r.Contacts) == 0 {
		return nil, nil
	}
	return r, in
}

// Waiting are the contacts of the last hours that no pass is known for.
func (f Finder) Waiting() []storage.Contact {
	all := f.ContactsIn(f.Event.At.Add(-filing.LookBack-tx.Day), f.Event.At.Add(tx.Day))
	return f.Overlay(all, func(c storage.Contact) bool {
		return c.Pass == "" && c.Bird.Name == "" && c.State == storage.Doubtful && !tx.Imported(c)
	})
}
