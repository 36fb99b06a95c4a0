package parse

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

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
	r, _ := utf8.DecodeRuneInString(s[at:])
	return strconv.QuoteRune(r)
}

func isLetter(c byte) bool { return 'A' <= c && c <= 'Z' }
func isDigit(c byte) bool  { return '0' <= c && c <= '9' }

// runOf counts the bytes that a text begins with and that are so.
func runOf[T string | []byte](s T, is func(byte) bool) int {
	n := 0
	for n < len(s) && is(s[n]) {
		n++
	}
	return n
}

// all reports whether every byte of a text is so.
func all[T string | []byte](s T, is func(byte) bool) bool { return runOf(s, is) == len(s) }

func allLetters(s string) bool { return s != "" && all(s, isLetter) }

func hasDigitIn(s string) bool { return strings.ContainsAny(s, "0123456789") }

// upper returns s with ASCII letters in upper case, s itself if there is
// nothing to change.
func upper(s string) string {
	if all(s, func(c byte) bool { return upperByte(c) == c }) {
		return s
	}
	b := []byte(s)
	for i, c := range b {
		b[i] = upperByte(c)
	}
	return string(b)
}

func upperByte(c byte) byte {
	if 'a' <= c && c <= 'z' {
		return c - ('a' - 'A')
	}
	return c
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

func isAlnum(c byte) bool { return isLetter(upperByte(c)) || isDigit(c) }
