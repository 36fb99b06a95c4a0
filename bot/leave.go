package bot

import (
	"skyslate/bot/event"
	"skyslate/bot/say"
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
	var remains []string
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
	left := say.Copies{Backups: made, Kept: storage.BackupsKept, Damaged: others}
	return storage.Post{
		Name: string(ev.Operator) + "/forgotten/" + ev.ID, Operator: ev.Operator, Made: ev.Now,
		Op: storage.Send, Text: say.Forgotten(left, remains), Silent: true, Last: true,
	}, nil
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
