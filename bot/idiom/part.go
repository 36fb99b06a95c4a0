package idiom

import (
	"regexp"
	"strings"
)

// The marks for what was not heard of a call: one character, or any number.
const (
	oneMissing  = "?_"
	someMissing = ".…*"
)

// FitsPart reports whether a word is a part of a call, with marks for what was not
// heard, and the call fits it: both are in upper case. Three characters at least must
// have been heard, or any call would.
func FitsPart(word, call string) bool {
	if !strings.ContainsAny(word, oneMissing+someMissing) {
		return false
	}
	heard, pattern := 0, "^"
	for _, r := range word {
		switch {
		case strings.ContainsRune(oneMissing, r):
			pattern += "."
		case strings.ContainsRune(someMissing, r):
			pattern = strings.TrimSuffix(pattern, ".*") + ".*" // a row of dots says no more than one
		default:
			heard, pattern = heard+1, pattern+regexp.QuoteMeta(string(r))
		}
	}
	if heard < 3 || heard > len(call) {
		return false
	}
	fits, err := regexp.MatchString(pattern+"$", call)
	return fits && err == nil
}
