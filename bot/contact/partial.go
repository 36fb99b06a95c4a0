package contact

import (
	"regexp"
	"slices"
	"strings"

	"skyslate/parse"
)

// The marks for what was not heard of a call: one character, or any number.
const (
	oneMissing  = "?_"
	someMissing = ".…*"
)

// absorbs reports whether a certain reading tells in full what an earlier
// contact told a part of: the same station, and no other grid.
func absorbs(old *contact, c parse.Contact) bool {
	part := old.Why == string(parse.Partial) || old.Why == string(parse.BadCall) || old.Why == string(parse.Ambiguous)
	if old.State != "" || !part || old.Call.IsValid() || c.Verdict != parse.Log {
		return false
	}
	if len(old.Grids) > 0 && !slices.Equal(old.Grids, c.Grids) {
		return false
	}
	return slices.ContainsFunc(strings.Fields(strings.ToUpper(old.Text)), func(word string) bool {
		return strings.ContainsAny(word, oneMissing+someMissing) && fitsPart(word, c.Call.String())
	})
}

// fitsPart reports whether a call fits a part of one. Three characters at least
// must have been heard, or any call would.
func fitsPart(part, call string) bool {
	heard, pattern := 0, "^"
	for _, r := range part {
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
