// Package peers holds an operator's log against those of others who let theirs be held
// against it: who does, what agrees, and what is told of the rest. What agreeing is says
// package agree.
//
// # What is shared, and with whom
//
// Nothing, until /agree is consented to. From then on, and under the call of then, an
// operator's contacts are held against those of others who have consented, too. Each
// learns of the other's log those contacts alone that name their call, or one that is off
// by one or two symbols; of the other, call and squares. That holds for what is said and
// for when: a contact puts a moment on the agendas of those whom it may name, at full
// quarter-hours, and on nobody else's.
//
// Whether contacts agree is worked out when they are shown. Nothing of it is kept in a
// contact, or goes out in a file.
//
// # When it is told that something differs
//
// At the first full quarter-hour at least half an hour after the last contact of its
// hour, when its bird has set, and while no pass is up on which the operator has logged something. Each
// difference is told once to each side, and that post is edited where it changes later.
// At most so many are told of a day: somebody may name one a hundred times.
//
// # Who they are
//
// Nobody proves a call here. As long as two operators compare under one base, contacts
// that name it, or are theirs, agree and differ with nobody's, and both are told so once.
// Who takes somebody else's call sees no more than those contacts that name it from then
// on, and only while its owner doesn't compare.
//
// Consent is for a call. Another one, even in the middle of a pass, ends it, and so does
// /agree off, or /forget: from then on nothing of the operator is found. What was told
// until then has been told, and stays in the chat as it stands: whether it still differs is
// not known then, so it is not said either. The ✓ of a contact is no memory: it says what
// the two logs come to while both compare, which is said when somebody consents and below
// each ✓, and goes with either side's end. That is told to who ends it; to the other a
// word, or the moment of one, would tell a setting of somebody else's. Who consents again
// begins anew: what lies before is not shared again.
package peers

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/agree"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// Peers are those others, as an event finds them.
type Peers struct{ *tx.Tx }

// TapOn is the verb of the button that consents, with the call that it was read with.
const TapOn = "agree"

const wordOff = "off"

// compares reports whether the operator has consented.
func (p Peers) compares() bool { return p.Op.Agreeing.Call.IsValid() }

// Switch says what is shared and asks for consent, or ends it.
func (p Peers) Switch(rest string) {
	switch {
	case strings.EqualFold(rest, wordOff):
		p.end()
		p.Say(say.AgreeingOff)
	case p.compares():
		p.Say(say.AgreeingSince(p.Op.Agreeing.Call, p.Op.Agreeing.Since))
	default:
		p.Say(say.AskAgreeing(p.Op.Call), []storage.Button{tx.Button(say.LabelAgree, TapOn, p.Op.Call)})
	}
}

// end ends the consent: nothing of what was told under it is taken over any more.
func (p Peers) end() {
	for _, d := range p.Op.Differed {
		p.unbutton(d)
	}
	p.Op.Agreeing, p.Op.Differed = storage.Agreeing{}, nil
}

// Consent takes the tap: it holds for the call that was shown.
func (p Peers) Consent(tap tx.Tap) {
	if !p.Ready() || p.compares() || tap.Part(0) != p.Op.Call.String() {
		p.Say(say.OldButton)
		return
	}
	p.Op.Agreeing = storage.Agreeing{Call: p.Op.Call, Since: p.Event.At}
	p.EditTapped(say.AgreeingOn(p.Op.Call))
	for _, other := range p.View.CallersOf(p.Op.Call.Base()) {
		p.Agenda = append(p.Agenda, tx.Item(other, MomentTwin, p.Event.At, "", p.Event.ID))
		p.Say(say.SameCall(p.Op.Call))
	}
}

// Twin says that somebody else compares under the same call.
func (p Peers) Twin() {
	if p.compares() && len(p.View.CallersOf(p.Op.Agreeing.Call.Base())) > 1 {
		p.Say(say.SameCall(p.Op.Agreeing.Call))
	}
}

// Agreed are those of contacts, by ID, that agree with one in another's log.
func (p Peers) Agreed(contacts []storage.Contact) map[uint64]bool {
	mine := lists.Filter(contacts, p.Op.Agreeing.Shares)
	if len(mine) == 0 {
		return nil
	}
	byTime := func(a, b storage.Contact) int { return a.Time.Compare(b.Time) }
	from, to := slices.MinFunc(mine, byTime).Time, slices.MaxFunc(mine, byTime).Time
	theirs := map[storage.OperatorID][]storage.Contact{}
	for _, c := range p.namingMe(from.Add(-agree.Around), to.Add(agree.Around)) {
		theirs[c.Operator] = append(theirs[c.Operator], c)
	}
	agreed := map[uint64]bool{}
	for other, contacts := range theirs {
		for _, v := range p.judge(other, mine, contacts) {
			if v.Kind == agree.Agreed {
				agreed[v.Mine.ID] = true
			}
		}
	}
	return agreed
}

// namingMe are the contacts of others that name just the operator's call.
func (p Peers) namingMe(from, to time.Time) (all []storage.Contact) {
	p.Visit(func() error {
		return p.View.VisitNaming(p.Op.Agreeing.Call.Base(), from, to, func(c storage.Contact) bool {
			if c.Operator != p.Op.ID {
				all = append(all, c)
			}
			return true
		})
	})
	return all
}

// judge holds contacts of the operator's against another's; none where either goes by a
// call by which somebody else does, too.
func (p Peers) judge(other storage.OperatorID, mine, theirs []storage.Contact) []agree.Verdict {
	o, _ := tx.Got(p.Tx, func() (storage.Operator, bool, error) { return p.View.Operator(other) })
	if !p.compares() || !o.Agreeing.Call.IsValid() || p.twins(p.Op.Agreeing) || p.twins(o.Agreeing) {
		return nil
	}
	busy := func(base string) bool { return len(p.View.CallersOf(base)) > 0 }
	return agree.Judge(agree.Side{Agreeing: p.Op.Agreeing, Contacts: mine}, agree.Side{Agreeing: o.Agreeing, Contacts: theirs}, busy)
}

// comparesWith reports whether the operator's log is held against that of just one other
// who goes by a call.
func (p Peers) comparesWith(base string) bool {
	return !p.twins(p.Op.Agreeing) && len(p.View.CallersOf(base)) == 1
}

// twins reports whether somebody else goes by the same call.
func (p Peers) twins(a storage.Agreeing) bool { return len(p.View.CallersOf(a.Call.Base())) > 1 }

// mostNear is how many others a call may be like: one that is like more than these says
// nothing of any.
const mostNear = 20

// named are the others whom a contact may name: those with its call or, where there is
// none, with one like it.
func (p Peers) named(c storage.Contact) []storage.OperatorID {
	base := c.Call.Base()
	all := p.View.CallersOf(base)
	if len(all) == 0 {
		if all = p.View.CallersNear(base); len(all) > mostNear {
			return nil
		}
	}
	return slices.DeleteFunc(all, func(id storage.OperatorID) bool { return id == p.Op.ID })
}

// found is a verdict, and the contact that it is about: the operator's or, where that is
// missing, the other's.
type found struct {
	agree.Verdict
	about storage.Contact
	other storage.Agreeing
}

// compare holds the log around a span of time against those of others, by time.
func (p Peers) compare(from, to time.Time) (all []found) {
	mine := p.ContactsIn(from.Add(-agree.Around), to.Add(agree.Around))
	others := map[storage.OperatorID]bool{}
	for _, c := range lists.Filter(mine, p.Op.Agreeing.Shares) {
		for _, id := range p.named(c) {
			others[id] = true
		}
	}
	for _, c := range p.namingMe(from.Add(-agree.Around), to.Add(agree.Around)) {
		others[c.Operator] = true
	}
	for other := range others {
		theirs := tx.List(p.Tx, func() ([]storage.Contact, error) {
			return p.View.Contacts(other, from.Add(-agree.Around), to.Add(agree.Around))
		})
		o, _ := tx.Got(p.Tx, func() (storage.Operator, bool, error) { return p.View.Operator(other) })
		for _, v := range p.judge(other, mine, theirs) {
			about := v.Mine
			if v.Kind == agree.Missing {
				about = v.Theirs
			}
			if !about.Time.Before(from) && about.Time.Before(to) {
				all = append(all, found{v, about, o.Agreeing})
			}
		}
	}
	slices.SortFunc(all, func(a, b found) int {
		return cmp.Or(a.about.Time.Compare(b.about.Time), cmp.Compare(a.other.Call.Base(), b.other.Call.Base()),
			cmp.Compare(a.Mine.ID, b.Mine.ID), cmp.Compare(a.Theirs.ID, b.Theirs.ID))
	})
	return all
}
