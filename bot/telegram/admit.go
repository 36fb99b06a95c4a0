package telegram

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"
)

// newCode makes a code that nobody guesses: 130 bits, in characters that a
// link's payload may hold.
func newCode() string {
	var b [17]byte
	_, _ = rand.Read(b[:]) // never fails: see its documentation
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))[:26]
}

// hashed is what is kept of a code: a copy of the store lets nobody in. Codes are
// too long to be guessed from it.
func hashed(code string) string {
	sum := sha256.Sum256([]byte("skyslate code " + code))
	return hex.EncodeToString(sum[:])
}

func sameText(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// codeIn is the one word that a message holds, be it alone or behind /start.
func codeIn(text string) string {
	words := strings.Fields(text)
	if len(words) > 0 {
		if word, _, _ := strings.Cut(words[0], "@"); strings.EqualFold(word, "/start") {
			words = words[1:]
		}
	}
	if len(words) != 1 {
		return ""
	}
	return words[0]
}

// prepareCode makes ready the code of the owner to come: while there is no owner,
// or where the machine's user asks for another one with a file (which may be
// empty) in the code's place.
func (t *Transport) prepareCode() (err error) {
	if t.codeFile == "" {
		return nil
	}
	held, err := readCode(t.codeFile)
	switch {
	case err != nil:
		return err
	case held != "" && hashed(held) == t.mem.Used:
		// It let an owner in, and its file could not be removed then.
		if err := os.Remove(t.codeFile); err != nil {
			return fmt.Errorf("remove the owner's code, which is used: %w", err)
		}
	case held != "":
		t.code = held
		return nil
	}
	if t.mem.Owner == 0 || held == "" && exists(t.codeFile) {
		t.code, err = writeCode(t.codeFile)
	}
	return err
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// readCode reads the owner's code; empty if there is none that is long enough.
func readCode(path string) (string, error) {
	b, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return "", fmt.Errorf("read the owner's code: %w", err)
	}
	if code := strings.TrimSpace(string(b)); len(code) >= 20 && codeIn(code) != "" {
		return code, nil
	}
	return "", nil
}

// writeCode puts a new code into its file.
func writeCode(path string) (string, error) {
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

// entry is what a message comes to that holds a code.
type entry int

const (
	noCode entry = iota
	owner
	member
	inAlready // a code that is good, from somebody who needs none
)

// tryEntry lets somebody in whose message holds a code that is good. The owner's
// code makes anybody the owner, those who are in already too.
func (t *Transport) tryEntry(m *memory, id int64, text string, now time.Time) entry {
	code := codeIn(text)
	if code == "" {
		return noCode
	}
	if t.awaited(m) && sameText(code, t.code) {
		t.own(m, id)
		return owner
	}
	i := m.openFor(code, now)
	switch {
	case i < 0:
		return noCode
	case t.admitted(m, id):
		return inAlready
	}
	m.Invited[i].Guest, m.Invited[i].Came = id, now
	m.Members[id] = now
	return member
}

// awaited reports whether an owner is to come.
func (t *Transport) awaited(m *memory) bool { return t.code != "" && hashed(t.code) != m.Used }

// own makes somebody the owner, and puts out the one before: the account is lost,
// or somebody else's by now.
func (t *Transport) own(m *memory, id int64) {
	before := m.Owner
	m.Owner, m.Used = id, hashed(t.code)
	m.owe(id, textOwner, false)
	if before == 0 || before == id {
		return
	}
	delete(m.Members, before)
	m.dropFetches(before)
	m.owe(before, textReplaced, false)
}
