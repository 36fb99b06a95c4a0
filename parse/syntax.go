package parse

import "fmt"

// SyntaxError tells where a text stops being a call sign or a grid.
type SyntaxError struct {
	Kind     string // "call sign" or "grid"
	Text     string // the whole text
	At       int    // byte offset in Text
	Found    string // what stands there
	Expected string // what could have stood there
}

// Error returns one sentence with all of it; the position counts from 1.
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("%q is no %s: at %d found %s, expected %s", e.Text, e.Kind, e.At+1, e.Found, e.Expected)
}

// foundAt describes what stands at a byte of a text.
func foundAt(s string, at int) string {
	if at >= len(s) {
		return "the end"
	}
	for i, r := range s {
		if i >= at {
			return fmt.Sprintf("%q", r)
		}
	}
	return "the end"
}

func isLetter(c byte) bool { return 'A' <= c && c <= 'Z' }
func isDigit(c byte) bool  { return '0' <= c && c <= '9' }

// upper returns s with ASCII letters in upper case, s itself if there is
// nothing to change.
func upper(s string) string {
	for i := range len(s) {
		if 'a' <= s[i] && s[i] <= 'z' {
			b := []byte(s)
			for j := i; j < len(b); j++ {
				if 'a' <= b[j] && b[j] <= 'z' {
					b[j] -= 'a' - 'A'
				}
			}
			return string(b)
		}
	}
	return s
}

// must returns the value of a constant of a program; it panics if there is none.
func must[T any](v T, err error) T {
	if err != nil {
		panic("parse: " + err.Error())
	}
	return v
}

// unmarshal sets a value to what a text is parsed as; empty text gives the zero value.
func unmarshal[T any](v *T, text []byte, parse func(string) (T, error)) (err error) {
	var made T
	if len(text) > 0 {
		if made, err = parse(string(text)); err != nil {
			return err
		}
	}
	*v = made
	return nil
}
