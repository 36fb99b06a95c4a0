package setup

import (
	"strconv"
	"strings"

	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// mostHidden is how many parts the own horizon has at most.
const mostHidden = 8

// SetHorizon shows or changes what hides the sky where the operator stands:
// "10", "270-330 25, 20-60 15", "level". It goes with the place.
func (p Settings) SetHorizon(rest string) {
	switch rest = strings.TrimSpace(rest); {
	case rest == "":
		p.Say(settings.Horizon(shown.Place(p.Op.Place)))
		return
	case strings.EqualFold(rest, "level"):
		p.Op.Place.Horizon = nil
	default:
		parts, err := parseHorizon(rest)
		if err != nil {
			p.Say(err.Error())
			return
		}
		p.Op.Place.Horizon = parts
	}
	p.Replan()
	p.Say(settings.Horizon(shown.Place(p.Op.Place)))
}

// parseHorizon reads parts of a horizon, parted by commas: "10" all round, or
// "270-330 25" from azimuth to azimuth, clockwise. Its errors are sentences for
// the operator.
func parseHorizon(text string) ([]storage.Hidden, error) {
	var parts []storage.Hidden
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		h, ok := parseHidden(strings.ReplaceAll(part, "°", ""))
		if !ok {
			return nil, tx.Sayable(settings.BadHorizon(strings.TrimSpace(part), mostHidden))
		}
		parts = append(parts, h)
	}
	if len(parts) == 0 || len(parts) > mostHidden {
		return nil, tx.Sayable(settings.BadHorizon(text, mostHidden))
	}
	return parts, nil
}

func parseHidden(text string) (storage.Hidden, bool) {
	words := strings.Fields(text)
	h := storage.Hidden{ToDeg: 360}
	ok := len(words) == 1 || len(words) == 2
	if len(words) == 2 {
		from, to, cut := strings.Cut(words[0], "-")
		ok = cut && inRange(from, 360, &h.FromDeg) && inRange(to, 360, &h.ToDeg) && h.FromDeg != h.ToDeg
	}
	if !ok {
		return h, false
	}
	return h, inRange(words[len(words)-1], 89, &h.ElDeg)
}

// inRange reads degrees from 0 to a greatest.
func inRange(text string, most float64, into *float64) bool {
	v, err := strconv.ParseFloat(text, 64)
	*into = v
	return err == nil && v >= 0 && v <= most
}
