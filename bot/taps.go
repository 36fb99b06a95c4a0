package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// What a button's data begins with.
const (
	tapPick   = contact.Pick   // contact:version:candidate
	tapKeep   = contact.Keep   // contact:version
	tapDrop   = contact.Drop   // contact:version
	tapHeard  = contact.Heard  // contact:version
	tapNoTime = contact.NoTime // contact:version: the time or offset typed is wrong
	tapFor    = "for"          // delivery in Unix milliseconds:pass, without it the parts in order
	tapForget = "forget"       // yes
	tapSlate  = "slate"        // Unix seconds:voice message:pass
	tapNext   = "next"         // contact: the doubt after this one
	tapBulk   = "bulk"         // message:1, or 0 to leave all as it is
)

// tapped answers a button.
func (p *plan) tapped() {
	verb, rest, _ := strings.Cut(p.Event.Data, ":")
	switch verb {
	case tapPick, tapKeep, tapDrop, tapHeard, tapNoTime:
		p.settleDoubt(verb, rest)
	case tapFor:
		p.tapAnswerPass(rest)
	case watch.TapPass:
		p.tapChoose(storage.PassID(rest))
	case watch.TapArm, watch.TapSkip:
		p.TapArm(storage.PassID(rest), verb == watch.TapArm)
	case watch.TapTell:
		p.Tell(storage.PassID(rest))
	case watch.TapOuting, watch.TapCallOff, watch.TapCalendar, watch.TapThere, watch.TapNotThere:
		if o, ok := p.TapOuting(verb, rest); ok {
			p.arriveAt(o)
		}
	case watch.TapSky, watch.TapReach:
		p.TapPicture(verb, storage.PassID(rest))
	case tapGrid:
		p.takeGrid(rest)
	case watch.TapUnsked:
		p.DropSked(rest)
	case watch.TapSked:
		p.TapSked(rest)
	case exchange.TapIntoLog, exchange.TapOutOfLog:
		p.TapImport(verb, rest)
	case tapSlate:
		p.tapSlateAt(rest)
	case tapNext:
		p.tapNextDoubt(rest)
	case tapBulk:
		p.tapBulkDone(rest)
	case watch.TapHere:
		p.TapStillHere(rest)
	case tapForget:
		p.tapForget(rest)
	default:
		p.Say(say.OldButton)
	}
}

// settleDoubt takes the answer to a question about a contact.
func (p *plan) settleDoubt(verb, rest string) {
	var n [3]int
	for i, s := range strings.SplitN(rest, ":", 3) {
		v, err := strconv.Atoi(s)
		if err != nil {
			p.Say(say.OldButton)
			return
		}
		n[i] = v
	}
	c, ok := p.Contact(uint64(n[0]))
	if !ok || c.Version != n[1] {
		p.Say(say.Settled(shown.Contact(c), ok))
		return
	}
	var pick *storage.Candidate
	if verb == tapPick {
		if n[2] < 0 || n[2] >= len(c.Candidates) {
			p.Say(say.OldButton)
			return
		}
		pick = &c.Candidates[n[2]]
	}
	p.decide(c, verb, pick)
}

// decide takes a decision on a contact as evidence.
func (p *plan) decide(c storage.Contact, verb string, pick *storage.Candidate) {
	s, key, ok := p.keyOf(c)
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.offer(s, storage.Evidence{Kind: storage.EvAnswer, Contact: key, Asked: contact.Asked(c), Verb: verb, Pick: pick})
	p.show()
}

// twoNumbers reads the two numbers of a button's data.
func twoNumbers(s string) (a, b int64, ok bool) {
	first, second, _ := strings.Cut(s, ":")
	a, err := strconv.ParseInt(first, 10, 64)
	b, err2 := strconv.ParseInt(second, 10, 64)
	return a, b, err == nil && err2 == nil
}

// tapChoose makes a pass the one that lines belong to, and the answer for what
// waits for one.
func (p *plan) tapChoose(id storage.PassID) {
	pass, ok := p.Pass(id)
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.offer(p.present(), storage.Evidence{Kind: storage.EvPass, Pass: id})
	p.EditTapped(say.Chosen(shown.Planned(pass), len(tx.Filter(p.Touched(), storage.Contact.Exported))))
	p.show()
}

// tapAnswerPass answers which pass a delivery is of: delivery:pass, without a pass
// the parts in order.
func (p *plan) tapAnswerPass(rest string) {
	at, id, ok := strings.Cut(rest, ":")
	milli, err := strconv.ParseInt(at, 10, 64)
	delivery := time.UnixMilli(milli).UTC()
	s := p.sittingWith(delivery)
	if !ok || err != nil || s == nil {
		p.Say(say.OldButton)
		return
	}
	p.offer(s, storage.Evidence{Kind: storage.EvPass, Pass: storage.PassID(id), Delivery: delivery})
	if post, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.PostByApp(p.Op.ID, p.Event.Post) }); ok && !strings.HasPrefix(post.Name, p.whichPost(delivery)) && !strings.HasPrefix(post.Name, p.Name("ack")) {
		p.EditTapped(p.settledBy(s, delivery))
	}
	p.show()
}

// sittingWith is the sitting of the last hours that holds a delivery.
func (p *plan) sittingWith(delivery time.Time) *sitting {
	for id := p.View.LastSitting(p.Op.ID); id > 0; id-- {
		s, ok := p.sittingOf(id)
		if !ok || s.Last.Before(delivery) {
			return nil
		}
		if slices.ContainsFunc(s.Evidence, func(ev storage.Evidence) bool { return ev.Began.UnixMilli() == delivery.UnixMilli() }) {
			return s
		}
	}
	return nil
}
