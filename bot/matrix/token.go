package matrix

import (
	"errors"
	"regexp"
	"strings"
)

// Token is the secret of an account: whoever has it is the bot. It prints without
// the secret. The zero value is no token.
type Token struct{ secret string }

var tokenShape = regexp.MustCompile(`^[A-Za-z0-9._~+/=-]{8,}$`)

// ParseToken reads an access token; white space around it, as at the end of a file,
// is passed over. The error does not repeat what it was given.
func ParseToken(s string) (Token, error) {
	s = strings.TrimSpace(s)
	if !tokenShape.MatchString(s) {
		return Token{}, errors.New("this is no access token: expected one word of letters, digits and . _ ~ + / = -, " +
			"as the server has given it")
	}
	return Token{s}, nil
}

// IsValid reports whether it is a token at all.
func (t Token) IsValid() bool { return t.secret != "" }

// String returns nothing of the token.
func (t Token) String() string { return "***" }

// GoString is String, for %#v.
func (t Token) GoString() string { return t.String() }

// mask takes the secret out of a text.
func (t Token) mask(s string) string {
	if t.secret == "" {
		return s
	}
	return strings.ReplaceAll(s, t.secret, t.String())
}
