package contact

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// localWords say behind a time that it is the one of the place: common words in the
// languages of the log. An abbreviation of a zone says which zone, and isn't one.
const localWords = `local(?: time)?|loc|lt|my time|ortszeit|ortsz|lokal(?:zeit)?|hora local|heure locale|hl|ora locale|genchi(?: jikan)?`

var (
	localClock = regexp.MustCompile(`(?i)(^|[^\w:.])([01]?\d|2[0-3])(?:[:.]|h)?([0-5]\d)([:.][0-5]\d)?\s*(?:h|hrs|uhr)?\s*(?:` + localWords + `)\b`)
	localWord  = regexp.MustCompile(`(?i)^(?:` + localWords + `)$`)
)

// IsLocal reports whether a word says that the time before it is the one of the place.
func IsLocal(word string) bool { return localWord.MatchString(word) }

// InUTC writes the times of a text that are said to be local as UTC, as the zone of
// the place has it around a moment.
func InUTC(text string, at time.Time, loc *time.Location) string {
	return localClock.ReplaceAllStringFunc(text, func(s string) string {
		m := localClock.FindStringSubmatch(s)
		hour, _ := strconv.Atoi(m[2]) // digits, as matched
		minute, _ := strconv.Atoi(m[3])
		y, month, d := at.In(loc).Date()
		utc := time.Date(y, month, d, hour, minute, 0, 0, loc).UTC()
		return fmt.Sprintf("%s%s%s", m[1], utc.Format("15:04"), strings.ReplaceAll(m[4], ".", ":"))
	})
}
