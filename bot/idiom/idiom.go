// Package idiom reads what lines say in words of a chat rather than of a log: a contact
// by its number, a local time, the grid that was given before. The words are common
// ones of the languages of the log; no source.
package idiom

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A line may name a contact by its number on the pass, as echoes and lists show it:
// "3 is /p", "drop 3". A list that numbers its own lines ("3 hx7abc jo33") does not.
const (
	numberForm = `(?:contact |qso |number |nr\.? |no\.? |#)?#?(\d{1,3})`
	dropForm   = `(?:drop|delete|remove|scratch|strike|cancel|undo|losche|lösche|streiche?|borra|anula|efface|annule|cancella|annulla|apaga|risca|keshite)`
)

var (
	numberIs = regexp.MustCompile(`(?i)^\s*` + numberForm +
		` (?:is|was|be|should be|should have been|must be|ist|war|es|era|est|était|etait|è|é|wa):? +(\S.*)$`)
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + dropForm + ` ` + numberForm + `|` + numberForm + ` ` + dropForm + `)\s*[.!]?\s*$`)
)

// dropped is what a line says of a contact that it drops.
const dropped = "drop it"

// Numbered reads a line that names a contact by its number: which, and what it says of
// it.
func Numbered(line string) (n int, says string, ok bool) {
	if m := numberDropped.FindStringSubmatch(line); m != nil {
		n, _ = strconv.Atoi(m[1] + m[2]) // digits, as matched
		return n, dropped, true
	}
	m := numberIs.FindStringSubmatch(line)
	if m == nil {
		return 0, "", false
	}
	n, _ = strconv.Atoi(m[1])
	return n, strings.TrimSpace(m[2]), true
}

// localWords say behind a time that it is the one of the place. An abbreviation of a
// zone says which zone, and isn't one.
const localWords = `local(?: time)?|lt|my time|ortszeit|ortsz|lokal(?:zeit)?|hora local|heure locale|ora locale|genchi(?: jikan)?`

var (
	localClock = regexp.MustCompile(`(?i)(^|[^\w:.])([01]?\d|2[0-3])(?:[:.]|h)?([0-5]\d)([:.][0-5]\d)?\s*(?:h|hrs|uhr)?\s*(?:` + localWords + `)\b`)
	localWord  = regexp.MustCompile(`(?i)^(?:` + localWords + `)$`)
)

// IsLocal reports whether a word says that the time before it is the one of the place.
func IsLocal(word string) bool { return localWord.MatchString(word) }

// HasLocal reports whether a text says a time of the place.
func HasLocal(text string) bool { return localClock.MatchString(text) }

// InUTC writes the times of a text that are said to be local as UTC, as the zone of
// the place has it on the day of a moment.
func InUTC(text string, at time.Time, loc *time.Location) string {
	return localClock.ReplaceAllStringFunc(text, func(s string) string {
		m := localClock.FindStringSubmatch(s)
		hour, _ := strconv.Atoi(m[2]) // digits, as matched
		minute, _ := strconv.Atoi(m[3])
		y, month, d := at.In(loc).Date()
		utc := time.Date(y, month, d, hour, minute, 0, 0, loc).UTC()
		return m[1] + utc.Format("15:04") + strings.ReplaceAll(m[4], ".", ":")
	})
}

// sameGrid are the words that stand for the grid that a station gave before.
var sameGrid = regexp.MustCompile(`(?i)(?:\b|^)(?:(?:the )?same (?:grid|square|loc(?:ator)?|qth|place)(?: as (?:before|last time|always|usual))?` +
	`|(?:same )?as (?:before|last time|always|usual)|grid as (?:before|usual)` +
	`|(?:gleiche[rs]?|selbe[rs]?) (?:grid|feld|loc(?:ator)?|qth)(?: wie (?:vorher|immer|letztes mal))?|wie (?:vorher|immer|letztes mal|zuletzt)` +
	`|(?:el )?mismo (?:grid|locator|cuadro|qth)|como (?:antes|siempre)` +
	`|(?:le )?m[eê]me (?:grid|locator|carr[eé]|qth)|comme (?:avant|toujours)` +
	`|(?:lo )?stesso (?:grid|locator|quadrato|qth)|come (?:prima|sempre)` +
	`|(?:o )?mesmo (?:grid|locator|quadrado|qth)|onaji (?:grid|basho))(?:\b|$)`)

// WithoutSame is a line without the words that stand for a grid told before, and
// whether it had any.
func WithoutSame(line string) (rest string, same bool) {
	rest = sameGrid.ReplaceAllString(line, " ")
	return strings.TrimSpace(rest), rest != line
}
