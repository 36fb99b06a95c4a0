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

	"golang.org/x/text/unicode/norm"

	"skyslate/parse"
)

// forms are the words of idioms.txt by kind, as alternatives of a pattern.
var forms = Forms(idioms)

//go:embed idioms.txt
var idioms string

// Hour is the pattern of the words that may stand behind an hour.
var Hour = forms["hour"]

// Forms are the words of a table by kind, "kind | form | form", as alternatives of a pattern.
// A form is words, each of which may have variants in {a|b c}; with a question mark behind
// those it may lack, but one of them at least must be there.
func Forms(table string) map[string]string {
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

// Plain is a text in small letters without accents.
func Plain(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(strings.ToLower(text)))
}

var formPart = regexp.MustCompile(`\{[^}]*\}\??|[^ {]+`)

// pattern makes a form what it stands for.
func pattern(form string) string {
	var b strings.Builder
	parts := formPart.FindAllString(form, -1)
	first := slices.IndexFunc(parts, func(p string) bool { return !strings.HasSuffix(p, "?") })
	for i, p := range parts {
		p, may := strings.CutSuffix(p, "?")
		variants := strings.Split(regexp.QuoteMeta(strings.Trim(p, "{}")), `\|`)
		slices.SortStableFunc(variants, func(a, b string) int { return len(b) - len(a) }) // "call sign" before "call"
		p = "(?:" + strings.Join(variants, "|") + ")"
		switch {
		case may && i < first:
			p = "(?:" + p + " )?"
		case may:
			p = "(?: " + p + ")?"
		case i > first:
			p = " " + p
		}
		b.WriteString(p)
	}
	return b.String()
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
	saysYes   = regexp.MustCompile(`(?i)^\s*` + forms["yes"] + `[.!\s]*$`)
	saysNo    = regexp.MustCompile(`(?i)^\s*` + forms["nay"] + `[.!\s]*$`)
	isReport  = regexp.MustCompile(`(?i)^\s*(?:` + forms["report"] + `:? [1-5][1-9]9?|5[5-9]9?(?: .*)?)[.!\s]*$`)
)

// AllWorked reports whether a text says that all contacts that are asked about were made.
func AllWorked(text string) bool { return allWorked.MatchString(text) }

// YesOrNo reads a text that is nothing but a yes or a no.
func YesOrNo(text string) (yes, ok bool) {
	yes = saysYes.MatchString(text)
	return yes, yes || saysNo.MatchString(text)
}

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
	localClock = regexp.MustCompile(`(?i)(^|[^\w:.])([01]?\d|2[0-3])(?:[:.]|h)?([0-5]\d)([:.][0-5]\d)?\s*` + Hour + `?\s*` + forms["local"] + `\b`)
	localWord  = regexp.MustCompile("(?i)^" + forms["local"] + "$")
)

// HasLocal reports whether a text says a time of the place.
func HasLocal(text string) bool { return localClock.MatchString(text) }

// InUTC writes the times of a text that are said to be local as UTC, as the zone of each
// has it on the day of a moment.
func InUTC(text string, at time.Time, zone func(parse.Clock) *time.Location) string {
	return localClock.ReplaceAllStringFunc(text, func(s string) string {
		m := localClock.FindStringSubmatch(s)
		hour, _ := strconv.Atoi(m[2]) // digits, as matched
		minute, _ := strconv.Atoi(m[3])
		loc := zone(parse.MakeClock(hour, minute))
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

var goes = regexp.MustCompile(`(?i)^\s*` + forms["goes"] + `\b`)

// Goes reports whether a line begins as one does that tells where one will be.
func Goes(line string) bool { return goes.MatchString(line) }

var out = regexp.MustCompile(`(?i)^\s*` + forms["out"] + `(?:[\s,]|$)`)

// GoesOut reports whether a line begins as one does that tells of a day out.
func GoesOut(line string) bool { return out.MatchString(line) }

// IsAsked reports whether a line ends as a question does.
func IsAsked(line string) bool { return strings.HasSuffix(strings.TrimRight(line, " !."), "?") }

var asksFirst = regexp.MustCompile("(?i)^\\s*" + forms["asks"] + `(?:[^\pL]|$)`)

// Inquires reports whether a line ends, or begins, as a question does.
func Inquires(line string) bool { return IsAsked(line) || asksFirst.MatchString(line) }

// Asks reports whether a line of some words begins and ends as a question does.
func Asks(line string) bool {
	return IsAsked(line) && asksFirst.MatchString(line) && len(strings.Fields(line)) > 2
}

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
