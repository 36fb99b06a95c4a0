// Package idiom reads what lines say in words of a chat rather than of a log: a contact
// by its number, a local time, the grid that was given before. The words stand in
// idioms.txt.
package idiom

import (
	_ "embed"
	"regexp"
	"strconv"
	"strings"
	"time"
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
	numberIs      = regexp.MustCompile(`(?i)^\s*` + numberForm + " " + forms["is"] + `:? +(\S.*)$`)
	numberDropped = regexp.MustCompile(`(?i)^\s*(?:` + forms["drop"] + " " + numberForm + "|" + numberForm + " " + forms["drop"] + `)\s*[.!]?\s*$`)
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
