package telegram

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base32"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"time"
)

// inviteFor is how long an invitation holds.
const inviteFor = 7 * 24 * time.Hour

// newCode makes a code that nobody guesses: 130 bits, in characters that a
// link's payload may hold.
func newCode() string {
	var b [17]byte
	_, _ = rand.Read(b[:]) // never fails: see its documentation
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))[:26]
}

// ownerCode reads the owner's code from its file, or makes both.
func ownerCode(path string) (string, error) {
	b, err := os.ReadFile(path)
	switch {
	case err == nil && len(strings.TrimSpace(string(b))) >= 20:
		return strings.TrimSpace(string(b)), nil
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return "", fmt.Errorf("read the owner's code: %w", err)
	}
	code := newCode()
	// A file that is there with other rights must not get a secret.
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return "", fmt.Errorf("write the owner's code: %w", err)
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return "", fmt.Errorf("write the owner's code: %w", err)
	}
	_, err = fmt.Fprintln(f, code)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return "", fmt.Errorf("write the owner's code: %w", err)
	}
	return code, nil
}

// admitted reports whether somebody is let in.
func (t *Transport) admitted(m *memory, id int64) bool {
	_, member := m.Members[id]
	return t.open || member || id == m.Owner && id != 0 || slices.Contains(t.allow, id)
}

// entry is what a message of somebody outside comes to.
type entry int

const (
	stranger entry = iota
	owner
	member
)

// tryEntry lets somebody in whose message holds a code that is good.
func (t *Transport) tryEntry(m *memory, id int64, text string, now time.Time) entry {
	code := strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(text), "/start"))
	if code == "" {
		return stranger
	}
	if m.Owner == 0 && t.code != "" && subtle.ConstantTimeCompare([]byte(code), []byte(t.code)) == 1 {
		m.Owner = id
		m.owe(id, textOwner, false)
		return owner
	}
	maps.DeleteFunc(m.Invites, func(_ string, end time.Time) bool { return !now.Before(end) })
	for invite := range m.Invites {
		if subtle.ConstantTimeCompare([]byte(code), []byte(invite)) == 1 {
			delete(m.Invites, invite)
			m.Members[id] = now
			return member
		}
	}
	return stranger
}

// invite answers /invite; only the owner gets one.
func (t *Transport) invite(m *memory, id int64, now time.Time) {
	if id != m.Owner {
		m.owe(id, textNotYours, false)
		return
	}
	code, end := newCode(), now.Add(inviteFor)
	m.Invites[code] = end
	link := code
	if name := t.name.Load(); name != nil {
		link = "https://t.me/" + *name + "?start=" + code
	}
	m.owe(id, inviteText(link, end), false)
}

// asksToInvite reports whether a text is the one command that never reaches the
// desk.
func asksToInvite(text string) bool {
	word, _, _ := strings.Cut(strings.TrimSpace(text), " ")
	word, _, _ = strings.Cut(word, "@")
	return strings.EqualFold(word, "/invite")
}
