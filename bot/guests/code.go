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
func (g *Guests) prepareCode() (err error) {
	if g.codeFile == "" {
		return nil
	}
	held, err := readCode(g.codeFile)
	switch {
	case err != nil:
		return err
	case held != "" && hashed(held) == g.book.Used:
		// It let an owner in, and its file could not be removed then.
		if err := os.Remove(g.codeFile); err != nil {
			return fmt.Errorf("remove the owner's code, which is used: %w", err)
		}
	case held != "":
		g.code = held
		return nil
	}
	if g.book.Owner == "" || held == "" && exists(g.codeFile) {
		g.code, err = writeCode(g.codeFile)
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

// awaits reports whether an owner is to come.
func (g *Guests) awaits(b *book) bool { return g.code != "" && hashed(g.code) != b.Used }

// removeCode removes the file of a code that is used: it works once.
func (g *Guests) removeCode() {
	if err := os.Remove(g.codeFile); err != nil && !errors.Is(err, os.ErrNotExist) {
		g.log.Warn("the owner's code is used, but its file could not be removed", "err", err)
	}
}
