package guests

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/storage"
)

const (
	// inviteFor is how long an invitation holds.
	inviteFor = 7 * 24 * time.Hour
	// mostOpen bounds the invitations that nobody has used yet.
	mostOpen = 10
	// endedFor is how long one that let nobody in is listed after its end.
	endedFor = 30 * 24 * time.Hour
	// listedInvitations is how many stand on a page of the list.
	listedInvitations = 9
)

// invitation lets one person in, once. Its code is written down nowhere.
type invitation struct {
	Number int                `json:"number"`
	Hash   string             `json:"hash,omitempty"` // of the code
	Until  time.Time          `json:"until"`
	Guest  storage.OperatorID `json:"guest,omitempty"` // who came in by it
	Came   time.Time          `json:"came,omitzero"`
	Off    time.Time          `json:"off,omitzero"` // when it was taken back
}

// state is the state of an invitation at a moment.
type state int

const (
	isOpen state = iota
	isIn
	isOff
	isEnded
)

func (i invitation) state(now time.Time) state {
	switch {
	case !i.Off.IsZero():
		return isOff
	case i.Guest != "":
		return isIn
	case !now.Before(i.Until):
		return isEnded
	}
	return isOpen
}

// openFor finds the open invitation that a code belongs to; -1 if there is none.
func (b *book) openFor(code string, now time.Time) int {
	hash := hashed(code)
	return slices.IndexFunc(b.Invited, func(i invitation) bool {
		return i.state(now) == isOpen && sameText(i.Hash, hash)
	})
}

// pruneInvited drops invitations that ended long ago.
func (b *book) pruneInvited(now time.Time) {
	b.Invited = slices.DeleteFunc(b.Invited, func(i invitation) bool {
		return now.Sub(cmp.Or(i.Off, i.Until)) > endedFor
	})
}

// find is where an invitation stands by which nobody is in, or would stand.
func (b *book) find(number int) (at int, found bool) {
	return slices.BinarySearchFunc(b.Invited, number, func(i invitation, n int) int { return cmp.Compare(i.Number, n) })
}

// invitation is the one of that number, be somebody in by it or not.
func (d *Draft) invitation(number int) (i invitation, ok bool) {
	if at, found := d.book.find(number); found {
		return d.book.Invited[at], true
	}
	ok = d.value(guestKey(number), &i)
	return i, ok
}

// add numbers an invitation and keeps it.
func (b *book) add(i invitation) invitation {
	b.Numbered++
	i.Number = b.Numbered
	b.Invited = append(b.Invited, i)
	return i
}

// invite answers /invite; only the owner is served.
func (d *Draft) invite(from storage.OperatorID, args []string, link func(code string) string) string {
	d.edit().pruneInvited(d.Now)
	number := 0
	if len(args) == 2 {
		if n, err := strconv.Atoi(args[1]); err == nil && n < 1e9 {
			number = n // 0 is no number of any
		}
	}
	switch {
	case !slices.Contains(d.guests.owners(&d.book), from):
		return textNotYours
	case len(args) == 0 && link != nil:
		return d.newInvite(link)
	case len(args) == 0: // told how
	case strings.EqualFold(args[0], "list") && (len(args) == 1 || number > 0):
		return d.listInvited(max(number, 1))
	case strings.EqualFold(args[0], "off") && number > 0:
		return d.takeBack(number)
	case len(args) == 1:
		for _, reach := range d.guests.reach {
			if op, keep, ok := reach(args[0]); ok {
				return d.inviteTo(op, keep)
			}
		}
	}
	return inviteHow(link != nil, len(d.guests.reach) > 0)
}

// inviteTo lets somebody in to whom an app writes first.
func (d *Draft) inviteTo(op storage.OperatorID, keep map[string][]byte) string {
	if d.isIn(op) {
		return fmt.Sprintf(textIsIn, op)
	}
	i := d.edit().add(invitation{Until: d.Now.Add(inviteFor)})
	d.putIn(op, i)
	maps.Copy(d.values, keep)
	return fmt.Sprintf(textInvitedTo, op, i.Number)
}

// newInvite makes an invitation.
func (d *Draft) newInvite(link func(code string) string) string {
	open := 0
	for _, i := range d.book.Invited {
		if i.state(d.Now) == isOpen {
			open++
		}
	}
	if open >= mostOpen {
		return textManyInvites
	}
	code := newCode()
	i := d.edit().add(invitation{Hash: hashed(code), Until: d.Now.Add(inviteFor)})
	return inviteText(i, link(code))
}

// listInvited is a page of the invitations, the newest first.
func (d *Draft) listInvited(page int) string {
	all := len(d.book.Invited) + d.book.Guests
	if all == 0 {
		return textNoInvites
	}
	pages := (all + listedInvitations - 1) / listedInvitations
	page = min(page, pages)
	var rows []string
	skip := (page - 1) * listedInvitations
	for n := d.book.Numbered; n > 0 && len(rows) < listedInvitations; n-- {
		i, ok := d.invitation(n)
		switch {
		case !ok: // it is forgotten
		case skip > 0:
			skip--
		default:
			rows = append(rows, invitedLine(i, i.state(d.Now), d.calls(i.Guest)))
		}
	}
	return invitedText(rows, page, pages)
}

// takeBack ends an invitation, and puts out who came in by it.
func (d *Draft) takeBack(number int) string {
	i, ok := d.invitation(number)
	if !ok {
		return fmt.Sprintf(textNoSuchInvite, number)
	}
	switch i.state(d.Now) {
	case isOff, isEnded:
		return fmt.Sprintf(textEnded, number)
	case isOpen:
		at, _ := d.book.find(number)
		d.edit().Invited[at].Off = d.Now
		return fmt.Sprintf(textTakenBack, number)
	}
	d.putOut(i)
	if d.isIn(i.Guest) {
		return fmt.Sprintf(textStillIn, d.calls(i.Guest))
	}
	d.Tell(i.Guest, textPutOut)
	return fmt.Sprintf(textGuestOut, d.calls(i.Guest))
}

// calls is the name by which the owner's list calls somebody.
func (d *Draft) calls(op storage.OperatorID) string {
	call, err := d.guests.desk.CallOf(op)
	if err == nil && call.IsValid() {
		return call.String()
	}
	return namelessText(op)
}
