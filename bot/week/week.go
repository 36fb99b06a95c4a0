// Package week reads on which days of the week, and at which hours of them, somebody wants
// to be reminded.
package week

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say/settings"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// Days are the weekdays that a setting names, and what it says of them.
type Days struct {
	named [7]bool          // by time.Weekday
	hours storage.DayHours // of theirs, if Until is not 0
	only  bool             // the others are off
	off   bool             // they are
	every bool             // all have the same hours again
	bad   string           // hours that can't be read
}

var (
	hourForm  = regexp.MustCompile(`^(\d{1,2})(?::00)?h?$`)
	spanWords = strings.NewReplacer(",", " ", "–", "-", " - ", "-", " to ", "-", " till ", "-", " until ", "-")
)

// Read reads "sat sun", "only on weekends", "mon-fri after 17:00", "weekdays 17-22",
// "sunday off", "every day"; is tells whether it is about days at all.
func Read(text string) (d Days, is bool) {
	words := strings.Fields(spanWords.Replace(strings.ToLower(text)))
	for i, word := range words {
		first, last, _ := strings.Cut(word, "-")
		switch {
		case slices.Contains([]string{"on", "the", "and", "from", "every", "all"}, word):
		case word == "only":
			d.only = true
		case word == "off" || word == "not" || word == "no":
			d.off = true
		case word == "day" || word == "days":
			d.every, is = true, true
		case d.name(first, last):
			is = true
		case !is:
			return d, false
		case word != "after" && word != "before":
			d.takeHours(words[i-1], word)
		}
	}
	return d, is
}

// name takes a weekday, those from one to another, or a word for several.
func (d *Days) name(first, last string) bool {
	from, to := weekday(first), weekday(cmp.Or(last, first))
	switch first + last {
	case "weekend", "weekends":
		from, to = time.Saturday, time.Sunday
	case "weekday", "weekdays":
		from, to = time.Monday, time.Friday
	}
	if from < 0 || to < 0 {
		return false
	}
	for day := from; ; day = (day + 1) % 7 {
		d.named[day] = true
		if day == to {
			return true
		}
	}
}

// weekday is the day that a word begins, from three letters on, or -1.
func weekday(word string) time.Weekday {
	for day := time.Sunday; day <= time.Saturday; day++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(day.String())+"s", word) {
			return day
		}
	}
	return -1
}

// takeHours takes "17-22", or an hour behind "after" or "before".
func (d *Days) takeHours(before, word string) {
	switch before {
	case "after", "from":
		word += "-24"
	case "before":
		word = "0-" + word
	}
	var ok bool
	if d.hours, ok = HoursIn(word); !ok {
		d.bad = word
	}
}

// HoursIn reads two full hours: "17-22", "17:00-22:00".
func HoursIn(word string) (storage.DayHours, bool) {
	a, b, ok := strings.Cut(word, "-")
	from, until := hourForm.FindStringSubmatch(a), hourForm.FindStringSubmatch(b)
	if !ok || from == nil || until == nil {
		return storage.DayHours{}, false
	}
	var h storage.DayHours
	h.From, _ = strconv.Atoi(from[1]) // digits, as matched
	h.Until, _ = strconv.Atoi(until[1])
	return h, h.From <= 23 && h.Until >= 1 && h.Until <= 24
}

// Change makes the change in what is reminded of. Days that are named alone are the only
// ones; where hours are said of them, or that they are off, the others stay as they are.
func (d Days) Change(r storage.Remind) (storage.Remind, error) {
	if d.bad != "" {
		return r, tx.Sayable(settings.BadHours(d.bad))
	}
	alone := d.hours.Until == 0 && !d.off
	for day, named := range d.named {
		switch {
		case d.every:
			r.Week[day] = storage.DayHours{}
		case named && d.off:
			r.Week[day] = storage.DayHours{Off: true}
		case named && alone:
			r.Week[day].Off = false
		case named:
			r.Week[day] = d.hours
		case alone || d.only:
			r.Week[day].Off = true
		}
	}
	r.Off = !slices.ContainsFunc(r.Week[:], func(h storage.DayHours) bool { return !h.Off })
	if r.Off {
		r.Week = [7]storage.DayHours{}
	}
	return r, nil
}
