package bot

import (
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/ledger"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// answers are taps that decide something about the log.
type answers struct {
	*tx.Tx
	ledger *ledger.Ledger
	screen screen
}

// contactOf is the contact that a button is about, where nothing came between.
func (a answers) contactOf(tap tx.Tap) (storage.Contact, bool) {
	n, ok := tap.Numbers(2)
	if !ok {
		a.Say(say.OldButton)
		return storage.Contact{}, false
	}
	c, ok := a.Contact(uint64(n[0]))
	if !ok || c.Version != int(n[1]) {
		a.Say(say.Settled(shown.Contact(c), ok))
		return c, false
	}
	return c, true
}

// settleDoubt takes the answer to a question about a contact.
func (a answers) settleDoubt(tap tx.Tap) {
	c, ok := a.contactOf(tap)
	if !ok {
		return
	}
	var pick *storage.Candidate
	if tap.Verb == contact.Pick {
		n, ok := tap.Numbers(3)
		if !ok || n[2] < 0 || n[2] >= int64(len(c.Candidates)) {
			a.Say(say.OldButton)
			return
		}
		pick = &c.Candidates[n[2]]
	}
	a.decide(c, tap.Verb, pick)
}

// takeMeant takes which contact a message is about.
func (a answers) takeMeant(tap tx.Tap) {
	n, ok := tap.Numbers(2)
	if !ok {
		a.Say(say.OldButton)
		return
	}
	m, _ := a.MessageOf(n[0])
	c, _ := a.Contact(uint64(n[1]))
	s, key, ok := a.ledger.KeyOf(c)
	if !ok || m.Sitting != s.ID {
		a.Say(say.OldButton)
		return
	}
	a.ledger.Offer(s, storage.Evidence{Kind: storage.EvMeans, Message: m.ID, Contact: key})
	now, _ := a.Contact(c.ID)
	a.EditTapped(a.Echoed(now, m.At))
	a.screen.show()
}

// takeGrid gives a contact the grid that was suggested.
func (a answers) takeGrid(tap tx.Tap) {
	c, ok := a.contactOf(tap)
	if !ok {
		return
	}
	grids, _, err := tx.GridsIn(tap.Part(2))
	if err != nil {
		a.Say(say.OldButton)
		return
	}
	a.decide(c, contact.Take, &storage.Candidate{Call: c.Call, Grids: grids})
}

// decide takes a decision on a contact as evidence.
func (a answers) decide(c storage.Contact, verb string, pick *storage.Candidate) {
	s, key, ok := a.ledger.KeyOf(c)
	if !ok {
		a.Say(say.OldButton)
		return
	}
	a.ledger.Offer(s, storage.Evidence{Kind: storage.EvAnswer, Contact: key, Asked: contact.Asked(c), Verb: verb, Pick: pick})
	a.screen.show()
}

// takeWorded takes the contacts of a post as worked, whatever the words with them say, or
// none of them.
func (a answers) takeWorded(tap tx.Tap) {
	post, _ := a.TappedPost()
	verb, said := contact.Keep, say.WordedTaken
	if tap.Verb == tapNone {
		verb, said = contact.Drop, say.NoneTaken
	}
	n := a.takeAll(post.About, verb)
	if n == 0 {
		a.Say(say.OldButton)
		return
	}
	shows := strings.HasPrefix(post.Name, a.Name("sum")) || strings.HasPrefix(post.Name, a.Name("ack"))
	if !shows { // the screen brings the others up to date
		a.EditTapped(said(n))
	}
	a.screen.show()
}

// asksWorked reports whether it is asked of a contact whether there was one.
func asksWorked(c storage.Contact) bool {
	return exchange.Worded(c) || c.State == storage.Doubtful && contact.Questionable(c.Why) && c.Call.IsValid()
}

// takeAll answers that of those contacts of which it is asked whether they were worked; it
// returns how many.
func (a answers) takeAll(about []uint64, verb string) (n int) {
	for _, id := range about {
		c, known := a.Contact(id)
		s, key, kept := a.ledger.KeyOf(c)
		if known && kept && asksWorked(c) {
			a.ledger.Offer(s, storage.Evidence{Kind: storage.EvAnswer, Contact: key, Asked: contact.Asked(c), Verb: verb})
			n++
		}
	}
	return n
}

// theirs reports whether somebody else told of a contact: it was forwarded, or quoted.
func (a answers) theirs(c storage.Contact) bool {
	s, key, kept := a.ledger.KeyOf(c)
	return parse.IsQuoted(c.Text) || kept && s.Relayed(key.Message)
}

// saidAllWorked takes a message that says so of the contacts that it answers, or of one's
// own on the pass at hand; false if none of those is asked about.
func (a answers) saidAllWorked(text string) bool {
	if !idiom.AllWorked(text) {
		return false
	}
	about := a.screen.finder.RepliedContacts()
	if len(about) == 0 {
		pass, _ := a.screen.finder.PassMeant("")
		about = lists.Filter(a.ContactsOf(pass.ID), func(c storage.Contact) bool { return !a.theirs(c) })
	}
	n := a.takeAll(tx.IDs(about), contact.Keep)
	if n > 0 {
		a.Say(say.WordedTaken(n))
		a.screen.show()
	}
	return n > 0
}

// choosePass makes a pass the one that lines belong to, and the answer for what
// waits for one.
func (a answers) choosePass(tap tx.Tap) {
	pass, ok := a.Pass(tap.Pass(0))
	if !ok {
		a.Say(say.OldButton)
		return
	}
	a.choose(pass)
}

// choosePlaced takes an answer such as "the first one" to the question which pass.
func (a answers) choosePlaced(n int) bool {
	if n == 0 {
		return false // as nearly all that is said
	}
	s := a.ledger.Present()
	a.ledger.Read(s)
	passes := a.ledger.PassAt(a.Event.At).Rivals
	if len(s.Log.Open) > 0 {
		passes = s.Log.Open[len(s.Log.Open)-1].Rivals
	}
	if n > len(passes) {
		return false
	}
	a.choose(passes[n-1])
	return true
}

func (a answers) choose(pass storage.Pass) {
	a.ledger.Offer(a.ledger.Present(), storage.Evidence{Kind: storage.EvPass, Pass: pass.ID})
	a.EditTapped(a.screen.card.Chosen(pass))
	a.screen.show()
}

// fileDelivery answers which pass a delivery is of; without a pass the parts are in
// order.
func (a answers) fileDelivery(tap tx.Tap) {
	n, ok := tap.Numbers(1)
	if !ok {
		a.Say(say.OldButton)
		return
	}
	delivery := filing.DeliveryID(n[0])
	s, said := a.ledger.SittingWith(delivery)
	if s == nil {
		a.Say(say.OldButton)
		return
	}
	delivery = filing.DeliveryOf(said)
	a.ledger.Offer(s, storage.Evidence{Kind: storage.EvPass, Pass: tap.Pass(1), Delivery: delivery.Began(), Message: said.Message})
	post, ok := a.TappedPost()
	shows := strings.HasPrefix(post.Name, a.screen.whichPost(delivery)) || strings.HasPrefix(post.Name, a.Name("ack"))
	if ok && !shows { // the screen brings the others up to date
		a.EditTapped(a.screen.settledBy(s, delivery))
	}
	a.screen.show()
}

// takeSlate takes the time that was offered for a slate.
func (a answers) takeSlate(tap tx.Tap) {
	n, ok := tap.Numbers(2)
	if !ok {
		a.Say(say.OldButton)
		return
	}
	r, slate := storage.Recording{Pass: tap.Pass(2), Voice: n[1]}, time.Unix(n[0], 0).UTC()
	s := a.screen.finder.Awaiting(r)
	a.ledger.Read(s)
	before := s.Log.Slates[r]
	a.ledger.Offer(s, storage.Evidence{Kind: storage.EvSlate, Recording: &r, Slate: slate})
	a.screen.saySlate(s, filing.Told{Of: r, Slate: slate, Before: before})
	a.screen.show()
}

// nextDoubt leaves a doubt for later and asks the next.
func (a answers) nextDoubt(tap tx.Tap) {
	if n, ok := tap.Numbers(1); ok {
		c, _ := a.Contact(uint64(n[0]))
		if pass, ok := a.Pass(c.Pass); ok {
			a.screen.summarise(pass, c.ID)
			return
		}
	}
	a.Say(say.OldButton)
}
