package bot

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
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse/memo"
	"skyslate/storage"
)

// mostLines bounds what is derived together.
const mostLines = 2000

// A sitting is the evidence of one sitting as the plan leaves it, and the log that
// it comes to.
type sitting struct {
	storage.Sitting
	log     contact.Log
	known   map[storage.ContactKey]uint64
	changed bool
	newest  bool // it takes what comes next
}

// message is what became of a message.
func (s *sitting) message(id int64) filing.Outcome {
	i := slices.IndexFunc(s.log.Messages, func(m filing.Outcome) bool { return m.ID == id })
	if i < 0 {
		return filing.Outcome{}
	}
	return s.log.Messages[i]
}

// inList reports whether a contact is one of several of a message that was forwarded.
func (s *sitting) inList(c contact.Contact) bool {
	relayed := slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
		return ev.Kind == storage.EvSaid && ev.Message == c.Key.Message && ev.Forwarded
	})
	return relayed && slices.ContainsFunc(s.log.Contacts, func(o contact.Contact) bool {
		return o.Key != c.Key && o.Key.Message == c.Key.Message
	})
}

// A ledger is the evidence that the event reads or adds to, by sittings, and the
// log that it comes to. Nothing else changes a contact.
type ledger struct {
	*tx.Tx
	card     watch.Card
	memo     *memo.Readings
	sittings map[uint64]*sitting
	step     string // what the event is called for undo, where its contacts don't tell
	// undoing: evidence is taken back; how is the cause of what is changed otherwise, where
	// the event doesn't tell.
	undoing  bool
	how      string
	followed storage.PassID             // chosen by the event
	matched  map[time.Time]filing.Match // by the moment that was asked about
}

func newLedger(t *tx.Tx, card watch.Card, lines *memo.Readings) *ledger {
	return &ledger{Tx: t, card: card, memo: lines, sittings: map[uint64]*sitting{}, matched: map[time.Time]filing.Match{}}
}

// sittingOf is a sitting by its number.
func (l *ledger) sittingOf(id uint64) (*sitting, bool) {
	if s, ok := l.sittings[id]; ok || id == 0 {
		return s, ok
	}
	stored, ok := tx.Got(l.Tx, func() (storage.Sitting, bool, error) { return l.View.Sitting(l.Op.ID, id) })
	if !ok {
		return nil, false
	}
	return l.hold(stored), true
}

func (l *ledger) hold(stored storage.Sitting) *sitting {
	s := &sitting{Sitting: stored, known: map[storage.ContactKey]uint64{}}
	for _, c := range s.Contacts {
		s.known[c.Key] = c.ID
	}
	s.newest = s.ID >= l.View.LastSitting(l.Op.ID)
	l.sittings[s.ID] = s
	return s
}

// present is the sitting that a message of now is evidence in: the last one, unless
// a pause or its length closed it.
func (l *ledger) present() *sitting {
	last := l.View.LastSitting(l.Op.ID)
	for id := range l.sittings {
		last = max(last, id)
	}
	s, ok := l.sittingOf(last)
	if ok && l.Event.At.Sub(s.Last) < filing.LookBack && s.Lines < mostLines {
		return s
	}
	return l.hold(storage.Sitting{Operator: l.Op.ID, ID: last + 1, Began: l.Event.At, Last: l.Event.At})
}

// offer adds evidence to a sitting, and derives anew.
func (l *ledger) offer(s *sitting, ev storage.Evidence) {
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
		s.Last = tx.Later(s.Last, ev.At)
		s.Lines += 1 + strings.Count(ev.Text, "\n")
	}
	l.derive(s)
}

// derive works out the log of a sitting and writes a version of each contact that
// differs from the stored one.
func (l *ledger) derive(s *sitting) {
	s.changed = true
	l.read(s)
	if l.Err != nil {
		return
	}
	stands, moved := map[uint64]bool{}, map[storage.PassID]bool{}
	for _, c := range s.log.Contacts {
		id, ok := s.known[c.Key]
		if !ok {
			id = l.NewID()
			s.known[c.Key] = id
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
		l.follow(s.log.Chosen)
		return
	}
	for _, later := range l.sittingsOn(moved) {
		if later.ID > s.ID { // what an earlier one says of a pass it leans on
			l.derive(later)
		}
	}
}

// facts is what deriving a sitting leans on.
func (l *ledger) facts(s *sitting) filing.Facts { return facts.Of(l.Tx, &s.Sitting, l.memo.Read) }

// read works out the log of a sitting.
func (l *ledger) read(s *sitting) {
	clear(l.matched)
	s.log = contact.Derive(l.facts(s), s.Evidence)
}

// passAt matches what is said at a moment without naming a pass: a question, or a
// command.
func (l *ledger) passAt(at time.Time) filing.Match {
	if m, ok := l.matched[at]; ok {
		return m
	}
	s := l.present()
	said := storage.Evidence{
		Kind: storage.EvSaid, At: at, Message: -1, Text: "?", Began: tx.Later(at, l.Op.Delivery), Silent: l.Op.Silent,
	}
	l.matched[at] = contact.Where(l.facts(s), append(slices.Clone(s.Evidence), said))
	return l.matched[at]
}

// sittingsOn are the sittings that hold contacts of passes, in order.
func (l *ledger) sittingsOn(passes map[storage.PassID]bool) []*sitting {
	found := map[uint64]*sitting{}
	for pass := range passes {
		for _, c := range l.ContactsOf(pass) {
			m, _ := l.MessageOf(c.Message)
			if s, ok := l.sittingOf(m.Sitting); ok {
				found[s.ID] = s
			}
		}
	}
	return slices.SortedFunc(maps.Values(found), func(a, b *sitting) int { return cmp.Compare(a.ID, b.ID) })
}

// version writes a new version of a contact if it isn't as it was derived.
func (l *ledger) version(id uint64, c contact.Contact) bool {
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
	causeBulk = "bulk"
	causeUndo = "undo"
)

// causeTheirs is what the station of a contact says of itself, taken over.
const causeTheirs = "theirs"

// cause says what the event at hand did to a contact.
func (l *ledger) cause(c contact.Contact) storage.Cause {
	cause := storage.Cause{Kind: "tap", Message: l.Event.Message}
	named := c.Key.Message == l.Event.Message || slices.Contains(c.By, l.Event.Message)
	switch {
	case l.undoing:
		cause.Kind = causeUndo
	case l.how != "":
		cause.Kind = l.how
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

// keyOf names a contact as evidence does, and its sitting. One that was logged
// before evidence was kept is taken into the present sitting.
func (l *ledger) keyOf(c storage.Contact) (*sitting, storage.ContactKey, bool) {
	m, ok := l.MessageOf(c.Message)
	if !ok {
		return nil, storage.ContactKey{}, false
	}
	s, ok := l.sittingOf(m.Sitting)
	if !ok {
		s = l.adopt(m)
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

// adopt makes a message evidence that is none, where it would stand if it had been, with
// what it is known to have come to. It is read as sent then, with the own side of then.
func (l *ledger) adopt(m storage.Message) *sitting {
	s := l.sittingAt(m.At)
	tx.NoteOwnSide(&l.Op, l.Event.At)
	s.Own = tx.OwnSince(s.Own, l.Op.Own)
	ev := storage.Evidence{
		Kind: storage.EvSaid, Event: adopted, At: m.At, Message: m.ID, Text: m.Text, Began: m.At,
		Own: len(tx.Filter(s.Own, func(o storage.OwnSide) bool { return !o.Since.After(m.At) })),
	}
	for i, line := range m.Lines {
		kept := storage.Kept{Text: line.Text}
		for _, id := range line.Contacts {
			if c, ok := l.Contact(id); ok && c.Message == m.ID {
				kept.Contacts = append(kept.Contacts, c)
				key := storage.ContactKey{Message: m.ID, Line: i + 1, Place: len(kept.Contacts)}
				s.known[key] = id
				s.Contacts = append(s.Contacts, storage.Identity{Key: key, ID: id})
			}
		}
		ev.Kept = append(ev.Kept, kept)
	}
	at := len(s.Evidence)
	if i := slices.IndexFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.At.After(m.At) }); i >= 0 {
		at = i
	}
	if at > 0 && s.Evidence[at-1].Kind == storage.EvSaid && m.At.Sub(s.Evidence[at-1].At) <= arrivalSpan {
		ev.Began, ev.Silent = s.Evidence[at-1].Began, s.Evidence[at-1].Silent
	}
	s.Evidence = slices.Insert(s.Evidence, at, ev)
	m.Sitting = s.ID
	l.ChangeMessage(m)
	return s
}

// sittingAt is the sitting that a moment falls into, or is nearest behind.
func (l *ledger) sittingAt(at time.Time) *sitting {
	s := l.present()
	for id := s.ID; s.Began.After(at); {
		id--
		before, ok := l.sittingOf(id)
		if !ok {
			break
		}
		s = before
	}
	return s
}

// contactsBy are the contacts that a message made, by ID.
func (l *ledger) contactsBy(m storage.Message) []uint64 {
	var all []uint64
	if s, ok := l.sittingOf(m.Sitting); ok {
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

// bySitting names contacts as the evidence of their sittings does.
func (l *ledger) bySitting(all []storage.Contact) map[*sitting][]storage.ContactKey {
	in := map[*sitting][]storage.ContactKey{}
	for _, c := range all {
		if s, key, ok := l.keyOf(c); ok {
			in[s] = append(in[s], key)
		}
	}
	return in
}

// standing says under which pass each contact of a sitting stands.
func (l *ledger) standing(s *sitting) map[uint64]storage.PassID {
	passes := map[uint64]storage.PassID{}
	for _, known := range s.Contacts {
		if c, ok := l.Contact(known.ID); ok && c.State != storage.Dropped {
			passes[known.ID] = c.Pass
		}
	}
	return passes
}

// correctedLater reports whether an answer or another message says something of a
// contact of a message.
func (l *ledger) correctedLater(s *sitting, id int64) bool {
	return slices.ContainsFunc(s.log.Contacts, func(c contact.Contact) bool { return c.Key.Message == id && len(c.By) > 1 }) ||
		slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool {
			return !ev.Undone && ev.Kind == storage.EvAnswer && ev.Contact.Message == id
		})
}

// sittingWith is the sitting of the last hours that holds a delivery.
func (l *ledger) sittingWith(delivery time.Time) *sitting {
	for id := l.View.LastSitting(l.Op.ID); id > 0; id-- {
		s, ok := l.sittingOf(id)
		if !ok || s.Last.Before(delivery) {
			return nil
		}
		if slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Began.UnixMilli() == delivery.UnixMilli() }) {
			return s
		}
	}
	return nil
}

// follow makes the pass that a name or a tap holds the one that the card follows.
func (l *ledger) follow(chosen storage.PassID) {
	if chosen == l.Op.Chosen {
		return
	}
	l.Op.Chosen = chosen
	pass, ok := l.Pass(chosen)
	if !ok {
		return
	}
	l.followed = chosen
	l.PutPass(pass)
	if pass.Closed.IsZero() {
		l.At(tx.MomentSet, tx.Later(pass.LOS, l.Now()), pass.ID)
		l.card.MoveCard(pass)
	}
}

// stepName names the step in the operator's words.
func (l *ledger) stepName() string {
	if l.step != "" {
		return l.step
	}
	var parts []string
	if before := l.SetBefore(); before != nil {
		parts = append(parts, say.SetStep(shown.Settings(*before), shown.Settings(l.Op.Settings())))
	}
	for _, move := range l.Moves {
		parts = append(parts, say.Step(shown.Contact(l.Contacts[move.Contact]), move.From == 0))
	}
	return say.Listed(parts)
}

func (l *ledger) changedSittings() []*sitting {
	changed := tx.Filter(slices.Collect(maps.Values(l.sittings)), func(s *sitting) bool { return s.changed })
	slices.SortFunc(changed, func(a, b *sitting) int { return cmp.Compare(a.ID, b.ID) })
	return changed
}

// affected are the sittings that changed, and those that share a pass with a contact
// that did: its number there is of all, and so is which contact repeats another.
func (l *ledger) affected() []*sitting {
	passes := map[storage.PassID]bool{}
	for id, c := range l.Contacts {
		if old, known := l.StoredContact(id); known { // a new contact comes after all others
			passes[old.Pass], passes[c.Pass] = true, true
		}
	}
	all := l.changedSittings()
	for _, s := range l.sittingsOn(passes) {
		if !s.changed {
			l.read(s)
			all = append(all, s)
		}
	}
	return all
}
