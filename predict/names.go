package predict

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// twoNames are a name with another one in parentheses behind it.
var twoNames = regexp.MustCompile(`^([^()]*[^() ]) *\(([^()]+)\)$`)

// NamesIn are the names that one in a set of elements holds, the one that a bird goes
// by first. Of "FULL NAME 1C (SHORT-50)" operators, and so the logs of others, use what
// stands in parentheses, if a figure is in it; else, as in "FULL NAME 1C (MAKER)", what
// stands before (common practice, no source).
func NamesIn(name string) []string {
	two := twoNames.FindStringSubmatch(name)
	switch {
	case two == nil:
		return []string{name}
	case strings.ContainsFunc(two[2], unicode.IsDigit):
		return []string{two[2], two[1]}
	}
	return two[1:]
}

// Called reports whether elements are of a bird of that name: the whole name in them,
// or one that it holds.
func (e Elements) Called(name string) bool {
	return slices.ContainsFunc(append(NamesIn(e.Name), e.Name), func(own string) bool { return SameName(own, name) })
}

// SameName reports whether two names are one but for what people leave out: "RS-44",
// "rs 44" and "RS44" are. No name is like any.
func SameName(a, b string) bool { return plainName(a) != "" && plainName(a) == plainName(b) }

// plainName is a name in its letters and figures.
func plainName(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, s)
}
