// Package ledger keeps what was said and decided, by sittings, as one event reads it and
// adds to it, and writes a version of each contact that comes out otherwise. Nothing else
// changes a contact. What undo takes back is found here, too: see steps.go.
package ledger

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/facts"
	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse/memo"
	"skyslate/storage"
)

// ArrivalSpan is how far apart messages of one delivery may come in.
const ArrivalSpan = 10 * time.Second

// MostLines bounds what is derived together.
const MostLines = 2000

// A Sitting is the evidence of one sitting as the plan leaves it, and the log that
// it comes to.
type Sitting struct {
	storage.Sitting
	Log     contact.Log
	Known   map[storage.ContactKey]uint64 // the numbers of its contacts
	Changed bool                          // by the event
	newest  bool                          // it takes what comes next
}

// Message is what became of a message.
func (s *Sitting) Message(id int64) filing.Outcome {
	i := slices.IndexFunc(s.Log.Messages, func(m filing.Outcome) bool { return m.ID == id })
	if i < 0 {
		return filing.Outcome{}
	}
	return s.Log.Messages[i]
}

// Relayed reports whether a message was forwarded.
func (s *Sitting) Relayed(id int64) bool {
	return slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == id && ev.Forwarded
	})
}

// AnswerTo is the last answer to which pass a delivery is of.
func (s *Sitting) AnswerTo(delivery filing.DeliveryID) (storage.PassID, bool) {
	for _, ev := range slices.Backward(s.Evidence) {
		if delivery.AnsweredBy(&ev) {
			return ev.Pass, true
		}
	}
	return "", false
}

// InList reports whether a contact is one of several of a message that was forwarded.
func (s *Sitting) InList(c contact.Contact) bool {
	return s.Relayed(c.Key.Message) && slices.ContainsFunc(s.Log.Contacts, func(o contact.Contact) bool {
		return o.Key != c.Key && o.Key.Message == c.Key.Message
	})
}

// A Ledger is the evidence that the event reads or adds to, by sittings, and the
// log that it comes to. Nothing else changes a contact.
type Ledger struct {
	*tx.Tx
	card     watch.Card
	memo     *memo.Readings
	sittings map[uint64]*Sitting
	matched  map[time.Time]filing.Match // by the moment that was asked about

	// Step is what the event is called for undo, where its contacts don't tell.
	Step string
	// Undoing: evidence is taken back. How is the cause of what is changed otherwise, where
	// the event doesn't tell.
	Undoing bool
	How     string
	// Followed is the pass that the event chose.
	Followed storage.PassID
}

// New returns the ledger of an event; card is the one that follows a chosen pass, lines
// are those read before.
func New(t *tx.Tx, card watch.Card, lines *memo.Readings) *Ledger {
	return &Ledger{Tx: t, card: card, memo: lines, sittings: map[uint64]*Sitting{}, matched: map[time.Time]filing.Match{}}
}

// SittingOf is a sitting by its number.
func (l *Ledger) SittingOf(id uint64) (*Sitting, bool) {
	if s, ok := l.sittings[id]; ok || id == 0 {
		return s, ok
	}
	stored, ok := tx.Got(l.Tx, func() (storage.Sitting, bool, error) { return l.View.Sitting(l.Op.ID, id) })
	if !ok {
		return nil, false
	}
	return l.hold(stored), true
}

func (l *Ledger) hold(stored storage.Sitting) *Sitting {
	s := &Sitting{Sitting: stored, Known: map[storage.ContactKey]uint64{}}
	for _, c := range s.Contacts {
		s.Known[c.Key] = c.ID
	}
	s.newest = s.ID >= l.View.LastSitting(l.Op.ID)
	l.sittings[s.ID] = s
	return s
}

// Present is the sitting that a message of now is evidence in: the last one, unless
// a pause or its length closed it.
func (l *Ledger) Present() *Sitting {
	last := l.View.LastSitting(l.Op.ID)
	for id := range l.sittings {
		last = max(last, id)
	}
	s, ok := l.SittingOf(last)
	if ok && l.Event.At.Sub(s.Last) < filing.LookBack && s.Lines < MostLines {
		return s
	}
	return l.hold(storage.Sitting{Operator: l.Op.ID, ID: last + 1, Began: l.Event.At, Last: l.Event.At})
}

// Offer adds evidence to a sitting, and derives anew.
func (l *Ledger) Offer(s *Sitting, ev storage.Evidence) {
	ev.Event, ev.At, ev.Phone = l.Event.ID, cmp.Or(ev.At, l.Event.At), l.Event.By
	tx.NoteOwnSide(&l.Op, l.Event.At)
	s.Own = tx.OwnSince(s.Own, l.Op.Own)
	ev.Own = len(s.Own)
	l.Use(ev.Pass)
	if ev.Recording != nil {
		l.Use(ev.Recording.Pass)
	}
	s.Evidence = append(s.Evidence, ev)
	if ev.Kind == storage.EvSaid {
		s.Last = timing.Later(s.Last, ev.At)
		s.Lines += 1 + strings.Count(ev.Text, "\n")
	}
	l.Derive(s)
}

// Derive works out the log of a sitting and writes a version of each contact that
// differs from the stored one.
func (l *Ledger) Derive(s *Sitting) {
	s.Changed = true
	l.Read(s)
	if l.Err != nil {
		return
	}
	stands, moved := map[uint64]bool{}, map[storage.PassID]bool{}
	for _, c := range s.Log.Contacts {
		id, ok := s.Known[c.Key]
		if !ok {
			id = l.NewID()
			s.Known[c.Key] = id
			s.Contacts = append(s.Contacts, storage.Identity{Key: c.Key, ID: id})
		}
		stands[id] = true
		was, _ := l.Contact(id)
		if l.version(id, c) {
			moved[was.Pass], moved[c.Pass] = true, true
		}
	}
	for _, known := range s.Contacts {
		c, ok := l.Contact(known.ID)
		if ok && !stands[known.ID] && c.State != storage.Dropped {
			c.State, c.Cause = storage.Dropped, l.cause(contact.Contact{Key: known.Key})
			l.Add(c)
			moved[c.Pass] = true
		}
	}
	if s.newest {
		l.follow(s.Log.Chosen)
		return
	}
	for _, later := range l.leaning(s, moved) {
		l.Derive(later)
	}
}

// leanedFor bounds how long after a sitting others ask what it holds, but for those that
// hold contacts of the same passes: as long as passes are known that nothing is stored of.
const leanedFor = 8 * tx.Day

// leaning are the sittings after one that lean on what it says of passes: they hold
// contacts of them, or found none and would have filed otherwise had there been any.
func (l *Ledger) leaning(s *Sitting, moved map[storage.PassID]bool) []*Sitting {
	all := lists.Filter(l.sittingsOn(moved), func(later *Sitting) bool { return later.ID > s.ID })
	for id := s.ID + 1; len(moved) > 0; id++ {
		later, ok := l.SittingOf(id)
		if !ok || later.Began.After(s.Last.Add(leanedFor)) {
			break
		}
		if !slices.Contains(all, later) && slices.ContainsFunc(later.Leans, func(pass storage.PassID) bool { return moved[pass] }) {
			all = append(all, later)
		}
	}
	slices.SortFunc(all, byID)
	return all
}

func byID(a, b *Sitting) int { return cmp.Compare(a.ID, b.ID) }

// Facts is what deriving a sitting leans on.
func (l *Ledger) Facts(s *Sitting) filing.Facts { return facts.Of(l.Tx, &s.Sitting, l.memo.Read) }

// Read works out the log of a sitting.
func (l *Ledger) Read(s *Sitting) {
	clear(l.matched)
	f := l.Facts(s)
	asked := map[storage.PassID]bool{}
	elsewhere := f.Elsewhere
	f.Elsewhere = func(pass storage.PassID) []storage.Contact {
		asked[pass] = true
		return elsewhere(pass)
	}
	s.Log = contact.Derive(f, s.Evidence)
	for _, c := range s.Log.Contacts {
		delete(asked, c.Pass) // it is found by its contacts
	}
	delete(asked, "")
	s.Leans = slices.Sorted(maps.Keys(asked))
}

// PassAt matches what is said at a moment without naming a pass: a question, or a
// command.
func (l *Ledger) PassAt(at time.Time) filing.Match {
	if m, ok := l.matched[at]; ok {
		return m
	}
	s := l.Present()
	said := storage.Evidence{
		Kind: storage.EvSaid, At: at, Message: -1, Text: "?", Began: timing.Later(at, l.Op.Delivery), Silent: l.Op.Silent,
	}
	l.matched[at] = contact.Where(l.Facts(s), append(slices.Clone(s.Evidence), said))
	return l.matched[at]
}

// sittingsOn are the sittings that hold contacts of passes, in order.
func (l *Ledger) sittingsOn(passes map[storage.PassID]bool) []*Sitting {
	found := map[uint64]*Sitting{}
	for pass := range passes {
		for _, c := range l.ContactsOf(pass) {
			m, _ := l.MessageOf(c.Message)
			if s, ok := l.SittingOf(m.Sitting); ok {
				found[s.ID] = s
			}
		}
	}
	return slices.SortedFunc(maps.Values(found), byID)
}

// version writes a new version of a contact if it isn't as it was derived.
func (l *Ledger) version(id uint64, c contact.Contact) bool {
	now := c.Contact
	now.Cause = l.cause(c)
	old, ok := l.Contact(id)
	if ok {
		now.ID, now.Version, now.Operator, now.Fields = old.ID, old.Version, old.Operator, old.Fields
		if contact.Same(old, now) {
			return false
		}
	}
	now.ID = id
	l.Add(now)
	return true
}

// Causes after which a contact that comes to be in doubt is asked about by the
// summary of its pass alone: a question for each of many would be too much at once.
const (
	CauseBulk = "bulk"
	CauseUndo = "undo"
)

// CauseTheirs is what the station of a contact says of itself, taken over.
const CauseTheirs = "theirs"

// cause says what the event at hand did to a contact.
func (l *Ledger) cause(c contact.Contact) storage.Cause {
	cause := storage.Cause{Kind: "tap", Message: l.Event.Message}
	named := c.Key.Message == l.Event.Message || slices.Contains(c.By, l.Event.Message)
	switch {
	case l.Undoing:
		cause.Kind = CauseUndo
	case l.How != "":
		cause.Kind = l.How
	case l.Event.Kind == event.Edited:
		cause.Kind = "edit"
	case l.Event.Kind != event.Said:
		cause.Message = c.Key.Message
	case !named && c.Mark != nil:
		cause.Kind = "slate"
	case !named:
		cause.Kind = "refile"
	case l.Event.ReplyTo != 0 && c.Key.Message != l.Event.Message:
		cause.Kind = "reply"
	default:
		cause.Kind = "typed"
	}
	return cause
}

// KeyOf names a contact as evidence does, and its sitting. One that was logged
// before evidence was kept is taken into the present sitting.
func (l *Ledger) KeyOf(c storage.Contact) (*Sitting, storage.ContactKey, bool) {
	m, ok := l.MessageOf(c.Message)
	if !ok {
		return nil, storage.ContactKey{}, false
	}
	s, ok := l.SittingOf(m.Sitting)
	if !ok {
		s = l.Adopt(m)
	}
	for _, known := range s.Contacts {
		if known.ID == c.ID {
			return s, known.Key, true
		}
	}
	return s, storage.ContactKey{}, false
}

// adopted is the event of evidence that wasn't when it came: it was known before evidence
// was kept, or was a command.
const adopted = "adopted"

// Adopt makes a message evidence that is none, where it would stand if it had been, with
// what it is known to have come to. It is read as sent then, with the own side of then.
func (l *Ledger) Adopt(m storage.Message) *Sitting {
	s := l.sittingAt(m.At)
	tx.NoteOwnSide(&l.Op, l.Event.At)
	s.Own = tx.OwnSince(s.Own, l.Op.Own)
	ev := storage.Evidence{
		Kind: storage.EvSaid, Event: adopted, At: m.At, Message: m.ID, Text: m.Text, Began: m.At,
		Own: len(lists.Filter(s.Own, func(o storage.OwnSide) bool { return !o.Since.After(m.At) })),
	}
	for i, line := range m.Lines {
		kept := storage.Kept{Text: line.Text}
		for _, id := range line.Contacts {
			if c, ok := l.Contact(id); ok && c.Message == m.ID {
				kept.Contacts = append(kept.Contacts, c)
				key := storage.ContactKey{Message: m.ID, Line: i + 1, Place: len(kept.Contacts)}
				s.Known[key] = id
				s.Contacts = append(s.Contacts, storage.Identity{Key: key, ID: id})
			}
		}
		ev.Kept = append(ev.Kept, kept)
	}
	at := len(s.Evidence)
	if i := slices.IndexFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.At.After(m.At) }); i >= 0 {
		at = i
	}
	if at > 0 && s.Evidence[at-1].Kind == storage.EvSaid && m.At.Sub(s.Evidence[at-1].At) <= ArrivalSpan {
		ev.Began, ev.Silent = s.Evidence[at-1].Began, s.Evidence[at-1].Silent
	}
	s.Evidence = slices.Insert(s.Evidence, at, ev)
	m.Sitting = s.ID
	l.ChangeMessage(m)
	return s
}

// sittingAt is the sitting that a moment falls into, or is nearest behind.
func (l *Ledger) sittingAt(at time.Time) *Sitting {
	s := l.Present()
	for id := s.ID; s.Began.After(at); {
		id--
		before, ok := l.SittingOf(id)
		if !ok {
			break
		}
		s = before
	}
	return s
}

// ContactsBy are the contacts that a message made, by ID.
func (l *Ledger) ContactsBy(m storage.Message) []uint64 {
	var all []uint64
	if s, ok := l.SittingOf(m.Sitting); ok {
		for _, known := range s.Contacts {
			if known.Key.Message == m.ID {
				all = append(all, known.ID)
			}
		}
		return all
	}
	for _, line := range m.Lines {
		all = append(all, line.Contacts...)
	}
	return all
}

// BySitting names contacts as the evidence of their sittings does.
func (l *Ledger) BySitting(all []storage.Contact) map[*Sitting][]storage.ContactKey {
	in := map[*Sitting][]storage.ContactKey{}
	for _, c := range all {
		if s, key, ok := l.KeyOf(c); ok {
			in[s] = append(in[s], key)
		}
	}
	return in
}

// Standing says under which pass each contact of a sitting stands.
func (l *Ledger) Standing(s *Sitting) map[uint64]storage.PassID {
	passes := map[uint64]storage.PassID{}
	for _, known := range s.Contacts {
		if c, ok := l.Contact(known.ID); ok && c.State != storage.Dropped {
			passes[known.ID] = c.Pass
		}
	}
	return passes
}

// CorrectedLater reports whether an answer or another message says something of a
// contact of a message.
func (l *Ledger) CorrectedLater(s *Sitting, id int64) bool {
	return slices.ContainsFunc(s.Log.Contacts, func(c contact.Contact) bool { return c.Key.Message == id && len(c.By) > 1 }) ||
		slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
			return !ev.Undone && ev.Kind == storage.EvAnswer && ev.Contact.Message == id
		})
}

// follow makes the pass that a name or a tap holds the one that the card follows.
func (l *Ledger) follow(chosen storage.PassID) {
	if chosen == l.Op.Chosen {
		return
	}
	l.Op.Chosen = chosen
	pass, ok := l.Pass(chosen)
	if !ok {
		return
	}
	l.Followed = chosen
	l.PutPass(pass)
	if pass.Closed.IsZero() {
		l.At(tx.MomentSet, timing.Later(pass.LOS, l.Now()), pass.ID)
		l.card.MoveCard(pass)
	}
}

// StepName names the step in the operator's words.
func (l *Ledger) StepName() string {
	if l.Step != "" {
		return l.Step
	}
	var parts []string
	if before := l.SetBefore(); before != nil {
		parts = append(parts, settings.SetStep(shown.Settings(*before), shown.Settings(l.Op.Settings())))
	}
	for _, move := range l.Moves {
		parts = append(parts, say.Step(shown.Contact(l.Contacts[move.Contact]), move.From == 0))
	}
	return phrase.Listed(parts)
}

// ChangedSittings are those that the event adds to or takes from, in order.
func (l *Ledger) ChangedSittings() []*Sitting {
	changed := lists.Filter(slices.Collect(maps.Values(l.sittings)), func(s *Sitting) bool { return s.Changed })
	slices.SortFunc(changed, byID)
	return changed
}

// Affected are the sittings that changed, and those that share a pass with a contact
// that did: its number there is of all, and so is which contact repeats another.
func (l *Ledger) Affected() []*Sitting {
	passes := map[storage.PassID]bool{}
	for id, c := range l.Contacts {
		if old, known := l.StoredContact(id); known { // a new contact comes after all others
			passes[old.Pass], passes[c.Pass] = true, true
		}
	}
	all := l.ChangedSittings()
	for _, s := range l.sittingsOn(passes) {
		if !s.Changed {
			l.Read(s)
			all = append(all, s)
		}
	}
	return all
}
