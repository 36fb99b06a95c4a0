package contact

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"skyslate/storage"
)

// A line may name a contact by its number on the pass, as echoes and lists show it:
// "3 is /p", "drop 3". What it says counts as a reply to that contact would. A list
// that numbers its own lines ("3 hx7abc jo33") is none of these.

const (
	numberForm = `(?:contact |qso |number |nr\.? |no\.? |#)?#?(\d{1,3})`
	dropForm   = `(?:drop|delete|remove|scratch|strike|cancel|undo|losche|lösche|streiche?|borra|anula|efface|annule|cancella|annulla|apaga|risca|keshite)`
)

var (
	numberIs = regexp.MustCompile(`(?i)^\s*` + numberForm +
		` (?:is|was|be|should be|should have been|must be|ist|war|es|era|est|était|etait|è|é|wa)[:]? +(\S.*)$`)
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + dropForm + ` ` + numberForm + `|` + numberForm + ` ` + dropForm + `)\s*[.!]?\s*$`)
)

// saidOfDropped is what a line says of a contact that it drops.
const saidOfDropped = "drop it"

// Numbered reads a line that names a contact by its number: which, and what it says.
func Numbered(line string) (n int, says string, ok bool) {
	m := numberDropped.FindStringSubmatch(line)
	if m != nil {
		n, _ = strconv.Atoi(m[1] + m[2])
		return n, saidOfDropped, true
	}
	if m = numberIs.FindStringSubmatch(line); m == nil {
		return 0, "", false
	}
	n, _ = strconv.Atoi(m[1])
	return n, strings.TrimSpace(m[2]), true
}

// ofNumber takes what a line says of a contact by its number.
func (d *derivation) ofNumber(l *line) {
	read := d.read(l)
	key, known := d.Numbered(l.match.Pass.ID, l.about, l.message.said.Message)
	c := d.byKey[key]
	if !known || c == nil || c.State == storage.Dropped {
		if _, says := answerIn(read); says || read.Withdraws || markOnly.MatchString(l.text) {
			l.message.outcome.Ignored = NoNumber
		}
		return
	}
	read.Contacts = slices.Clone(read.Contacts) // the memo's
	for i := range read.Contacts {
		read.Contacts[i].Corrects = true
	}
	d.answered(l, read, []*contact{c}, false)
}
