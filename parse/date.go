package parse

import (
	"strings"

	"skyslate/parse/clock"
)

// dateFrom reads the date that begins at word i, and how many words it takes: in
// figures, of which that of the pass may tell what they leave open, or with the name of the
// month on either side of the day.
func (l *script) dateFrom(i int) (d Date, words int) {
	t := &l.words[i]
	if t.shape&clockLike != 0 {
		if strings.Count(t.s, ".")+strings.Count(t.s, "-")+strings.Count(t.s, "/") != 2 {
			return Date{}, 0
		}
		return clock.ReadDate(t.s, l.known.Date), 1
	}
	if t.shape == hasDigit && len(t.s) == 8 {
		if d = clock.ReadDate(t.s, l.known.Date); !d.IsSet() {
			return d, 0
		}
		return d, 1
	}
	day, named := i, i+1
	if t.means&month != 0 {
		day, named = i+1, i
	}
	to := i + 2
	if to > len(l.words) || l.words[named].means&month == 0 || l.dayOf(day) == 0 ||
		l.words[i+1].gap&^(space|stop|hyphen|slash) != 0 {
		return Date{}, 0
	}
	year := 0
	isYear := func(t *token) bool {
		return t.shape == hasDigit && len(t.s) == 4 && (t.s[:2] == "19" || t.s[:2] == "20")
	}
	if to < len(l.words) && isYear(&l.words[to]) && l.words[to].gap&^(space|comma|stop|hyphen|slash) == 0 {
		year = atoi(l.words[to].s)
		to++
	} else if trust := l.words[named].spells.trust; trust == plain || trust != unspelled && l.besideSpoken(named) || l.measures(day) {
		return Date{}, 0 // a spoken letter, a number of something
	}
	d, _ = clock.MakeDate(year, int(l.words[named].entry.value), l.dayOf(day))
	return d, to - i
}

// dayOf returns the day of a month that word i is, 0 if it is none: "24", "24th".
func (l *script) dayOf(i int) int {
	s := l.words[i].s
	d := digitsAt(s, 0)
	if n := atoi(s[:min(d, 3)]); n < 32 && (d == len(s) || meaningOf(s[d:])&ordinals != 0) {
		return n
	}
	return 0
}
