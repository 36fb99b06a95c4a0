package idiom

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"skyslate/parse"
)

var (
	beside    = "(?:(?:" + forms["aside"] + ")[ ,]*)*"
	unheard   = regexp.MustCompile(`(?i)^\s*` + beside + forms["unheard"] + "[ ,]*" + beside + ends)
	later     = regexp.MustCompile(`(?i)^\s*(?:` + forms["but"] + " )?" + forms["unheard"] + ",? " + forms["later"] + "[ ,]*" + beside + ends)
	behindNo  = regexp.MustCompile("(?i)^.*\\S[,;.]? +" + forms["nay"] + "[,;.]? +((?:[a-z0-9/]+ ?)+?)" + ends)
	byNumber  = regexp.MustCompile(`(?i)^\s*(?:` + forms["number"] + ` )?#?(\d{1,2})[.:)]? +([a-z0-9/]{3,})` + ends)
	markWords = []struct {
		mark  string
		words *regexp.Regexp
	}{
		{"MM", regexp.MustCompile("(?i)^(?:/mm|" + forms["afloat"] + ")" + ends)},
		{"P", regexp.MustCompile("(?i)^(?:/p|" + forms["portable"] + ")" + ends)},
		{"M", regexp.MustCompile("(?i)^(?:/m|" + forms["mobile"] + ")" + ends)},
	}
	itsMark   = regexp.MustCompile(`(?i)^\s*` + leads + forms["it"] + `(?:['’]s| ` + isVerb + ") (.+?)" + ends)
	callsMark = regexp.MustCompile(`(?i)^\s*` + leads + oneWord + `(['’]s| ` + isVerb + ")? (.+?)" + ends)
)

var theirGrid = regexp.MustCompile("(?i)^\\s*" + forms["theirs"] + ",? +(" + gridForm + ")" + ends)

// TheirGrid reads a line that says in a sentence where the station at hand is, and nothing
// else: "his grid is jo33".
func TheirGrid(line string) (grid string, ok bool) {
	m := theirGrid.FindStringSubmatch(line)
	if m == nil {
		return "", false
	}
	return m[1], true
}

var talks = []*regexp.Regexp{
	regexp.MustCompile(`(?i)^\s*` + oneWord + ",? ((?:" + forms["talk"] + "|(?:" + forms["seems"] + " )?(?:" + forms["degree"] + " )*" + forms["like"] + `)(?:[ ,].*?)?)` + ends),
	regexp.MustCompile(`(?i)^\s*` + oneWord + ",? (" + forms["trades"] + " (?:" + forms["others"] + `|[a-z]+\d[a-z0-9/]*|\d[a-z]+\d[a-z0-9/]*)(?:[ ,].*?)?)` + ends),
}

// Talk reads a line that says in words what a station said or was like, and nothing that a
// contact has: no grid, no report and no time. Calls behind its own are part of the talk.
func Talk(line string) (call parse.Callsign, words string, ok bool) {
	for _, form := range talks {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		call, err := parse.ParseCallsign(m[1])
		figures := func(word string) bool {
			_, isGrid := parse.ParseGrid(word)
			_, isCall := parse.ParseCallsign(word)
			return strings.ContainsAny(word, "0123456789") && (isGrid == nil || isCall != nil)
		}
		return call, m[2], err == nil && !slices.ContainsFunc(plainWords(m[2]), figures)
	}
	return call, "", false
}

var hearsForm, moreForm, onlyForm = hasWord("hears"), hasWord("more"), hasWord("only")

// hasWord finds a word of a kind anywhere in a text.
func hasWord(kind string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(?:^|[^\pL])` + forms[kind] + `(?:[^\pL]|$)`)
}

// HeardAgain reports whether a line says of a station that it was heard once more: that denies
// no contact with it.
func HeardAgain(line string) bool {
	return hearsForm.MatchString(line) && moreForm.MatchString(line) && !onlyForm.MatchString(line)
}

// Unheard reports whether words say that a station was not heard, and nothing else.
func Unheard(words string) bool { return unheard.MatchString(words) }

// UnheardLater reports whether words say that a station was not heard after its contact.
func UnheardLater(words string) bool { return later.MatchString(words) }

// BehindNo is what stands behind a no in a line: it may put right what stands before it.
func BehindNo(line string) (said string, ok bool) {
	m := behindNo.FindStringSubmatch(line)
	if m == nil {
		return "", false
	}
	return strings.TrimSpace(really.ReplaceAllString(m[1], "")), true
}

var really = regexp.MustCompile("(?i)^(?:" + forms["it"] + " )?(?:" + forms["is"] + " )?(?:" + forms["really"] + " )?(?:" + forms["in"] + " )?")

// ByNumber reads a line that is a number and a call, and nothing else: "1 la3zzb".
func ByNumber(line string) (number int, call parse.Callsign, ok bool) {
	m := byNumber.FindStringSubmatch(line)
	if m == nil {
		return 0, call, false
	}
	number, _ = strconv.Atoi(m[1]) // digits, as matched
	call, err := parse.ParseCallsign(m[2])
	return number, call, err == nil
}

// MarkIn is the mark of a call that a word stands for: "portable".
func MarkIn(word string) (mark string, ok bool) {
	for _, of := range markWords {
		if of.words.MatchString(strings.TrimSpace(word)) {
			return of.mark, true
		}
	}
	return "", false
}

var notMark = regexp.MustCompile(`(?i)^\s*(?:` + leads + forms["it"] + `(?:['’]s| ` + isVerb + ") )?" + forms["not"] + " (.+?)" + ends)

// NotMarked reads words that say that a call has not a mark, and nothing else.
func NotMarked(words string) (mark string, ok bool) {
	m := notMark.FindStringSubmatch(words)
	if m == nil {
		return "", false
	}
	return MarkIn(m[1])
}

// marked reads a line that says of the last contact, or of a call, that it has a mark, or that the last one has not.
func marked(line string) (n Naming, ok bool) {
	if mark, ok := NotMarked(line); ok {
		return Naming{Says: []string{""}, Mark: mark, Bare: true, Last: true, Near: true}, true
	}
	if m := itsMark.FindStringSubmatch(line); m != nil {
		mark, ok := MarkIn(m[1])
		return Naming{Says: []string{""}, Mark: mark, Last: true, Near: true}, ok
	}
	m := callsMark.FindStringSubmatch(line)
	if m == nil {
		return n, false
	}
	mark, ok := MarkIn(m[3])
	call, err := parse.ParseCallsign(m[1])
	plain := m[2] == "" && !strings.HasPrefix(m[3], "/")
	return Naming{Calls: []parse.Callsign{call}, Says: []string{""}, Mark: mark, Plain: true, Maybe: plain}, ok && err == nil
}
