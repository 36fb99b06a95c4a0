// Package second is a second phone that writes into an operator's log: for whose log an
// event is (seat.go), what the phone may, how it comes and goes (second.go), and which posts
// go to which of the two (copies.go). It knows nothing of contacts.
//
// For a day an operator lets a second phone write into the log: one holds the antenna, the
// other types. An event of that phone becomes one of the operator's before anything is
// planned ([Whose]), so that evidence, contacts and the screen know one log; its messages
// have numbers of their own there (package phones). A plan asks [Phones] four times: before
// its rules ([Phones.Swap], [Phones.Answers]), where something is the operator's alone
// ([Phones.Refused]), and when it knows its posts ([Phones.Deliver]).
//
// # Whose
//
// What is sent while the phone has its seat counts, whenever it is worked: the moment that
// the app stamped it decides, not the one at which it comes in turn. A phone has one seat at
// a time, and who has one lets no other phone in, so nothing goes round.
//
// # What it may
//
// To log, to correct, to answer what is asked and to ask, for pictures too: the commands and
// buttons that say both. Call, place, passes, files and settings are the operator's, and so
// is the end; the phone may leave. Undo takes back what the same phone did last, on either; a
// contact that is named by its number, its call or a reply is corrected by both. Each phone
// has limits of its own; what is kept counts for the log.
//
// # How it comes and goes
//
// A phone comes in by a code, once, sent from it and not forwarded. The code holds as long
// as the seat will: to the end of the outing that goes on or begins on the day, else to the
// end of the day, and of the pass that is up then. Lines that come after the end are not
// logged anywhere, and that is said with them; so is the edit of a line that the phone wrote.
// What is typed from then on is for the phone's own log, or to set one up, which is said with
// the first line of it, and whenever the end is asked for once more. The phone's own log
// rests meanwhile: it is told of no pass, nor of its end; what it answers of its own posts is
// its own, and so is a bare yes or no where such a post came last.
package second

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/lists"
	"skyslate/bot/question"
	"skyslate/bot/say/joint"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// Phones are the phones that write into a log, as an event finds them.
type Phones struct {
	*tx.Tx
	NewCode func(event string) string // makes a code for a second phone
	May     func(verb string) bool    // whether a second phone may tap a button
	alone   []storage.Post            // for a second phone alone
}

// mostPhones bounds the second phones that are remembered of a log, and the logs of a
// phone.
const mostPhones = 8

// Answers deals with what only a second phone does, or may not do at all.
func (p *Phones) Answers() (done bool) {
	switch {
	case p.Event.Part == event.Joins:
		p.join()
	case p.Event.Part == event.Late:
		log := p.Op.Call
		if p.Event.Second == "" { // it is gone
			log = parse.Callsign{}
		}
		p.Say(joint.Late(log, p.Event.Text))
	case p.Event.Second == "":
		return false
	case p.Event.Kind == event.Placed:
		name := p.Name("say", "place", p.Event.Message)
		if _, told := p.StoredPost(name); !told { // a live one goes on
			p.Post(storage.Post{Name: name, ReplyTo: p.Event.Message, Text: joint.NotYours(p.Op.Call), Silent: true})
		}
	case p.Event.Kind == event.Handed, p.Event.Kind == event.Spoken, phones.Of(p.Event.Message) == 0 && p.Event.Kind != event.Tapped:
		p.Say(joint.NotYours(p.Op.Call))
	default:
		return false
	}
	return true
}

// Refused says to a second phone whose it is to do what it asked for; false for the
// operator's own, who may do all.
func (p *Phones) Refused() bool {
	if p.Event.Second != "" {
		p.Say(joint.NotYours(p.Op.Call))
	}
	return p.Event.Second != ""
}

// Swap lets the second phone's arrivals, limits and last question stand for the operator's while
// an event of it is worked, and the other way round afterwards.
func (p *Phones) Swap() {
	i := slices.IndexFunc(p.Op.Phones, func(o storage.Phone) bool { return o.Of == p.Event.Second })
	if p.Event.Second == "" || i < 0 || p.Event.Part == event.Joins {
		return
	}
	o, s := &p.Op, &p.Op.Phones[i]
	o.Heard, s.Heard = s.Heard, o.Heard
	o.Silent, s.Silent = s.Silent, o.Silent
	o.Delivery, s.Delivery = s.Delivery, o.Delivery
	o.Flow, s.Flow = s.Flow, o.Flow
	o.Question, s.Question = s.Question, o.Question
}

// wordOff behind /second ends it.
const wordOff = "off"

// TapEnd is the verb of the button that ends a second phone's time.
const TapEnd = "unsecond"

// Moment is the end of a second phone's time.
const Moment = "second"

// Command lets a second phone in, says who is, or ends it.
func (p *Phones) Command(rest string) {
	phone, on := p.Second()
	switch off := strings.EqualFold(rest, wordOff); {
	case off && on:
		p.endSecond(phone)
	case off && p.Op.Offer != nil:
		p.dropOffer()
		p.Say(joint.OfferOff)
	case on:
		p.Say(joint.On(p.callOf(phone.Of), p.Op.Call, phone.Until, p.Event.Second != ""), p.offButton())
	case off && p.View.Seat(p.Op.ID).Holds(p.Event.At):
		p.Say(joint.Elsewhere) // it answers a post of the phone's own log
	case off && p.View.Seat(p.Op.ID).Log != "":
		p.sayOver() // a second time, too: it is asked for
	case off:
		p.Say(joint.NoSecond)
	case !p.Ready():
		p.Ask()
	default:
		p.offerSecond()
	}
}

func (p *Phones) offButton() []storage.Button {
	return []storage.Button{tx.Button(joint.LabelEnd, TapEnd)}
}

// TapOff ends what a button stands under: the second phone's time, or the offer.
func (p *Phones) TapOff(tx.Tap) { p.Command(wordOff) }

// offerSecond makes a code for a second phone.
func (p *Phones) offerSecond() {
	if s := p.View.Seat(p.Op.ID); s.Holds(p.Event.At) {
		p.Say(joint.Elsewhere)
		return
	}
	p.dropOffer()
	code := p.NewCode(p.Event.ID)
	p.Op.Offer = &storage.Offer{Hash: hashOf(code), Until: p.secondUntil()}
	p.Keep(OfferKey(p.Op.Offer.Hash), []byte(p.Op.ID))
	p.Say(joint.Offer(p.Op.Offer.Until, code), p.offButton())
	p.Posts[len(p.Posts)-1].Code = code
}

// dropOffer makes a code that was given let nobody in.
func (p *Phones) dropOffer() {
	if p.Op.Offer != nil {
		p.Keep(OfferKey(p.Op.Offer.Hash), nil)
		p.Op.Offer = nil
	}
}

// secondUntil is the end of a second phone's time.
func (p *Phones) secondUntil() time.Time {
	end := tx.NextDay(tx.StartOfDay(p.Event.At, p.Local()), p.Local())
	for _, o := range p.Op.Outings {
		if !o.Armed.IsZero() && o.Until.After(p.Event.At) && o.From.Before(end) {
			end = o.Until
			break
		}
	}
	for _, pass := range p.PassesIn(end, end.Add(time.Second)) {
		if pass.Up(end) && pass.Followed() {
			end = timing.Later(end, pass.LOS)
		}
	}
	return end
}

// join gives the phone that sent the code its seat.
func (p *Phones) join() {
	of, at, offer := p.Event.Second, p.Event.At, p.Op.Offer
	if of == "" { // it doesn't come in
		log, _ := offerer(p.View, p.Event)
		p.Say(refusal(p.View, log, p.Event))
		if s := p.View.Seat(p.Op.ID); !p.Ready() && s.Log == "" {
			s.Refused = true
			p.KeepSeat(p.Op.ID, s)
		}
		return
	}
	offer.Used = true
	calls := p.callOf(of)
	p.seated(storage.Phone{Of: of, Number: p.Event.By, From: at, Until: offer.Until, Heard: at}, p.View.Seat(of))
	p.Say(joint.Joined(p.Op.Call, offer.Until, calls.IsValid()), p.offButton())
	p.Post(storage.Post{
		Name: p.Name("second", p.Event.ID), Silent: true, Buttons: [][]storage.Button{p.offButton()},
		Text: joint.Came(calls, offer.Until),
	})
	p.At(Moment, offer.Until, "")
}

// TellOver says once, with the first line of somebody whose time in another's log is over,
// that it isn't in that log.
func (p *Phones) TellOver() {
	s := p.View.Seat(p.Op.ID)
	if s.Log != "" && !s.Told && p.Event.Second == "" && !p.Event.At.Before(s.Until) {
		p.sayOver()
	}
}

// sayOver says that somebody's time in another's log is over.
func (p *Phones) sayOver() {
	s := p.View.Seat(p.Op.ID)
	s.Told = true
	p.KeepSeat(p.Op.ID, s)
	p.Say(joint.Over(p.callOf(s.Log), p.Op.Call.IsValid()))
}

// Starts notes that somebody wants a log of their own, whatever code they sent before.
func (p *Phones) Starts() {
	if s := p.View.Seat(p.Op.ID); s.Refused {
		s.Refused = false
		p.KeepSeat(p.Op.ID, s)
	}
}

// Outside deals with what somebody without a log of their own says of second phones, with
// all that they say whom a code let in nowhere, until they send another or start a log, and
// with a contact that they tell where their time in another's log was over within the day
// before: it is in none, and none of what a log is set up with.
func (p *Phones) Outside(text string) bool {
	s := p.View.Seat(p.Op.ID)
	switch {
	case p.Ready() || p.Event.Second != "":
		return false
	case s.Refused:
		p.Say(joint.Refused(text))
		return true
	}
	if name, words, is := asked(text); is && name == "second" && !p.Event.Forwarded {
		p.Command(words)
		return true
	}
	if s.Log == "" || p.Event.At.Sub(s.Until) > tx.Day || !tx.TellsContact(text) {
		return false
	}
	s.Told = true
	p.KeepSeat(p.Op.ID, s)
	p.Say(joint.Nowhere(p.callOf(s.Log), text, p.Op.Call.IsValid()))
	p.Op.Asking = cmp.Or(p.Op.Asking, tx.AskCall) // which it says
	return true
}

// asked is the command that a line stands for, birds aside.
func asked(text string) (name, words string, is bool) {
	q, _ := question.Read(text, question.Birds{Is: func(string) bool { return false }})
	return q.Command()
}

// callOf is the call of a second phone's own log, if it has one.
func (p *Phones) callOf(of storage.OperatorID) parse.Callsign {
	own, _ := tx.Got(p.Tx, func() (storage.Operator, bool, error) { return p.View.Operator(of) })
	return own.Call
}

// seated writes down that a phone writes into the log.
func (p *Phones) seated(phone storage.Phone, before storage.Seat) {
	p.Op.Phoned = max(p.Op.Phoned, phone.Number)
	others := lists.Filter(p.Op.Phones, func(o storage.Phone) bool { return o.Of != phone.Of })
	p.Op.Phones = append(others[max(0, len(others)-mostPhones+1):], phone)
	s := storage.Seat{Log: p.Op.ID, From: phone.From, Until: phone.Until}
	if before.Log != "" {
		s.Before = lists.Filter(append([]storage.OperatorID{before.Log}, before.Before...), func(id storage.OperatorID) bool { return id != p.Op.ID })
		s.Before = s.Before[:min(len(s.Before), mostPhones)]
	}
	p.KeepSeat(phone.Of, s)
}

// endSecond ends a second phone's time by a tap or a word of either phone.
func (p *Phones) endSecond(phone storage.Phone) {
	at := p.Event.At
	for i := range p.Op.Phones {
		if o := &p.Op.Phones[i]; o.Of == phone.Of && o.Writes(at) {
			o.Until = at
			s := p.View.Seat(phone.Of)
			s.Until = at
			p.KeepSeat(phone.Of, s)
		}
	}
	p.dropOffer()
	p.Off(Moment, "")
	if p.Event.Second == "" {
		p.sayEnded(phone, at, joint.EndedByYou, joint.EndedByOther)
	} else {
		p.sayEnded(phone, at, joint.EndedByOther, joint.EndedByYou)
	}
}

// Over tells both that the time is over, unless it was ended before.
func (p *Phones) Over() {
	for _, phone := range p.Op.Phones {
		if phone.Until.Equal(p.Event.Item.At) {
			p.dropOffer()
			p.sayEnded(phone, phone.Until, joint.EndedByTime, joint.EndedByTime)
		}
	}
}

// sayEnded says to both that the second phone writes no more, as each sees who ended it, and takes the cards of
// passes from the top of its chat: they follow nothing there any more.
func (p *Phones) sayEnded(phone storage.Phone, at time.Time, seen, seenThere joint.Ender) {
	calls := p.callOf(phone.Of)
	name := p.Name("second", p.Event.ID)
	p.Post(storage.Post{Name: name, Silent: true, Text: joint.Gone(calls, at, seen)})
	p.onPhone(phone, storage.Post{Name: name, Op: storage.Send, Text: joint.Ended(p.Op.Call, at, calls.IsValid(), seenThere)})
	for _, pass := range p.StoredIn(at.Add(-time.Hour), at.Add(time.Second)) {
		card := p.Name("card", pass.ID)
		copied, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.Post(tx.CopyName(phone.Of, card)) })
		if ok && copied.Pin == storage.PinOn {
			p.onPhone(phone, storage.Post{
				Name: card + storage.EditOf, Target: card, Op: storage.Edit, Pin: storage.PinOff,
				Class: storage.ClassCard, Text: joint.Card(p.Op.Call),
			})
		}
	}
}

// onPhone owes a second phone alone a post.
func (p *Phones) onPhone(phone storage.Phone, post storage.Post) {
	post.Made, post.Silent = p.Now(), true
	p.alone = append(p.alone, p.copyOf(phone, post))
}
