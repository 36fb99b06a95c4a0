package telegram

import (
	"slices"
	"strconv"
	"strings"
	"time"
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
	Number int       `json:"number"`
	Hash   string    `json:"hash,omitempty"` // of the code
	Until  time.Time `json:"until"`
	Guest  int64     `json:"guest,omitempty"` // who came in by it; 0: nobody
	Came   time.Time `json:"came,omitzero"`
	Off    time.Time `json:"off,omitzero"` // when it was taken back
}

// invited is what an invitation is at a moment.
type invited int

const (
	invitedOpen invited = iota
	invitedIn
	invitedOff
	invitedEnded
)

func (i invitation) state(now time.Time) invited {
	switch {
	case !i.Off.IsZero():
		return invitedOff
	case i.Guest != 0:
		return invitedIn
	case !now.Before(i.Until):
		return invitedEnded
	}
	return invitedOpen
}

// openFor finds the open invitation that a code belongs to; -1 if there is none.
func (m *memory) openFor(code string, now time.Time) int {
	hash := hashed(code)
	return slices.IndexFunc(m.Invited, func(i invitation) bool {
		return i.state(now) == invitedOpen && sameText(i.Hash, hash)
	})
}

// pruneInvited drops what ended long ago.
func (m *memory) pruneInvited(now time.Time) {
	m.Invited = slices.DeleteFunc(m.Invited, func(i invitation) bool {
		end := i.Until
		if !i.Off.IsZero() {
			end = i.Off
		}
		return i.state(now) != invitedIn && now.Sub(end) > endedFor
	})
}

// number gives every invitation of an older form, and everybody who came in
// before invitations were kept, an entry in the list.
func (m *memory) number() {
	for _, hash := range sortedKeys(m.Invites) {
		m.add(invitation{Hash: hashed(hash), Until: m.Invites[hash]})
	}
	m.Invites = nil
	for _, id := range sortedKeys(m.Members) {
		if !slices.ContainsFunc(m.Invited, func(i invitation) bool { return i.Guest == id && i.Off.IsZero() }) {
			m.add(invitation{Until: m.Members[id], Guest: id, Came: m.Members[id]})
		}
	}
}

// add numbers an invitation and keeps it.
func (m *memory) add(i invitation) invitation {
	m.Numbered++
	i.Number = m.Numbered
	m.Invited = append(m.Invited, i)
	return i
}

// isInvite reports whether a text is the one command that never reaches the
// desk, and what stands behind it.
func isInvite(text string) (args []string, ok bool) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return nil, false
	}
	word, _, _ := strings.Cut(words[0], "@")
	return words[1:], strings.EqualFold(word, "/invite")
}

// The words behind /invite.
const (
	inviteList = "list"
	inviteOff  = "off"
)

// invite answers /invite; only the owner is served.
func (t *Transport) invite(m *memory, id int64, args []string, now time.Time) {
	m.owe(id, t.inviteAnswer(m, id, args, now), false)
}

func (t *Transport) inviteAnswer(m *memory, id int64, args []string, now time.Time) string {
	m.pruneInvited(now)
	number := 0
	if len(args) == 2 {
		if n, err := strconv.Atoi(args[1]); err == nil && n < 1e9 {
			number = n // 0 is no number of any
		}
	}
	switch {
	case id != m.Owner:
		return textNotYours
	case len(args) == 0:
		return t.newInvite(m, now)
	case strings.EqualFold(args[0], inviteList) && (len(args) == 1 || number > 0):
		return t.listInvited(m, max(number, 1), now)
	case strings.EqualFold(args[0], inviteOff) && number > 0:
		return t.takeBack(m, number, now)
	}
	return textInviteHow
}

// newInvite makes an invitation.
func (t *Transport) newInvite(m *memory, now time.Time) string {
	open := 0
	for _, i := range m.Invited {
		if i.state(now) == invitedOpen {
			open++
		}
	}
	if open >= mostOpen {
		return textManyInvites
	}
	code := newCode()
	i := m.add(invitation{Hash: hashed(code), Until: now.Add(inviteFor)})
	link := code
	if name := t.name.Load(); name != nil {
		link = "https://t.me/" + *name + "?start=" + code
	}
	return inviteText(i, link)
}

// listInvited is a page of the invitations, the newest first.
func (t *Transport) listInvited(m *memory, page int, now time.Time) string {
	if len(m.Invited) == 0 {
		return textNoInvites
	}
	all := slices.Clone(m.Invited)
	slices.Reverse(all)
	pages := slices.Collect(slices.Chunk(all, listedInvitations))
	page = min(page, len(pages))
	var rows []string
	for _, i := range pages[page-1] {
		rows = append(rows, invitedLine(i, i.state(now), t.calls(i.Guest)))
	}
	return invitedText(rows, page, len(pages))
}

// takeBack ends an invitation, and puts out who came in by it.
func (t *Transport) takeBack(m *memory, number int, now time.Time) string {
	at := slices.IndexFunc(m.Invited, func(i invitation) bool { return i.Number == number })
	if at < 0 {
		return noInviteText(number)
	}
	i := &m.Invited[at]
	switch state := i.state(now); state {
	case invitedOff, invitedEnded:
		return endedText(number)
	case invitedOpen:
		i.Off = now
		return takenBackText(number)
	}
	guest := i.Guest
	i.Off, i.Guest = now, 0
	delete(m.Members, guest)
	if t.admitted(m, guest) {
		return stillInText(t.calls(guest))
	}
	m.dropFetches(guest)
	m.owe(guest, textPutOut, false)
	return putOutText(t.calls(guest))
}

// calls is what somebody is called in the owner's list.
func (t *Transport) calls(id int64) string {
	call, err := t.desk.CallOf(operatorID(id))
	if err == nil && call.IsValid() {
		return call.String()
	}
	return "no. " + strconv.FormatInt(id, 10)
}
