// Package idiom reads what lines say in words of a chat rather than of a log: a contact
// by its number or its call, a local time, the grid that was given before, a slate, an
// answer of a few letters, a call of which a part was heard. The words stand in idioms.txt.
package idiom

import (
	_ "embed"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"skyslate/parse"
)

// forms are the words of idioms.txt by kind, as alternatives of a pattern.
var forms = readForms(idioms)

//go:embed idioms.txt
var idioms string

func readForms(table string) map[string]string {
	forms := map[string]string{}
	for row := range strings.Lines(table) {
		kind, cells, _ := strings.Cut(strings.TrimSpace(row), " | ")
		if strings.HasPrefix(kind, "#") || cells == "" {
			continue
		}
		for f := range strings.SplitSeq(cells, " | ") { // no blanks stand around the signs of variants
			forms[kind] += "|" + pattern(f)
		}
	}
	for kind, all := range forms {
		forms[kind] = "(?:" + all[1:] + ")"
	}
	return forms
}

var part = regexp.MustCompile(`\{[^}]*\}\??|[^ {]+`)

// pattern makes a form what it stands for.
func pattern(form string) string {
	var b strings.Builder
	for i, p := range part.FindAllString(form, -1) {
		p, may := strings.CutSuffix(p, "?")
		variants := strings.ReplaceAll(regexp.QuoteMeta(strings.Trim(p, "{}")), `\|`, "|")
		gap := " "
		if i == 0 {
			gap = ""
		}
		b.WriteString("(?:" + gap + "(?:" + variants + "))")
		if may {
			b.WriteByte('?')
		}
	}
	return b.String()
}

// A line may name a contact by its number on the pass, as echoes and lists show it:
// "3 is /p", "drop 3". A list that numbers its own lines ("3 hx7abc jo33") does not.
var (
	numberForm    = "(?:" + forms["number"] + ` )?#?(\d{1,3})`
	numbersForm   = "(?:" + forms["number"] + ` )?(#?\d{1,3}(?:(?:, ?| )(?:` + forms["and"] + ` )?#?\d{1,3})*)`
	numberIs      = regexp.MustCompile(`(?i)^\s*` + numberForm + " " + forms["is"] + `:? +(\S.*)$`)
	numberTimed   = regexp.MustCompile(`(?i)^\s*` + numberForm + " (?:" + forms["at"] + " )?" + momentForm + `\s*$`)
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + forms["drop"] + " " + numbersForm + "|" + numbersForm + " " + forms["drop"] + `)\s*[.!]?\s*$`)
	numberWorked  = regexp.MustCompile(`(?i)^\s*` + numbersForm + " (?:" + forms["is"] + ` )?(` + forms["state"] + `)\s*[.!]?\s*$`)
)

// momentForm is a time of day, to the second or not, or an offset from the slate.
var momentForm = `((?:[01]?\d|2[0-3])[:.][0-5]\d(?::[0-5]\d)?(?: ?(?:utc|z|` + forms["local"] + `))?|:[0-5]\d|\+\d\S*)`

// What a line says of a contact that it drops, and of one that was made, or was not.
const (
	dropped   = "drop it"
	wasWorked = "worked"
	wasNot    = "not worked"
)

// Numbered reads a line that names contacts by their numbers: which, and what it says of
// each; none, if it is no such line.
func Numbered(line string) (all []int, says string) {
	if m := numberDropped.FindStringSubmatch(line); m != nil {
		return numbersIn(m[1] + m[2]), dropped
	}
	for _, form := range []*regexp.Regexp{numberWorked, numberIs, numberTimed} {
		if m := form.FindStringSubmatch(line); m != nil {
			return numbersIn(m[1]), strings.TrimSpace(m[2])
		}
	}
	return nil, ""
}

var figures = regexp.MustCompile(`\d+`)

func numbersIn(text string) (all []int) {
	for _, digits := range figures.FindAllString(text, -1) {
		n, _ := strconv.Atoi(digits) // digits, as matched
		if !slices.Contains(all, n) {
			all = append(all, n)
		}
	}
	return all
}

// outcomeOf is what the words for one outcome, empty if they are for the other, say.
func outcomeOf(worked string) string {
	if worked == "" {
		return wasNot
	}
	return wasWorked
}

var skedForm = regexp.MustCompile(`(?i)^\s*(?:please )?` + forms["sked"] + ` (\S+)( .*)?$`)

// Sked reads a line that asks for a sked in words: what stands in it, the call first.
func Sked(line string) (words string, ok bool) {
	m := skedForm.FindStringSubmatch(line)
	if m == nil {
		return "", false
	}
	_, err := parse.ParseCallsign(m[1])
	return m[1] + m[2], err == nil
}

// A Naming is what a line says of a contact that it names by its call: "F0ZZD is
// F0ZZQ", "OZ0ZZE was in JO54, not JO55", "drop F0ZZQ from Saturday", "HX7ABC worked". Of
// two calls the log has the one, and the other is right.
type Naming struct {
	Calls []parse.Callsign
	Says  []string     // what a contact with each of them should be; none: it goes
	Grids []parse.Grid // those that it has in the log, if they are told
	Sure  bool         // the line can't tell a new contact
	Open  bool         // it means a contact of which it is asked whether there was one
	Words string       // behind it: they may say which pass
}

// Means is what a naming says of a contact with a call, ok is false if it means another.
// A call without marks names its station under any, and leaves them to it.
func (n Naming) Means(call parse.Callsign) (says string, ok bool) {
	i := slices.Index(n.Calls, call)
	exact := i >= 0
	if !exact {
		i = slices.IndexFunc(n.Calls, func(said parse.Callsign) bool { return said.Names(call) })
	}
	if i < 0 || n.Says == nil {
		return "", i >= 0
	}
	says = n.Says[i]
	if right, err := parse.ParseCallsign(says); err == nil && !exact {
		says = right.MarkedAs(call).String()
	}
	return says, true
}

const (
	oneWord  = `([a-z0-9/]{3,})`
	gridForm = `[a-r]{2}[0-9]{2}(?:[a-x]{2})?`
)

// namingBy is the form of a line that says of one word by another what it should be.
func namingBy(head, verb string) *regexp.Regexp {
	of := "(?: " + forms["half"] + "(?: " + forms["of"] + ")?)?"
	return regexp.MustCompile(`(?i)^\s*` + head + oneWord + "(?:['’]?s)?" + of + ",? " + verb + `:? +(?:` + forms["in"] + ` )?` + oneWord +
		`(?:,? ` + forms["not"] + ` (?:` + forms["in"] + ` )?` + oneWord + `)?(?:,? (.+?))?[.!\s]*$`)
}

var (
	theCall = forms["half"] + "(?: " + forms["of"] + `)?[:,]?\s+`
	correct = forms["corrects"] + `(?:[:,.]*\s+(?:` + theCall + ")?)"
	namings = []*regexp.Regexp{
		namingBy("(?:"+forms["no"]+",? )?(?:"+correct+"|"+theCall+")?", "(?:"+forms["is"]+"(?: "+forms["really"]+")?|"+forms["instead"]+")"),
		namingBy(correct, forms["into"]),
	}
	outcome  = "(?:(" + forms["worked"] + ")|(" + forms["missed"] + "))"
	outcomes = regexp.MustCompile(`(?i)^\s*(?:(?:yes|no),? +)?` + oneWord + "(?:,? (" + gridForm + "))?,? " + outcome + `(?:,? (.+?))?[.!\s]*$`)
	named    = regexp.MustCompile(`(?i)^\s*` + forms["drop"] + `(?: ` + forms["article"] + `)?(?: ` + forms["half"] + `)? ` + oneWord +
		`(?: ` + forms["noun"] + `)?(?:,? (.+?))?[.!\s]*$`)
	corrects = regexp.MustCompile(`(?i)^\s*` + forms["corrects"] + `\b`)
	onDay    = regexp.MustCompile("(?i)^(?:" + forms["on"] + " )?(.*)$")
)

// worked reads a line that says of a contact by its call, and perhaps its grid, whether
// there was one.
func worked(line string) (n Naming, ok bool) {
	m := outcomes.FindStringSubmatch(line)
	if m == nil {
		return n, false
	}
	call, err := parse.ParseCallsign(m[1])
	n = Naming{Calls: []parse.Callsign{call}, Says: []string{outcomeOf(m[3])}, Open: true, Words: onDay.FindStringSubmatch(m[5])[1]}
	if m[2] == "" {
		return n, err == nil
	}
	grid, none := parse.ParseGrid(m[2])
	n.Grids = []parse.Grid{grid}
	return n, err == nil && none == nil
}

// Named reads a line that says of a contact by its call what it should be, or that it
// goes.
func Named(line string) (n Naming, ok bool) {
	if n, ok := worked(line); ok {
		return n, true
	}
	m := named.FindStringSubmatch(line)
	dropped := m != nil
	for _, form := range namings {
		if m == nil {
			m = form.FindStringSubmatch(line)
		}
	}
	if m == nil {
		return n, false
	}
	word, rest := m[1], m[len(m)-1]
	call, err := parse.ParseCallsign(word)
	n = Naming{Calls: []parse.Callsign{call}, Sure: true, Words: onDay.FindStringSubmatch(rest)[1]}
	if dropped || err != nil {
		return n, err == nil
	}
	other, not := m[2], m[3]
	n.Says = []string{other}
	if second, err := parse.ParseCallsign(other); err == nil && not == "" {
		if second.Base() != call.Base() { // else one mark is right, and the other was wrong
			n.Calls, n.Says = append(n.Calls, second), append(n.Says, word)
		}
		return n, true
	}
	wrong, err := parse.ParseGrid(not)
	if n.Sure = corrects.MatchString(line); err == nil {
		n.Grids, n.Sure = []parse.Grid{wrong}, true
	}
	_, isGrid := parse.ParseGrid(other)
	return n, isGrid == nil && (not == "" || err == nil)
}

var saysIs = regexp.MustCompile(`(?i)^\s*(?:` + forms["it"] + " )?(?:" + forms["half"] + " )?" + forms["is"] + `:? +(\S.*)$`)

// WithoutIs is an answer to a contact without the words that lead to what it should be:
// "was JO83".
func WithoutIs(answer string) string {
	if m := saysIs.FindStringSubmatch(answer); m != nil {
		return m[1]
	}
	return answer
}

var (
	allWorked = regexp.MustCompile(`(?i)^\s*` + forms["all"] + `[.!\s]*$`)
	isReport  = regexp.MustCompile(`(?i)^\s*(?:` + forms["report"] + `:? [1-5][1-9]9?|5[5-9]9?(?: .*)?)[.!\s]*$`)
)

// AllWorked reports whether a text says that all contacts that are asked about were made.
func AllWorked(text string) bool { return allWorked.MatchString(text) }

// IsReport reports whether a line tells a signal report, and nobody's call.
func IsReport(line string) bool { return isReport.MatchString(line) }

var ordinals = []*regexp.Regexp{ordinal("first"), ordinal("second")}

func ordinal(kind string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)^\s*` + forms[kind] + `\s*[.!]?\s*$`)
}

// Ordinal reads a line that names, by its place, one of the things that were offered:
// "the first one". It is 0 for any other line.
func Ordinal(line string) int {
	return 1 + slices.IndexFunc(ordinals, func(r *regexp.Regexp) bool { return r.MatchString(line) })
}

var (
	localClock = regexp.MustCompile(`(?i)(^|[^\w:.])([01]?\d|2[0-3])(?:[:.]|h)?([0-5]\d)([:.][0-5]\d)?\s*(?:h|hrs|uhr)?\s*` + forms["local"] + `\b`)
	localWord  = regexp.MustCompile("(?i)^" + forms["local"] + "$")
)

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

var sameGrid = regexp.MustCompile(`(?i)(?:\b|^)` + forms["same"] + `(?:\b|$)`)

// WithoutSame is a line without the words that stand for a grid told before, and
// whether it had any.
func WithoutSame(line string) (rest string, same bool) {
	rest = sameGrid.ReplaceAllString(line, " ")
	return strings.TrimSpace(rest), rest != line
}

// IsAsked reports whether a line ends as a question does.
func IsAsked(line string) bool { return strings.HasSuffix(strings.TrimRight(line, " !."), "?") }

var besideName = regexp.MustCompile(`(?i)^(?:` + forms["beside"] + `|\d+(?:st|nd|rd|th|h|z|utc)?)$`)

// NamesAlone reports whether a line names a bird and says nothing else: a day or a time
// of its pass, and words that only lead to the name, may stand with it.
func NamesAlone(line, bird string) bool {
	words, name := plainWords(line), strings.Join(plainWords(bird), "")
	for from := range words {
		for to := from + 1; to <= len(words); to++ {
			if strings.Join(words[from:to], "") == name {
				return !slices.ContainsFunc(slices.Concat(words[:from], words[to:]), func(word string) bool {
					return !besideName.MatchString(word)
				})
			}
		}
	}
	return false
}

// plainWords are the letters and figures of a text, by words, small.
func plainWords(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
