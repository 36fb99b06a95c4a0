package bot

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"skyslate/storage"
)

// remindText shows what an operator is reminded of, and how to change it.
func remindText(r storage.Remind, s *Sky, loc *time.Location) string {
	if r.Off {
		return "Reminders are off, but for passes that\nyou arm in /passes.\n/remind on"
	}
	picture := ""
	if r.Picture {
		picture = " A picture of the sky comes along."
	}
	if r.Evening > 0 {
		picture += fmt.Sprintf(" At %d h I tell what the next day brings.", r.Evening)
	}
	birds := "FM birds known to be on"
	if len(r.Birds) > 0 {
		birds = strings.Join(r.Birds, " ")
	}
	hours := fmt.Sprintf("from %d to %d h (%s)", r.From, r.Until, loc)
	if r.From == r.Until || r.From == 0 && r.Until == 24 {
		hours = "at any hour"
	}
	lines := wrap(fmt.Sprintf("I remind you %s before AOS, %s, of passes of at least %s that rise %s. Birds: %s.%s",
		minutes(r.Lead), often(r.PerDay), degrees(r.PeakDeg), hours, birds, picture), "")
	return strings.Join(append(lines,
		"Change any, such as /remind ahead 15:",
		"ahead 15 · peak 20 · daily 6",
		"hours 6-23 · evening 21, or off",
		clip("birds "+firstNames(s), textColumns-len(", or birds on"))+", or birds on",
		"picture on, or off · on · off"), "\n")
}

// often says how many reminders a day come at most.
func often(n int) string {
	switch n {
	case 0:
		return "only if you arm a pass"
	case 1:
		return "at most once a day"
	}
	return fmt.Sprintf("at most %d times a day", n)
}

func firstNames(s *Sky) string {
	names := s.names()
	return strings.Join(names[:min(2, len(names))], " ")
}

// A sayable error is one that the operator reads as it is.
type sayable string

func (e sayable) Error() string { return string(e) }

// changeRemind applies one change: "ahead 15", "peak 20", "hours 6-23", "daily
// 6", "birds A B", "birds on", "picture on", "evening 21", "on" or "off". Its errors are sentences
// for the operator.
func changeRemind(r storage.Remind, text string, s *Sky) (storage.Remind, error) {
	verb, rest, _ := strings.Cut(strings.ToLower(text), " ")
	rest = strings.TrimSpace(rest)
	switch verb {
	case "on", "off":
		r.Off = verb == "off"
	case "picture":
		if rest != "" && rest != "on" && rest != "off" {
			return r, sayable("Say /remind picture on, or\n/remind picture off.")
		}
		r.Picture = rest != "off"
	case "evening":
		if rest == "off" {
			r.Evening = 0
			return r, nil
		}
		n, err := whole(rest, "evening", "a local hour, or off,", 1, 23)
		if err != nil {
			return r, err
		}
		r.Evening = n
	case "ahead":
		n, err := whole(rest, "ahead", "minutes", 1, 120)
		if err != nil {
			return r, err
		}
		r.Lead = time.Duration(n) * time.Minute
	case "peak":
		n, err := whole(strings.TrimSuffix(rest, "°"), "peak", "degrees", 0, 90)
		if err != nil {
			return r, err
		}
		r.PeakDeg = float64(n)
	case "daily":
		n, err := whole(rest, "daily", "reminders a day", 0, 50)
		if err != nil {
			return r, err
		}
		r.PerDay = n
	case "hours":
		return changeHours(r, rest)
	case "birds":
		return changeBirds(r, rest, s)
	default:
		return r, sayable(strings.Join(wrap("I can't change “"+noteText(verb, 16)+"”. Say ahead, peak, hours, daily, birds, picture, evening, on or off: /remind shows how.", ""), "\n"))
	}
	return r, nil
}

func whole(text, what, unit string, least, most int) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < least || n > most {
		return 0, sayable(strings.Join(wrap(fmt.Sprintf("“%s”: I expected %s from %d to %d, such as /remind %s %d.",
			noteText(text, 12), unit, least, most, what, max(least, min(most, 10))), ""), "\n"))
	}
	return n, nil
}

func changeHours(r storage.Remind, text string) (storage.Remind, error) {
	a, b, ok := strings.Cut(text, "-")
	from, err1 := strconv.Atoi(strings.TrimSpace(a))
	until, err2 := strconv.Atoi(strings.TrimSpace(b))
	if !ok || err1 != nil || err2 != nil || from < 0 || from > 23 || until < 1 || until > 24 {
		return r, sayable(strings.Join(wrap("“"+noteText(text, 12)+"”: I expected two local hours, such as /remind hours 6-23.", ""), "\n"))
	}
	r.From, r.Until = from, until
	return r, nil
}

// changeBirds sets the birds by name; "on" means the FM birds known to be on.
func changeBirds(r storage.Remind, text string, s *Sky) (storage.Remind, error) {
	words := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' })
	if len(words) == 0 {
		return r, sayable(strings.Join(wrap("Name the birds: /remind birds "+firstNames(s), ""), "\n"))
	}
	if len(words) == 1 && words[0] == "on" {
		r.Birds = nil
		return r, nil
	}
	var names []string
	for _, word := range words {
		bird, ok := s.Bird(word)
		if !ok {
			return r, sayable(unknownBirdText(word, s))
		}
		names = append(names, bird.Name)
	}
	r.Birds = names
	return r, nil
}
