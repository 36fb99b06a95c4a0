package idiom

import (
	_ "embed"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A Zone is what a time of day is said in: UTC, which is the zero value, the zone of the
// place, or one that is named. Unclear is a name that stands for several, or for none
// that is known: such a time is asked, never taken for UTC.
type Zone struct {
	Local, Unclear bool
	Ahead          time.Duration // of UTC
}

// namedZones are the zones of zones.txt by their names.
var namedZones = readZones(zones)

//go:embed zones.txt
var zones string

func readZones(table string) map[string]Zone {
	named := map[string]Zone{}
	for row := range strings.Lines(table) {
		names, hours, is := strings.Cut(strings.TrimSpace(row), " | ")
		if !is || strings.HasPrefix(row, "#") {
			continue
		}
		ahead, err := strconv.ParseFloat(hours, 64)
		z := Zone{Unclear: err != nil, Ahead: time.Duration(ahead * float64(time.Hour))}
		for name := range strings.FieldsSeq(names) {
			named[name] = z
		}
	}
	return named
}

var (
	offsetForm   = regexp.MustCompile(`^(?i:utc|gmt)?([+\-−–])(1[0-4]|0?\d)(?::?([0-5]\d))?$`)
	zoneNameForm = regexp.MustCompile(`^[A-Z]{2,4}T$`)
)

// ZoneIn reads the zone that words behind a time begin with, and says of how many words
// it is, 0 if they begin with none.
func ZoneIn(words []string) (z Zone, n int) {
	for n := min(len(words), 2); n > 0; n-- {
		if localWord.MatchString(strings.Join(words[:n], " ")) {
			return Zone{Local: true}, n
		}
		if m := offsetForm.FindStringSubmatch(strings.Join(words[:n], "")); m != nil {
			hours, _ := strconv.Atoi(m[2])         // digits, as matched
			minutes, _ := strconv.Atoi("0" + m[3]) // as well, or none
			z.Ahead = time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute
			if m[1] != "+" {
				z.Ahead = -z.Ahead
			}
			return z, n
		}
	}
	if len(words) == 0 {
		return z, 0
	}
	word := strings.Trim(words[0], ".,;")
	z, known := namedZones[word]
	if !known {
		z, known = namedZones[strings.ToLower(word)]
	}
	switch {
	case zoneNameForm.MatchString(word) && !known:
		z.Unclear = true
	case !known:
		return z, 0
	}
	return z, 1
}
