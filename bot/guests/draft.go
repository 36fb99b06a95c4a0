package guests

import (
	"slices"
	"time"

	"skyslate/bot/second"
	"skyslate/storage"
)

// Draft is who is let in while it is being changed: see [Guests.Change]. It ends
// with the function that it is given to.
type Draft struct {
	Now time.Time // the moment of the change
	// Out are those who were in and are put out by this change: what waits for them
	// elsewhere is to be given up.
	Out []storage.OperatorID

	guests *Guests
	book   book // that of the guests until it is edited
	edited bool
	values map[string][]byte // as they will be, by their keys
	err    error
}

// edit is the book, to be changed.
func (d *Draft) edit() *book {
	if !d.edited {
		d.book, d.edited = d.book.clone(), true
	}
	return &d.book
}

// putBook puts the book, and what is said to people beside it.
func (d *Draft) putBook(b book) {
	d.put(bookKey, b)
	d.put(saidKey, b.said)
}

// Hearing is the end to which a message comes.
type Hearing int

// The ends to which a message comes.
const (
	Passes Hearing = iota // the desk's, as it is
	Starts                // it held a code that is good: a start for the desk, whatever was written
	Ends                  // dealt with: a stranger's, or answered here
)

// Admits reports whether somebody is let in, or writes into the log of somebody who is.
func (d *Draft) Admits(op storage.OperatorID) bool {
	return d.isIn(op) || d.guests.desk.Lets(op, "", d.Now)
}

// isIn reports whether somebody is let in for themselves.
func (d *Draft) isIn(op storage.OperatorID) bool {
	return d.guests.admits(&d.book, op) || !d.person(op).In.IsZero()
}

// Hear deals with a message of somebody's. A tap or an edit has no text here: it
// neither lets anybody in nor invites. Link makes the address that carries a new
// invitation's code to the bot, or returns the code; nil: the app invites people by
// their addresses alone.
func (d *Draft) Hear(from storage.OperatorID, text string, link func(code string) string) Hearing {
	entered := d.tryEntry(from, text)
	if !entered && !d.isIn(from) && !d.guests.desk.Lets(from, text, d.Now) {
		if d.book.mayTell(from, d.Now) {
			told := textStranger
			if second.IsCode(text) {
				told = textCode
			}
			d.edit().tellOnce(Notice{To: from, Text: told}, d.Now)
			d.guests.log.Info("a stranger has written", "id", string(from))
		}
		return Ends
	}
	d.Back(from)
	if entered {
		delete(d.edit().Told, from)
		return Starts
	}
	if name, words := command(text); name == "/invite" {
		d.Tell(from, d.invite(from, words[1:], link))
		return Ends
	}
	return Passes
}

// tryEntry lets somebody in whose message holds a code that is good. The owner's
// code makes anybody the owner, those who are in already too.
func (d *Draft) tryEntry(from storage.OperatorID, text string) (good bool) {
	code := codeIn(text)
	if code == "" {
		return false
	}
	if d.guests.awaits(&d.book) && sameText(code, d.guests.code) {
		d.own(from)
		d.guests.log.Info("the owner has come in", "operator", string(from))
		return true
	}
	i := d.book.openFor(code, d.Now)
	if i < 0 {
		return false
	}
	if !d.isIn(from) { // those who are in cost no invitation
		d.putIn(from, d.book.Invited[i])
		d.guests.log.Info("an operator has come in by invitation", "operator", string(from))
	}
	return true
}

// own makes somebody the owner, and puts out the one before: the account is lost,
// or somebody else's by now.
func (d *Draft) own(op storage.OperatorID) {
	b, before := d.edit(), d.book.Owner
	b.Owner, b.Used = op, hashed(d.guests.code)
	d.Tell(op, textOwner)
	if before == "" || before == op {
		return
	}
	p := d.person(before)
	p.In = time.Time{}
	d.putPerson(before, p)
	d.Out = append(d.Out, before)
	d.Tell(before, textReplaced)
}

// Blocked remembers that somebody has blocked the bot, until they write again or
// are back.
func (d *Draft) Blocked(op storage.OperatorID) {
	if d.Admits(op) {
		p := d.person(op)
		p.Gone = d.Now
		d.putPerson(op, p)
		d.guests.log.Info("an operator has blocked the bot", "operator", string(op))
	}
}

// Back is Blocked taken back.
func (d *Draft) Back(op storage.OperatorID) {
	if p := d.person(op); !p.Gone.IsZero() {
		p.Gone = time.Time{}
		d.putPerson(op, p)
	}
}

// TurnAway deals with a group in which the bot is: it is told once and left.
func (d *Draft) TurnAway(group storage.OperatorID) {
	if d.book.mayTell(group, d.Now) {
		d.edit().tellOnce(Notice{To: group, Text: textGroup, Leave: true}, d.Now)
	}
}

// Parted says that the bot is no more in a group: if it comes back, the group is
// told anew.
func (d *Draft) Parted(group storage.OperatorID) {
	if _, told := d.book.Told[group]; told {
		delete(d.edit().Told, group)
	}
}

// TellOwner owes the owners a sentence, if there are any.
func (d *Draft) TellOwner(text string) {
	for _, owner := range d.guests.owners(&d.book) {
		d.Tell(owner, text)
	}
}

// Tell owes somebody a sentence beside the conversation.
func (d *Draft) Tell(op storage.OperatorID, text string) { d.edit().owe(Notice{To: op, Text: text}) }

// Said settles a notice.
func (d *Draft) Said(id uint64) {
	b := d.edit()
	b.Notices = slices.DeleteFunc(b.Notices, func(n Notice) bool { return n.ID == id })
}
