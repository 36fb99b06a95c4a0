package bot

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/event"
	"skyslate/bot/exchange"
	"skyslate/bot/filing"
	"skyslate/bot/layout"
	"skyslate/bot/ledger"
	"skyslate/bot/meant"
	"skyslate/bot/past"
	"skyslate/bot/peers"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/say/limits"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/storage"
)

// A screen is what stands before the operator about the log, and follows from it:
// each message's echo, the questions, the card, the summaries. show compares what
// should stand with what does, and posts the difference.
type screen struct {
	*tx.Tx
	ledger     *ledger.Ledger
	finder     meant.Finder
	recordings recordings
	past       past.Past
	card       watch.Card
	peers      peers.Peers
}

// show brings the screen in line with the sittings that the event changed, and with
// those whose contacts are counted after the ones that it changed.
func (sc screen) show() {
	for _, s := range sc.ledger.Affected() {
		stale := sc.stale(s)
		for _, m := range s.Log.Messages {
			if stale[m.ID] || sc.Message != nil && m.ID == sc.Message.ID {
				sc.showMessage(s, m)
			}
		}
		if s.Changed { // else nothing but the numbers of its contacts did
			sc.showGone(s)
			sc.closeQuestions(s)
			sc.showDeliveries(s)
			sc.showSlates(s)
		}
	}
	sc.refreshSummaries()
}

// showGone says of messages that were taken back that nothing of them is left, or that
// what they corrected is as it was.
func (sc screen) showGone(s *ledger.Sitting) {
	for _, ev := range s.Evidence {
		stands := slices.ContainsFunc(s.Log.Messages, func(m filing.Outcome) bool { return m.ID == ev.Message })
		if ev.Kind == storage.EvSaid && !stands && sc.out("ack", ev.Message) {
			text := say.CorrectionBack
			if slices.ContainsFunc(s.Contacts, func(known storage.Identity) bool { return known.Key.Message == ev.Message }) {
				text = say.NothingLeft
			}
			sc.Put(storage.Post{Name: sc.Name("ack", ev.Message), ReplyTo: ev.Message, Text: text})
		}
	}
}

// stale are the messages whose echo may say something else now: contacts of theirs
// changed, or what their echo holds them against, or it shows one that they have no
// part in any more.
func (sc screen) stale(s *ledger.Sitting) map[int64]bool {
	calls, squares, passes := map[parse.Callsign]bool{}, map[parse.Grid]bool{}, map[storage.PassID]bool{}
	var since time.Time // from which on contacts have a past now, or none any more
	for id, c := range sc.Contacts {
		old, known := sc.StoredContact(id)
		if tx.Remembered(c) != tx.Remembered(old) || !c.Time.Equal(old.Time) {
			for _, at := range []time.Time{c.Time, old.Time} {
				if since.IsZero() || !at.IsZero() && at.Before(since) {
					since = at
				}
			}
		}
		if !known {
			continue
		}
		calls[c.Call], calls[old.Call] = true, true
		for _, g := range slices.Concat(c.Grids, old.Grids) {
			squares[g.Square()] = true
		}
		if old.Pass != c.Pass {
			passes[c.Pass], passes[old.Pass] = true, true
		}
	}
	moved, echoed := map[storage.ContactKey]bool{}, map[storage.ContactKey]uint64{}
	for _, c := range s.Log.Contacts {
		_, changed := sc.Contacts[s.Known[c.Key]]
		held := calls[c.Call] || passes[c.Pass] || slices.ContainsFunc(c.Grids, func(g parse.Grid) bool { return squares[g.Square()] })
		moved[c.Key] = changed || held || !since.IsZero() && c.Time.After(since)
		echoed[c.Key] = cmp.Or(s.Known[c.Joined], s.Known[c.Key])
	}
	// A new message under which nothing known changed takes no part from an earlier one.
	adds := sc.Event.Kind == event.Said && !sc.ledger.Undoing && len(calls) == 0
	messages := map[int64]bool{}
	for _, m := range s.Log.Messages {
		var echo storage.Post
		if !adds {
			echo, _ = sc.StoredPost(sc.Name("ack", m.ID))
		}
		parted := func(id uint64) bool {
			return !slices.ContainsFunc(m.Contacts, func(key storage.ContactKey) bool { return echoed[key] == id })
		}
		messages[m.ID] = slices.ContainsFunc(m.Contacts, func(key storage.ContactKey) bool { return moved[key] }) ||
			slices.ContainsFunc(echo.About, parted)
	}
	return messages
}

// told are the contacts that a message made or changed, by ID.
func (sc screen) told(s *ledger.Sitting, m filing.Outcome) []contact.Contact {
	var all []contact.Contact
	for _, c := range s.Log.Contacts {
		if slices.Contains(m.Contacts, c.Key) {
			c.Contact, _ = sc.Contact(s.Known[c.Key])
			all = append(all, c)
		}
	}
	return all
}

// whole is a contact as the plan leaves it or, of a grid that went to another one, that.
func (sc screen) whole(s *ledger.Sitting, c contact.Contact) storage.Contact {
	whole, ok := sc.Contact(s.Known[c.Joined])
	if !ok {
		whole, _ = sc.Contact(s.Known[c.Key])
	}
	return whole
}

// showMessage echoes a message: a line for each contact that is settled, a
// question for each doubt, a sign for a note.
func (sc screen) showMessage(s *ledger.Sitting, m filing.Outcome) {
	answering := sc.Message != nil && m.ID == sc.Message.ID && sc.Event.Kind == event.Said
	told := sc.told(s, m)
	for _, c := range told {
		if sc.asksItself(s, c) {
			sc.question(c.Contact)
		}
	}
	if post, ok := sc.echoOf(s, m, told); ok {
		sc.Put(post)
	}
	if answering {
		sc.answerWords(s, m, len(told) > 0)
	}
}

// echoOf is the echo that a message should have, if it should have one.
func (sc screen) echoOf(s *ledger.Sitting, m filing.Outcome, told []contact.Contact) (storage.Post, bool) {
	var all, sure []storage.Contact
	var rows [][]storage.Button
	for _, c := range told {
		all = append(all, sc.whole(s, c))
		if sc.asksItself(s, c) || c.Message == m.ID && sc.out("ask", c.ID) {
			continue // its question shows it
		}
		sure = append(sure, sc.whole(s, c))
		if pass, ok := sc.Pass(c.Earlier); ok && len(rows) == 0 && c.Pass != "" { // it went by in silence
			rows = [][]storage.Button{{passButton(say.EarlierLabel(shown.Planned(pass)), c.Delivery, pass.ID)}}
		}
	}
	if len(sure) == 0 {
		if !sc.out("ack", m.ID) {
			return storage.Post{}, false
		}
		sure = all
	}
	if slices.ContainsFunc(told, func(c contact.Contact) bool { return s.InList(c) && asksWorked(c.Contact) }) {
		rows = append(rows, []storage.Button{tx.Button(say.LabelAllWorked, exchange.TapWorded), tx.Button(say.LabelNoneWorked, tapNone)})
	}
	return storage.Post{
		Name: sc.Name("ack", m.ID), ReplyTo: m.ID, About: tx.IDs(sure), Pass: m.Pass,
		Text: sc.echo(sure, m.ID), Buttons: append(sc.past.Suggestions(sure), rows...),
	}, true
}

// answerWords answers what a message says beside contacts.
func (sc screen) answerWords(s *ledger.Sitting, m filing.Outcome, logged bool) {
	bird := m.NotUp
	if m.Unheld.Clock.IsSet() {
		pass, _ := sc.Pass(m.Unheld.Pass)
		sc.Say(say.TimeUnheld(m.Unheld.Clock, shown.Planned(pass), m.Unheld.Pass != ""))
		if !logged {
			return
		}
	}
	for _, asked := range m.Asks {
		sc.Say(sc.past.Answer(asked))
	}
	switch {
	case m.Ignored == filing.WhichOne:
		sc.askMeant(s, m)
	case m.Ignored == filing.NoRewrite:
		sc.Say(say.NoRewrite)
	case m.Ignored == filing.NotRight:
		sc.Say(say.Meaning("correcting"))
	case m.Ignored == filing.NoNumber:
		sc.Say(say.NoSuchNumber)
	case m.Ignored == filing.TooMany:
		sc.Say(limits.TooManyNumbers)
	case m.Ignored == filing.NoCall:
		sc.Say(say.NoSuchCall)
	case m.Ignored == filing.NoneGiven:
		sc.Say(say.NoGridGiven)
	case m.Ignored == filing.NotHeard:
		sc.sign(m.ID)
		sc.Say(say.NotHeard)
	case logged:
	case bird != "":
		sc.Say(say.NotUp(bird))
	case len(m.Told) > 0, len(m.Asks) > 0, len(m.Questions) > 0:
	case m.Alone && sc.ledger.Followed != "":
		if pass, ok := sc.Pass(sc.ledger.Followed); ok {
			sc.card.SayChosen(pass)
		}
	case m.Alone:
		sc.sign(m.ID)
	default:
		sc.note(m.ID, false)
	}
}

// askMeant asks which contact a message of one line is about.
func (sc screen) askMeant(s *ledger.Sitting, m filing.Outcome) {
	said, _ := sc.MessageOf(m.ID)
	var rows [][]storage.Button
	for _, key := range m.Which {
		c, ok := sc.Contact(s.Known[key])
		if ok && len(rows) < tx.MaxChoices && !strings.Contains(strings.TrimSpace(said.Text), "\n") {
			pass, _ := sc.Pass(c.Pass)
			label := say.ContactOnLabel(shown.Contact(c), shown.Planned(pass))
			if alike := func(row []storage.Button) bool { return row[0].Label == label }; slices.ContainsFunc(rows, alike) {
				label = say.QuotedLabel(label, c.Text)
			}
			rows = append(rows, []storage.Button{tx.Button(label, tapMeans, m.ID, c.ID)})
		}
	}
	sc.Say(say.WhichContact, rows...)
}

// note keeps as a note what was said, and says what is understood: while a bird is up, or of
// what a phone held back, only to what was said to the bot, because it may be a word about a
// contact else, and while a pass is worked once.
func (sc screen) note(message int64, toUs bool) {
	sc.sign(message)
	now := sc.Event.At
	pass, _ := sc.finder.PassAtHand(now)
	up, about := pass.Up(now), any(message)
	worked := sc.WorkedOn(pass) && (up || pass.Up(now.Add(-filing.Lingering)))
	if worked {
		about = pass.ID
	}
	if !toUs && (worked || up || sc.finder.Delayed(now)) || sc.out("speech", about) {
		return
	}
	sc.Post(storage.Post{Name: sc.Name("speech", about), ReplyTo: message, Text: say.NotUnderstood, Silent: true})
}

// asksItself reports whether a contact is asked about in a post of its own: its
// pass, its slate, words that no table knows and a list that was forwarded are asked
// together with others, and what came late by the summary of its pass.
func (sc screen) asksItself(s *ledger.Sitting, c contact.Contact) bool {
	if c.State != storage.Doubtful || s.InList(c) && contact.Questionable(c.Why) || c.Why == contact.WhyPass || c.Why == contact.WhySlate || c.Why == contact.WhyWords {
		return false
	}
	pass, ok := sc.Pass(c.Pass)
	switch {
	case sc.out("ask", c.ID):
		return true
	case c.Cause.Kind == ledger.CauseBulk || c.Cause.Kind == ledger.CauseUndo:
		return false
	case !ok || pass.Closed.IsZero():
		return true
	}
	m, _ := sc.MessageOf(c.Message)
	return !c.Late && !pass.Closed.After(m.At) && (sc.Event.Kind == event.Said || sc.Event.Kind == event.Edited)
}

// out reports whether a post about a message or a contact went out.
func (sc screen) out(kind string, id any) bool {
	_, ok := sc.StoredPost(sc.Name(kind, id))
	return ok
}

// closeQuestions shows as answered the questions about contacts that are settled
// now, whatever settled them.
func (sc screen) closeQuestions(s *ledger.Sitting) {
	for _, known := range s.Contacts {
		c, changed := sc.Contacts[known.ID]
		if !changed {
			continue
		}
		post, _ := sc.StoredPost(sc.Name("ask", c.ID))
		if len(post.Buttons) == 0 {
			continue
		}
		now := c
		if i := slices.IndexFunc(s.Log.Contacts, func(o contact.Contact) bool { return o.Key == known.Key }); i >= 0 {
			derived := s.Log.Contacts[i]
			derived.Contact = c
			if sc.asksItself(s, derived) {
				sc.question(c)
				continue
			}
			now = sc.whole(s, derived)
		}
		sc.Put(storage.Post{Name: post.Name, ReplyTo: c.Message, Text: sc.Echoed(now, time.Time{}), About: []uint64{now.ID}, Pass: now.Pass})
	}
}

// showSlates asks for the slates that contacts wait for, and says what was told.
func (sc screen) showSlates(s *ledger.Sitting) {
	for _, m := range s.Log.Messages {
		if sc.Message != nil && m.ID == sc.Message.ID {
			for _, told := range m.Told {
				sc.saySlate(s, told)
			}
		}
	}
	for _, c := range sc.Touched() {
		r := contact.RecordingOf(c, c.Pass)
		if c.State == storage.Doubtful && c.Why == contact.WhySlate && slices.Contains(s.Log.Waiting, r) {
			sc.Put(storage.Post{
				Name: exchange.SlatePost(sc.Tx, r), ReplyTo: c.Message, Text: say.AskSlate(sc.recordings.recordingName(r)),
				Buttons: sc.recordings.slateOffers(s, r), Pass: r.Pass,
			})
		}
	}
}

// sayMoved says under which passes contacts stand now that stood under another, or that
// are new and stand under one that isn't at hand.
func (sc screen) sayMoved(s *ledger.Sitting, before map[uint64]storage.PassID) {
	atHand, _ := sc.finder.PassAtHand(sc.Event.At)
	n := map[storage.PassID]int{}
	for id, pass := range sc.ledger.Standing(s) {
		if was, stood := before[id]; stood && was != pass || !stood && pass != atHand.ID {
			n[pass]++
		}
	}
	for _, id := range slices.Sorted(maps.Keys(n)) {
		if to, ok := sc.Pass(id); ok {
			sc.Say(say.Moved(shown.Planned(to), n[id]))
		}
	}
}

// echo says how each contact was taken by a message, a line each.
func (sc screen) echo(contacts []storage.Contact, message int64) string {
	var lines []string
	m, _ := sc.MessageOf(message)
	for i, c := range contacts {
		at := m.At
		if c.Message == message {
			at = time.Time{} // it tells it
		}
		block := strings.Split(sc.Echoed(c, at), "\n")
		room := layout.Lines - len(lines)
		if i < len(contacts)-1 {
			room-- // for how many more there are
		}
		if len(block) > room {
			lines = append(lines, say.MoreLogged(len(contacts)-i))
			break
		}
		lines = append(lines, block...)
	}
	if more := sc.past.EchoNews(contacts); more != "" && len(lines) < layout.Lines-2 {
		lines = append(lines, more)
	}
	return strings.Join(lines, "\n")
}

// question asks what a doubtful contact is: one silent line, the candidates as
// buttons. The buttons carry the version, so that an old one can't undo newer
// work.
func (sc screen) question(c storage.Contact) {
	sc.Put(storage.Post{
		Name: sc.Name("ask", c.ID), Class: sc.Asking(), ReplyTo: c.Message, Text: say.Question(shown.Contact(c)),
		Buttons: meant.Answers(c, sc.Event.At), About: []uint64{c.ID}, Pass: c.Pass,
	})
}

// saySlate says what the slate of a recording is by now, where it was asked.
func (sc screen) saySlate(s *ledger.Sitting, told filing.Told) {
	timed := func(c storage.Contact, slate time.Time) bool {
		return c.Mark != nil && contact.RecordingOf(c, c.Pass) == told.Of && c.Mark.Slate.Equal(slate)
	}
	n := 0
	for _, c := range sc.Touched() {
		if timed(c, told.Slate) {
			n++
		}
	}
	earlier := storage.Bulk{
		Message: sc.Event.Message, Change: storage.Change{Field: "slate", Slate: told.Slate}, Value: phrase.Clock(told.Slate),
	}
	for _, c := range s.Log.Contacts {
		if timed(c.Contact, told.Before) && c.State != storage.Dropped {
			now, _ := sc.Contact(s.Known[c.Key])
			earlier.Contacts = append(earlier.Contacts, storage.ContactRef{ID: now.ID, Version: now.Version})
		}
	}
	post := storage.Post{
		Name: exchange.SlatePost(sc.Tx, told.Of), ReplyTo: sc.Event.Message, Pass: told.Of.Pass,
		Text: say.SlateTold(sc.recordings.recordingName(told.Of), told.Slate, n),
	}
	if before := len(earlier.Contacts); before > 0 && !told.Before.IsZero() && !told.Before.Equal(told.Slate) {
		tx.Propose(&sc.Op, earlier)
		post.Text += "\n" + say.EarlierSlate(told.Before, before)
		post.Buttons = [][]storage.Button{{tx.Button(say.ChangeLabel(before), tapBulk, earlier.Message, 1)}}
	}
	if asked, ok := sc.StoredPost(post.Name); ok && sc.Event.Kind == event.Said && sc.Event.At.Sub(asked.Made) > time.Hour {
		sc.Say(post.Text, post.Buttons...) // nobody looks there any more
		post.Buttons = nil
	}
	sc.Put(post)
}

// sign marks a message as kept.
func (sc screen) sign(message int64, more ...any) {
	name := sc.Name(append([]any{"sign", message}, more...)...)
	sc.Post(storage.Post{Name: name, Op: storage.React, ReplyTo: message, Text: say.NoteSign, Silent: true})
}
