// Package named reads the words that name a pass: by its bird, a day or a part of one,
// and a moment of it.
package named

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/idiom"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/storage"
)

// A Pass is a pass as it is asked for: by its bird, a day, and a moment of it, each
// of which may lack.
type Pass struct {
	Bird string
	// Clock is the time of day in a zone, Said the words for both. A local time is that
	// of the place from where the pass is seen, on its day.
	Clock parse.Clock
	Zone  idiom.Zone
	Zoned bool // the zone was said
	Said  string
	// From and To bound the day that was said, or the part of it, zero if none was; Before
	// is that of its name before it, zero if there is none.
	From, To, Before time.Time

	part idiom.Part
}

// Noon is the middle of the day that was said, zero if none was.
func (m Pass) Noon() time.Time {
	if m.To.IsZero() {
		return time.Time{}
	}
	return m.From.Add(12 * time.Hour)
}

// A Reader reads the words of an operator.
type Reader struct {
	Sky *sky.Sky
	// Zone is that of the place where the operator is on a date, Local that of the place set.
	Zone  func(date time.Time) *time.Location
	Local *time.Location
}

// Read takes the words that say which pass is meant, as a message of some moment says
// them, and returns the others. A clock is UTC unless its zone stands behind it.
func (r Reader) Read(text string, at time.Time) (m Pass, rest []string) {
	words := strings.Fields(text)
	for len(words) > 0 {
		n := r.Take(&m, words, at)
		if n == 0 {
			rest = append(rest, words[0])
			n = 1
		}
		words = words[n:]
	}
	return m, rest
}

// Take takes what words begin with: a day, a clock or a bird, and what leads to it. It
// returns how many words that is.
func (r Reader) Take(m *Pass, words []string, at time.Time) int {
	if n := r.takeDay(m, words, at); n > 0 {
		return n // "this evening", too
	}
	if idiom.Leads(words[0]) && len(words) > 1 {
		if n := r.Take(m, words[1:], at); n > 0 {
			return n + 1
		}
		return 0
	}
	if m.Bird == "" {
		for n := min(len(words), 3); n > 0; n-- {
			if bird, known := r.Sky.Bird(strings.Join(words[:n], " ")); known {
				m.Bird = bird.Name
				return n
			}
		}
	}
	return m.takeClock(words)
}

var clockForm = regexp.MustCompile(`^(?:([01]?\d|2[0-3]):|([01]\d|2[0-3]))([0-5]\d)([^\d:.].*)?$`)

// takeClock takes the time of day that words begin with, and its zone, which may be
// glued to it.
func (m *Pass) takeClock(words []string) int {
	is := clockForm.FindStringSubmatch(words[0])
	if m.Clock.IsSet() || is == nil {
		return 0
	}
	behind := words[1:]
	if is[4] != "" {
		behind = []string{is[4]}
	}
	zone, n := idiom.ZoneIn(behind)
	m.Zoned = n > 0
	switch {
	case is[4] == "":
		n++
	case n == 0:
		return 0 // no time
	}
	hour, _ := strconv.Atoi(is[1] + is[2]) // digits, as matched
	minute, _ := strconv.Atoi(is[3])
	m.Clock, m.Zone, m.Said = parse.MakeClock(hour, minute), zone, strings.Join(words[:n], " ")
	return n
}

// takeDay takes a day that words begin with, of the zone where the operator is then or,
// as a plain date, of UTC.
func (r Reader) takeDay(m *Pass, words []string, at time.Time) int {
	if !m.To.IsZero() {
		return 0
	}
	day, n := idiom.DayIn(words, at.In(r.Local))
	if n == 0 {
		return 0
	}
	loc := r.Zone(day.Next)
	if idiom.ISODate.MatchString(words[n-1]) {
		loc = time.UTC
	}
	m.Before, m.part = day.Before, day.Part
	m.bound(day.Next, loc)
	return n
}

// Behind is the pass with the day of its name that was before a moment, where the next
// one of that name is still to come.
func (r Reader) Behind(m Pass, at time.Time) Pass {
	if m.From.After(at) && !m.Before.IsZero() {
		m.bound(m.Before, r.Zone(m.Before))
	}
	return m
}

// Hours are the local hours of the part of a day that was said, empty if none was.
func (m Pass) Hours() string {
	if m.part == (idiom.Part{}) {
		return ""
	}
	from, to := 0, 24
	if m.part.Begins > dawn {
		from = m.part.Begins
	}
	if m.part.Ends <= dusk {
		to = m.part.Ends
	}
	return strconv.Itoa(from) + "–" + strconv.Itoa(to) + " h local"
}

// bound makes a date of a zone the day that was said, or the part of it.
func (m *Pass) bound(date time.Time, loc *time.Location) {
	m.From, m.To = choice.Midnight(date, 0, loc), choice.Midnight(date, 1, loc)
	year, month, day := date.Date()
	at := func(hour int) time.Time { return time.Date(year, month, day, hour, 0, 0, 0, loc).UTC() }
	if m.part.Begins > dawn {
		m.From = at(m.part.Begins)
	}
	if m.part.Ends > 0 && m.part.Ends <= dusk {
		m.To = at(m.part.Ends)
	}
}

// The first part of a day begins with it, by dawn, and the last one, after dusk, ends with
// it, whatever hours they are for a day out.
const dawn, dusk = 6, 18

// Fits reports whether a pass is one that is meant, and at which moment of it, zero
// if none was said.
func (m Pass) Fits(pass storage.Pass) (at time.Time, ok bool) {
	if m.Clock.IsSet() {
		at = m.Nearest(pass)
		if !timing.Fits(pass, at) {
			return at, false
		}
	}
	moment := timing.Later(at, pass.TCA)
	onDay := m.To.IsZero() || !moment.Before(m.From) && moment.Before(m.To)
	return at, onDay && (m.Bird == "" || pass.Bird.Name == m.Bird)
}

// Nearest is the moment nearest to a pass that the time said stands for.
func (m Pass) Nearest(pass storage.Pass) time.Time {
	loc := time.FixedZone("", int(m.Zone.Ahead/time.Second))
	if m.Zone.Local {
		loc = shown.Zone(pass.Place)
	}
	return timing.NearestIn(m.Clock, loc, pass.TCA)
}
