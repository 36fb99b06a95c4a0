package telegram

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// Token is the secret of a bot: whoever has it is the bot. It prints without
// the secret. The zero value is no token.
type Token struct{ secret string }

var tokenShape = regexp.MustCompile(`^[0-9]+:[A-Za-z0-9_-]+$`)

// ParseToken reads a token; white space around it, as at the end of a file, is
// passed over. The error does not repeat what it was given.
func ParseToken(s string) (Token, error) {
	s = strings.TrimSpace(s)
	if !tokenShape.MatchString(s) {
		return Token{}, errors.New("this is no token: expected digits, a colon, then letters, digits, _ and -, as the service has given it")
	}
	return Token{s}, nil
}

// IsValid reports whether it is a token at all.
func (t Token) IsValid() bool { return t.secret != "" }

// String returns the token without its secret part.
func (t Token) String() string {
	id, _, _ := strings.Cut(t.secret, ":")
	return id + ":***"
}

// GoString is String, for %#v.
func (t Token) GoString() string { return t.String() }

// mask takes the secret out of a text.
func (t Token) mask(s string) string {
	if t.secret == "" {
		return s
	}
	_, secret, _ := strings.Cut(t.secret, ":")
	return strings.ReplaceAll(strings.ReplaceAll(s, t.secret, t.String()), secret, "***")
}

// maskError keeps an error's text, masked, and nothing of its inside: an error
// that was cancelled elsewhere must not look like ours, because the library ends
// its polls at one.
func (t Token) maskError(err error) error {
	return fmt.Errorf("%s", t.mask(err.Error()))
}
