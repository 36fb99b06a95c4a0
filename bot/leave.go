package bot

import (
	"encoding/json"
	"slices"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say/joint"
	"skyslate/bot/say/limits"
	"skyslate/bot/second"
	"skyslate/parse"
	"skyslate/parse/memo"
	"skyslate/storage"
	"skyslate/storage/backups"
)

// Leaving is what a part of the program does about an operator who is to be
// forgotten. A nil function does nothing.
type Leaving struct {
	// Before gives up what it keeps of them in the store, which removes its traces
	// afterwards, and says in a sentence what remains elsewhere, if anything. It
	// may be called again after a crash.
	Before func(op storage.OperatorID) (remains string, err error)
	// After stops what is in hand for them: the store holds nothing of theirs any
	// more.
	After func(op storage.OperatorID)
}

// OnLeave adds to what is done when an operator is forgotten. Call it before the
// desk is at work.
func (d *Desk) OnLeave(l Leaving) { d.leaving = append(d.leaving, l) }

// forget removes the operator of an event, everywhere, and returns the farewell.
// The event itself stays in the inbox until it is committed: after a crash it
// is all done again, which does no harm.
func (d *Desk) forget(ev event.Event) (storage.Post, error) {
	remains, err := d.leaveSeats(ev)
	if err != nil {
		return storage.Post{}, err
	}
	for _, l := range d.leaving {
		if l.Before == nil {
			continue
		}
		more, err := l.Before(ev.Operator)
		if err != nil {
			return storage.Post{}, err
		}
		if more != "" {
			remains = append(remains, more)
		}
	}
	copies, err := d.store.Forget(ev.Operator, ev.Now, func(v *storage.View, r storage.Raw) bool {
		came, _ := d.read(v, r) // of what can't be read whole, the operator may be known
		return r.ID != ev.ID && came.Operator == ev.Operator
	})
	if err != nil {
		return storage.Post{}, err
	}
	d.skies.Forget(ev.Operator)
	d.memo = memo.Readings{}
	for _, l := range d.leaving {
		if l.After != nil {
			l.After(ev.Operator)
		}
	}
	made, others := backups.Times(copies)
	left := limits.Copies{Backups: made, Kept: storage.BackupsKept, Damaged: others}
	return storage.Post{
		Name: string(ev.Operator) + "/forgotten/" + ev.ID, Operator: ev.Operator, Made: ev.Now,
		Op: storage.Send, Text: limits.Forgotten(left, remains), Silent: true, Last: true,
	}, nil
}

// leaveSeats ends what the operator of an event has to do with second phones, on either
// side, and says what remains of it. It is done again after a crash.
func (d *Desk) leaveSeats(ev event.Event) (remains []string, err error) {
	keep := map[string][]byte{}
	var logs []storage.Changes
	var told storage.Changes
	err = d.store.View(func(v *storage.View) error {
		own, known, err := v.Operator(ev.Operator)
		if known && own.Offer != nil {
			keep[second.OfferKey(own.Offer.Hash)] = nil
		}
		for _, phone := range own.Phones {
			body, err := withoutLog(v.Seat(phone.Of), own.ID)
			if err != nil {
				return err
			}
			keep[storage.SeatKey(phone.Of)] = body
			if phone.Writes(ev.At) {
				told.Posts = append(told.Posts, storage.Post{
					Name: string(phone.Of) + "/second/" + ev.ID, Operator: phone.Of, Made: ev.Now, Op: storage.Send,
					Text: joint.Ended(parse.Callsign{}, ev.At, false, joint.EndedByOther), Silent: true,
				})
			}
		}
		seat := v.Seat(ev.Operator)
		for _, id := range append([]storage.OperatorID{seat.Log}, seat.Before...) {
			log, known, _ := v.Operator(id) // the view keeps the error
			if phone, in := second.PhoneOf(log, ev.Operator); known && in {
				logs = append(logs, withoutPhone(log, phone, ev))
			}
		}
		return err
	})
	if err == nil {
		err = d.store.Accept(keep)
	}
	if err == nil && len(told.Posts) > 0 {
		err = d.store.Commit("unseated/"+ev.ID, ev.Now, told)
	}
	for _, ch := range logs {
		remains = []string{joint.RemainsInLogs}
		if err == nil {
			err = d.store.Commit("unseated/"+string(ch.Operator.ID)+"/"+ev.ID, ev.Now, ch)
		}
	}
	return remains, err
}

// withoutLog is a seat once a log is gone, as it is kept; nil: it is none any more.
func withoutLog(s storage.Seat, log storage.OperatorID) ([]byte, error) {
	s.Before = slices.DeleteFunc(s.Before, func(id storage.OperatorID) bool { return id == log })
	if s.Log == log {
		s.Log, s.Until = "", time.Time{}
		if len(s.Before) == 0 {
			return nil, nil
		}
	}
	return json.Marshal(s)
}

// withoutPhone takes a phone off a log, and tells the log's operator if it wrote there.
func withoutPhone(log storage.Operator, phone storage.Phone, ev event.Event) storage.Changes {
	log.Phones = slices.DeleteFunc(log.Phones, func(p storage.Phone) bool { return p.Of == phone.Of })
	ch := storage.Changes{Operator: &log}
	if phone.Writes(ev.At) {
		ch.Posts = []storage.Post{{
			Name: string(log.ID) + "/second/" + ev.ID, Operator: log.ID, Made: ev.Now, Op: storage.Send,
			Text: joint.Gone(parse.Callsign{}, ev.At, joint.EndedByOther), Silent: true,
		}}
	}
	return ch
}

// Owes reports whether a post must still go out. A transport's loops ask right
// before they send what they were given a while ago.
func (d *Desk) Owes(name string) (bool, error) { return d.store.Owes(name) }

// CallOf is the call that an operator goes by; the zero one if none is known.
func (d *Desk) CallOf(id storage.OperatorID) (parse.Callsign, error) {
	op, err := d.operator(id)
	return op.Call, err
}

func (d *Desk) operator(id storage.OperatorID) (op storage.Operator, err error) {
	err = d.store.View(func(v *storage.View) error {
		op, _, err = v.Operator(id)
		return err
	})
	return op, err
}

// Lets reports whether somebody may write to the bot at a moment although nobody has let
// them in: see [second.Lets].
func (d *Desk) Lets(op storage.OperatorID, text string, at time.Time) (lets bool) {
	err := d.store.View(func(v *storage.View) error {
		lets = second.Lets(v, op, text, at)
		return nil
	})
	return lets && err == nil
}

// HasSeat reports whether somebody writes into an operator's log, or did: what is owed
// to them goes out.
func (d *Desk) HasSeat(op storage.OperatorID) (has bool) {
	err := d.store.View(func(v *storage.View) error {
		has = v.Seat(op).Log != ""
		return nil
	})
	return has && err == nil
}
