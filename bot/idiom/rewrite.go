package idiom

import (
	"cmp"
	"regexp"
	"strconv"
	"strings"
	"time"

	"skyslate/parse"
)

var (
	orHalf   = regexp.MustCompile(`(?i)\b([a-r]{2})(\d\d),? (` + forms["or"] + `) (\d\d)\b`)
	oneOf    = regexp.MustCompile(`(?i)\b(` + gridForm + `)[ ,/]+(` + gridForm + `),? ` + forms["oneof"])
	orAsked  = regexp.MustCompile(`(?i)(\b` + gridForm + `,? ` + forms["or"] + ` ` + gridForm + `) ?\?+` + ends)
	ago      = regexp.MustCompile(`(?i)(^|[ ,])(?:(?:(\d{1,2})|` + forms["single"] + `) ?` + forms["minutes"] + ` ` + forms["ago"] + `|` + forms["since"] + ` (\d{1,2}) ?` + forms["minutes"] + `)\b`)
	dotClock = regexp.MustCompile(`(^|\s)([01]\d|2[0-3])[.-]([0-5]\d)(\s|$)`)
	minuteOf = regexp.MustCompile(`(?i)(^|\s)(?:([0-5]?\d) ?(?:['’]|` + forms["minutes"] + `)|` + forms["minutes"] + ` ([0-5]\d))(\s|$)`)
)

// WithoutHalves is a text in which squares between which it leaves the choice are whole:
// "JO53 or 54?", "JO53 JO54 one of them".
func WithoutHalves(text string) string {
	text = orHalf.ReplaceAllString(text, "$1$2 $3 $1$4")
	if m := oneOf.FindStringSubmatchIndex(text); m != nil {
		text = text[:m[0]] + text[m[2]:m[3]] + " or " + text[m[4]:m[5]] + text[m[1]:]
	}
	return orAsked.ReplaceAllString(text, "$1")
}

// Minutes are the minutes that stand alone in a text, "5 min": they may be a time, or a length.
func Minutes(text string) string { return strings.TrimSpace(minuteOf.FindString(text)) }

// WithClocks is a text in which a time told from a moment on, and one with a point or as a
// minute that a pass has, are times of day: "2 min ago", "10.43", "43 min". So many minutes
// before that moment are no time of the pass then: else it may be either.
func WithClocks(text string, at time.Time, had func(parse.Clock) bool) string {
	clock := func(t time.Time) parse.Clock { return parse.MakeClock(t.UTC().Hour(), t.Minute()) }
	if m := ago.FindStringSubmatch(text); m != nil {
		minutes, _ := strconv.Atoi(cmp.Or(m[2], m[3], "1")) // digits, as matched
		then := at.Add(-time.Duration(minutes) * time.Minute).UTC()
		return strings.Replace(text, m[0], m[1]+then.Format("15:04"), 1)
	}
	if m := dotClock.FindStringSubmatch(text); m != nil {
		hour, _ := strconv.Atoi(m[2])
		minute, _ := strconv.Atoi(m[3])
		if had(parse.MakeClock(hour, minute)) {
			return strings.Replace(text, m[0], m[1]+m[2]+":"+m[3]+m[4], 1)
		}
	}
	m := minuteOf.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	minute, _ := strconv.Atoi(m[2] + m[3])
	then := at.Truncate(time.Hour).Add(time.Duration(minute) * time.Minute)
	if then.After(at) {
		then = then.Add(-time.Hour)
	}
	if !had(clock(then)) || had(clock(at.Add(-time.Duration(minute)*time.Minute))) {
		return text
	}
	return strings.Replace(text, m[0], m[1]+then.UTC().Format("15:04")+m[4], 1)
}
