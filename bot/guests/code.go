package guests

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"strings"
)

// newCode makes a code that nobody guesses: 130 bits, in characters that a
// link's payload may hold.
func newCode() string {
	var b [17]byte
	_, _ = rand.Read(b[:]) // never fails: see its documentation
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))[:26]
}

// hashed is the form in which a code is kept: a copy of the store lets nobody in. Codes are
// too long to be guessed from it.
func hashed(code string) string {
	sum := sha256.Sum256([]byte("skyslate code " + code))
	return hex.EncodeToString(sum[:])
}

func sameText(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// command splits a message into its words, of which the first may be a command
// with the bot's name behind an @.
func command(text string) (name string, words []string) {
	words = strings.Fields(text)
	if len(words) > 0 {
		name, _, _ = strings.Cut(words[0], "@")
	}
	return strings.ToLower(name), words
}

// codeIn is the one word that a message holds, be it alone or behind /start.
func codeIn(text string) string {
	name, words := command(text)
	if name == "/start" {
		words = words[1:]
	}
	if len(words) != 1 {
		return ""
	}
	return words[0]
}

// prepareCode makes ready the code of the owner to come: while there is no owner,
// or where the machine's user asks for another one with a file (which may be
// empty) in the code's place.
func (g *Guests) prepareCode() error {
	if g.codeFile == "" {
		return nil
	}
	body, err := os.ReadFile(g.codeFile)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("read the owner's code: %w", err)
	}
	held := strings.TrimSpace(string(body))
	good := len(held) >= 20 && codeIn(held) != ""
	switch {
	case good && hashed(held) == g.book.Used:
		// It let an owner in, and its file could not be removed then.
		if err := os.Remove(g.codeFile); err != nil {
			return fmt.Errorf("remove the owner's code, which is used: %w", err)
		}
	case good:
		g.code = held
		return nil
	}
	askedFor := err == nil && !good
	if g.book.Owner != "" && !askedFor {
		return nil
	}
	code := newCode()
	if err := writeCode(g.codeFile, code); err != nil {
		return fmt.Errorf("write the owner's code: %w", err)
	}
	g.code = code
	return nil
}

// writeCode puts a code into a file of its own: a file that is there with other
// rights must not get a secret.
func writeCode(path, code string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(f, code)
	return errors.Join(err, f.Sync(), f.Close())
}

// awaits reports whether an owner is to come.
func (g *Guests) awaits(b *book) bool { return g.code != "" && hashed(g.code) != b.Used }
