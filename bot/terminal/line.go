package terminal

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/storage"
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

// verb is the kind of a line: the word after its ~.
type verb string

const (
	say     verb = "" // a message, without ~
	pass    verb = "pass"
	until   verb = "until"
	edit    verb = "edit"
	reply   verb = "reply"
	relay   verb = "relay"
	tap     verb = "tap"
	place   verb = "place"
	file    verb = "file"
	voice   verb = "voice"
	offline verb = "offline"
	online  verb = "online"
)

// number is the number that a message's name is.
func number(name string) int64 {
	n, _ := strconv.ParseInt(name, 10, 64) // it is one
	return n
}

// appName writes a messaging app's id as it is shown: m3 the operator's, b7 the
// bot's, whose ids are negative.
func appName(id int64) string {
	if id < 0 {
		return "b" + strconv.FormatInt(-id, 10)
	}
	return "m" + strconv.FormatInt(id, 10)
}

// command is a line as it was understood. Only the fields of its verb are set.
type command struct {
	verb   verb
	text   string        // say, edit, reply, relay: the text; tap: the button; file: the path
	about  int64         // edit, reply, tap: the app's id of a message
	length time.Duration // pass, voice
	at     time.Time     // until
	spot   event.Spot
}

const phoneLines = "one of: ~ 90s, ~ until TIME, ~ edit N TEXT, ~ reply N TEXT, ~ relay TEXT, ~ tap POST BUTTON, " +
	"~ place LAT,LON[,ACCURACY_M] [live], ~ file PATH, ~ voice SECONDS, ~ offline, ~ online"

// maxVoice is the longest voice message taken, in seconds.
const maxVoice = 24 * 60 * 60

// namedLine is a line that somebody else than the usual operator says.
var namedLine = regexp.MustCompile(`^@([A-Za-z][A-Za-z0-9_-]{0,30})[ \t]+(\S.*)$`)

// speaker is who says a line that is not blank, and what they say.
func speaker(line string) (who storage.OperatorID, said string) {
	if m := namedLine.FindStringSubmatch(line); m != nil {
		return storage.OperatorID(m[1]), m[2]
	}
	return Operator, line
}

// spoken is a line of somebody's, with their name if it is said by another than the
// usual operator.
func spoken(who storage.OperatorID, said string) string {
	if who == Operator {
		return said
	}
	return "@" + string(who) + " " + said
}

// parseLine reads what somebody says, which is not blank.
func parseLine(line string) (command, error) {
	rest, ok := strings.CutPrefix(line, "~")
	if !ok {
		return command{verb: say, text: unescape(line)}, nil
	}
	word, rest := cutWord(rest)
	c := command{verb: verb(word)}
	switch c.verb {
	case until:
		t, err := time.Parse(time.RFC3339Nano, rest)
		if err != nil || t.Year() < 1 {
			return c, expected(rest, "a time like 2026-11-24T17:30:00Z: ~ until TIME")
		}
		c.at = t.UTC()
	case edit, reply, tap:
		return parseAbout(c.verb, rest)
	case relay:
		if c.text = unescape(rest); rest == "" {
			return c, expected(line, "a text that somebody else wrote: ~ relay TEXT")
		}
	case place:
		return parsePlace(rest)
	case file:
		if c.text = rest; rest == "" {
			return c, expected(line, "a path: ~ file PATH")
		}
	case voice:
		n, err := strconv.Atoi(rest)
		if err != nil || n < 1 || n > maxVoice {
			return c, expected(rest, "whole seconds, 1 to %d: ~ voice SECONDS", maxVoice)
		}
		c.length = time.Duration(n) * time.Second
	case offline, online:
		if rest != "" {
			return c, expected(rest, "nothing after ~ %s", word)
		}
	default:
		d, err := time.ParseDuration(strings.ReplaceAll(word+rest, " ", ""))
		switch {
		case err != nil:
			return c, expected(line, "%s", phoneLines)
		case d <= 0:
			return c, expected(line, "a length of time above zero: 90s, 10m, 1h30m")
		}
		c.verb, c.length = pass, d
	}
	return c, nil
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

// parseAbout reads the lines that are about an earlier message.
func parseAbout(v verb, s string) (command, error) {
	number, text := cutWord(s)
	id, err := parseID(number, v == tap)
	c := command{verb: v, about: id, text: text}
	if v != tap {
		c.text = unescape(text)
	}
	switch {
	case err != nil:
		return c, err
	case v == tap && id > 0:
		return c, expected(number, "one of the bot's posts (b7)")
	case v == tap && text == "":
		return c, expected(s, "a post and a button, its label or its number: ~ tap POST BUTTON")
	case text == "":
		return c, expected(s, "a number and a text: ~ %s N TEXT", v)
	case v == edit && id < 0:
		return c, expected(number, "one of the operator's messages (m3): the bot's own can't be edited from the phone")
	}
	return c, nil
}

// parseID reads m3, b7 or a bare number, which is one of the bot's posts if bot
// says so.
func parseID(s string, bot bool) (int64, error) {
	digits := strings.TrimLeft(s, "mMbB")
	if len(s)-len(digits) == 1 {
		bot = s[0] == 'b' || s[0] == 'B'
	}
	n, err := strconv.ParseUint(digits, 10, 62)
	if err != nil || n == 0 || len(s)-len(digits) > 1 {
		return 0, expected(s, "the number of a message: m3 for the operator's, b7 for the bot's")
	}
	if bot {
		return -int64(n), nil
	}
	return int64(n), nil
}

const placeForm = "a place in degrees: ~ place LAT,LON[,ACCURACY_M] [live], latitude -90 to 90, longitude -180 to 180"

func parsePlace(s string) (command, error) {
	refused := expected(s, placeForm)
	fields := strings.Fields(s)
	live := len(fields) == 2 && fields[1] == "live"
	if len(fields) != 1 && !live {
		return command{}, refused
	}
	parts := strings.Split(fields[0], ",")
	var numbers [3]float64
	if len(parts) < 2 || len(parts) > len(numbers) {
		return command{}, refused
	}
	for i, p := range parts {
		x, err := strconv.ParseFloat(p, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return command{}, refused
		}
		numbers[i] = x
	}
	spot := event.Spot{LatDeg: numbers[0], LonDeg: numbers[1], AccuracyM: numbers[2], Live: live}
	if math.Abs(spot.LatDeg) > 90 || math.Abs(spot.LonDeg) > 180 || spot.AccuracyM < 0 {
		return command{}, refused
	}
	return command{verb: place, spot: spot}, nil
}
