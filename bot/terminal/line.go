package terminal

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
)

// LineError is a line that can't be followed, and what was expected there.
type LineError struct {
	Line            int // from 1; 0: not known yet
	Found, Expected string
}

func (e *LineError) Error() string {
	return fmt.Sprintf("line %d: found %q, expected %s", e.Line, e.Found, e.Expected)
}

func expected(found, format string, args ...any) error {
	return &LineError{Found: found, Expected: fmt.Sprintf(format, args...)}
}

// verb is what a line does.
type verb int

const (
	say  verb = iota // send a message
	pass             // let time pass
	until
	edit
	reply
	tap
	place
	file
	voice
	offline
	online
)

// ref names a message by its number: the operator's (m3) or the bot's (b7).
type ref struct {
	bot bool
	n   int64
}

func (r ref) String() string { return appName(r.id()) }

// id is the number as the messaging app's id.
func (r ref) id() int64 {
	if r.bot {
		return -r.n
	}
	return r.n
}

// appName writes a messaging app's id as it is shown: m3, b7.
func appName(id int64) string {
	if id < 0 {
		return "b" + strconv.FormatInt(-id, 10)
	}
	return "m" + strconv.FormatInt(id, 10)
}

// command is a line as it was understood. Only the fields of its verb are set.
type command struct {
	verb   verb
	text   string // say, edit, reply: the text; tap: the button; file: the path
	ref    ref
	length time.Duration // pass, voice
	at     time.Time     // until
	spot   event.Spot
}

const phoneLines = "one of: ~ 90s, ~ until TIME, ~ edit N TEXT, ~ reply N TEXT, ~ tap POST BUTTON, " +
	"~ place LAT,LON[,ACCURACY_M] [live], ~ file PATH, ~ voice SECONDS, ~ offline, ~ online"

// maxVoice is the longest voice message taken, in seconds.
const maxVoice = 24 * 60 * 60

// parseLine reads a line that is not blank.
func parseLine(line string) (command, error) {
	rest, ok := strings.CutPrefix(line, "~")
	if !ok {
		return command{verb: say, text: unescape(line)}, nil
	}
	word, rest := cutWord(rest)
	switch word {
	case "until":
		t, err := time.Parse(time.RFC3339Nano, rest)
		if err != nil || t.Year() < 1 {
			return command{}, expected(rest, "a time like 2026-11-24T17:30:00Z: ~ until TIME")
		}
		return command{verb: until, at: t.UTC()}, nil
	case "edit", "reply":
		return parseAbout(word, rest)
	case "tap":
		return parseTap(rest)
	case "place":
		return parsePlace(rest)
	case "file":
		if rest == "" {
			return command{}, expected(line, "a path: ~ file PATH")
		}
		return command{verb: file, text: rest}, nil
	case "voice":
		n, err := strconv.Atoi(rest)
		if err != nil || n < 1 || n > maxVoice {
			return command{}, expected(rest, "whole seconds, 1 to %d: ~ voice SECONDS", maxVoice)
		}
		return command{verb: voice, length: time.Duration(n) * time.Second}, nil
	case "offline", "online":
		if rest != "" {
			return command{}, expected(rest, "nothing after ~ %s", word)
		}
		return command{verb: map[string]verb{"offline": offline, "online": online}[word]}, nil
	}
	return parsePass(line, word+rest)
}

// cutWord splits s at the first blank after its first word.
func cutWord(s string) (word, rest string) {
	s = strings.TrimSpace(s)
	if i := strings.IndexAny(s, " \t"); i >= 0 {
		return s[:i], strings.TrimSpace(s[i:])
	}
	return s, ""
}

// unescape breaks lines at \n; \\n is a backslash and an n.
func unescape(s string) string {
	return strings.NewReplacer(`\\n`, `\n`, `\n`, "\n").Replace(s)
}

func parsePass(line, s string) (command, error) {
	d, err := time.ParseDuration(strings.ReplaceAll(s, " ", ""))
	switch {
	case err != nil:
		return command{}, expected(line, "%s", phoneLines)
	case d <= 0:
		return command{}, expected(line, "a length of time above zero: 90s, 10m, 1h30m")
	}
	return command{verb: pass, length: d}, nil
}

// parseAbout reads edit and reply, which are about an earlier message.
func parseAbout(word, s string) (command, error) {
	number, text := cutWord(s)
	c := command{verb: reply, text: unescape(text)}
	if word == "edit" {
		c.verb = edit
	}
	var err error
	c.ref, err = parseRef(number, false)
	switch {
	case err != nil:
		return command{}, err
	case text == "":
		return command{}, expected(s, "a number and a text: ~ %s N TEXT", word)
	case c.verb == edit && c.ref.bot:
		return command{}, expected(number, "one of the operator's messages (m3): the bot's own can't be edited from the phone")
	}
	return c, nil
}

func parseTap(s string) (command, error) {
	number, button := cutWord(s)
	r, err := parseRef(number, true)
	switch {
	case err != nil:
		return command{}, err
	case !r.bot:
		return command{}, expected(number, "one of the bot's posts (b7)")
	case button == "":
		return command{}, expected(s, "a post and a button, its label or its number: ~ tap POST BUTTON")
	}
	return command{verb: tap, ref: r, text: button}, nil
}

// parseRef reads m3, b7 or a bare number, which is one of the bot's posts if
// bare says so.
func parseRef(s string, bare bool) (ref, error) {
	r, digits := ref{bot: bare}, s
	switch {
	case strings.HasPrefix(s, "m"), strings.HasPrefix(s, "M"):
		r.bot, digits = false, s[1:]
	case strings.HasPrefix(s, "b"), strings.HasPrefix(s, "B"):
		r.bot, digits = true, s[1:]
	}
	n, err := strconv.ParseUint(digits, 10, 62)
	if err != nil || n == 0 {
		return ref{}, expected(s, "the number of a message: m3 for the operator's, b7 for the bot's")
	}
	r.n = int64(n)
	return r, nil
}

const placeForm = "a place in degrees: ~ place LAT,LON[,ACCURACY_M] [live], latitude -90 to 90, longitude -180 to 180"

func parsePlace(s string) (command, error) {
	fields := strings.Fields(s)
	live := len(fields) == 2 && fields[1] == "live"
	if len(fields) != 1 && !live {
		return command{}, expected(s, placeForm)
	}
	parts := strings.Split(fields[0], ",")
	var numbers [3]float64
	if len(parts) < 2 || len(parts) > len(numbers) {
		return command{}, expected(s, placeForm)
	}
	for i, p := range parts {
		x, err := strconv.ParseFloat(p, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return command{}, expected(s, placeForm)
		}
		numbers[i] = x
	}
	spot := event.Spot{LatDeg: numbers[0], LonDeg: numbers[1], AccuracyM: numbers[2], Live: live}
	if math.Abs(spot.LatDeg) > 90 || math.Abs(spot.LonDeg) > 180 || spot.AccuracyM < 0 {
		return command{}, expected(s, placeForm)
	}
	return command{verb: place, spot: spot}, nil
}
