package contact

import (
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
	heard := strings.Map(func(r rune) rune {
		if strings.ContainsRune(oneMissing+someMissing, r) {
			return -1
		}
		return r
	}, part)
	if len(heard) < 3 || len(heard) > len(call) {
		return false
	}
	// A row of dots says no more than one.
	gaps := slices.CompactFunc([]rune(part), func(a, b rune) bool {
		return strings.ContainsRune(someMissing, a) && strings.ContainsRune(someMissing, b)
	})
	return fitsRest(gaps, []rune(call))
}

func fitsRest(part, call []rune) bool {
	switch {
	case len(part) == 0:
		return len(call) == 0
	case strings.ContainsRune(someMissing, part[0]):
		return fitsRest(part[1:], call) || len(call) > 0 && fitsRest(part, call[1:])
	case len(call) == 0:
		return false
	}
	return (part[0] == call[0] || strings.ContainsRune(oneMissing, part[0])) && fitsRest(part[1:], call[1:])
}
