package setup

import (
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/week"
	"skyslate/storage"
)

// SetRemind shows or changes what the operator is reminded of.
func (p Settings) SetRemind(rest string) {
	if rest == "" {
		p.Say(settings.Reminders(shown.Remind(p.Op.Remind), p.Sky.ProperNames(), p.Local()))
		return
	}
	r, err := changeRemind(p.Op.Remind, rest, p.Sky)
	if err != nil {
		p.Say(err.Error())
		return
	}
	if r.Lead != p.Op.Remind.Lead {
		p.Op.Agenda = time.Time{} // reminders come at other moments
	}
	before := p.Op.Remind
	p.Op.Remind = r
	p.Replan()
	p.Say(settings.RemindChanged(shown.Remind(before), shown.Remind(r), p.Local()))
}

// changeRemind applies one change: "ahead 15", "peak 20", "hours 6-23", "after 9", "until 22", "daily
// 6", "birds A B", "birds on", "picture on", "evening 21", "on" or "off", or of days:
// "sat sun", "mon-fri after 17". Its errors are sentences for the operator.
func changeRemind(r storage.Remind, text string, s *sky.Sky) (storage.Remind, error) {
	if days, is := week.Read(text); is {
		return days.Change(r)
	}
	verb, rest, _ := strings.Cut(strings.ToLower(text), " ")
	rest = strings.TrimSpace(rest)
	var err error
	switch verb {
	case "on", "off":
		r.Off = verb == "off"
	case "picture":
		if rest != "" && rest != "on" && rest != "off" {
			return r, tx.Sayable(settings.BadPicture)
		}
		r.Picture = rest != "off"
	case "evening":
		if rest == "off" {
			r.Evening = 0
			return r, nil
		}
		r.Evening, err = whole(rest, verb, settings.UnitEvening, 1, 23)
	case "ahead":
		var n int
		n, err = whole(rest, verb, "minutes", 1, 120)
		r.Lead = time.Duration(n) * time.Minute
	case "peak":
		var n int
		n, err = whole(strings.TrimSuffix(rest, "°"), verb, "degrees", 0, 90)
		r.PeakDeg = float64(n)
	case "daily":
		r.PerDay, err = whole(rest, verb, settings.UnitDaily, 0, 50)
	case "after":
		r.From, err = whole(rest, verb, settings.UnitHours, 0, 23)
	case "until":
		r.Until, err = whole(rest, verb, settings.UnitHours, 1, 24)
	case "hours":
		return changeHours(r, rest)
	case "birds":
		return changeBirds(r, rest, s)
	default:
		return r, tx.Sayable(settings.UnknownSetting(verb))
	}
	return r, err
}

func whole(text, setting, unit string, least, most int) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil || n < least || n > most {
		return 0, tx.Sayable(settings.BadNumber(text, setting, unit, least, most))
	}
	return n, nil
}

func changeHours(r storage.Remind, text string) (storage.Remind, error) {
	hours, ok := week.HoursIn(strings.ReplaceAll(text, " ", ""))
	if !ok {
		return r, tx.Sayable(settings.BadHours(text))
	}
	r.From, r.Until = hours.From, hours.Until
	return r, nil
}

// changeBirds sets the birds by name; "on" means the FM birds known to be on.
func changeBirds(r storage.Remind, text string, s *sky.Sky) (storage.Remind, error) {
	words := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' })
	if len(words) == 0 {
		return r, tx.Sayable(settings.NameBirds(s.ProperNames()))
	}
	r.Birds = nil
	if len(words) == 1 && words[0] == "on" {
		return r, nil
	}
	for _, word := range words {
		bird, ok := s.Bird(word)
		if !ok {
			return r, tx.Sayable(say.UnknownBird(word, s.ProperNames()))
		}
		r.Birds = append(r.Birds, bird.Name)
	}
	return r, nil
}
