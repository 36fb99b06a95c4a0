package watch

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/bot/zone"
	"skyslate/parse"
	"skyslate/storage"
)

var spanForm = regexp.MustCompile(`^(\d{1,2})(?::([0-5]\d))?[-–](\d{1,2})(?::([0-5]\d))?h?$`)

// wordHere means the place set.
const wordHere = "here"

// An outingReader gathers what the words of an outing say, in any order.
type outingReader struct {
	grids     []parse.Grid // of the place
	wanted    []parse.Grid
	birds     []string
	here      bool
	day       time.Time // midnight of the date, in UTC
	dayNumber int       // before or after a month's name
	month     time.Month
	from, to  int // minutes of the local day
}

// lineOfGrids joins the grids of a line or a corner: "JO62 and JO72", "JO62 + JO72".
var lineOfGrids = regexp.MustCompile(`(?i)\s+and\s+|\s*\+\s*`)

// readOuting reads "IP73 29 May 9-15 WICKET-1 JO43": the place's grid first of
// the grids (or "IP72+IP73", or "here"), a day, hours in the
// place's local time, birds, and grids wanted. Its errors are sentences for the
// operator.
func readOuting(text string, s *sky.Sky, op storage.Operator, now time.Time) (storage.Outing, error) {
	r := outingReader{from: op.Remind.From * 60, to: op.Remind.Until * 60}
	today := dayOf(now, shown.Zone(op.Place))
	text = lineOfGrids.ReplaceAllString(text, "+")
	for _, word := range strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' || c == '\n' }) {
		if !r.take(word, s, today) {
			return storage.Outing{}, tx.Sayable(say.BadOuting(word))
		}
	}
	if len(r.grids) == 0 && !r.here {
		return storage.Outing{}, tx.Sayable(say.OutingWhere)
	}
	if err := r.settleDay(today); err != nil {
		return storage.Outing{}, err
	}
	o := storage.Outing{Place: op.Place, Birds: r.birds, Wanted: r.wanted}
	if !r.here {
		o.Place = placeOf(r.grids)
	}
	if len(o.Wanted) == 0 {
		o.Wanted = op.Wanted
	}
	o.From, o.Until = r.span(shown.Zone(o.Place))
	if !o.Until.After(now) || o.From.Sub(now) > outingAhead {
		return storage.Outing{}, tx.Sayable(say.OutingRange(shown.Outing(o), int(outingAhead/tx.Day)))
	}
	return o, nil
}

// placeOf is the place that grids name.
func placeOf(grids []parse.Grid) storage.Place {
	site := say.Meeting(grids)
	name, _ := zone.At(site.LatDeg, site.LonDeg)
	return storage.Place{Grids: grids, LatDeg: site.LatDeg, LonDeg: site.LonDeg, Zone: name}
}

// take reads one word and reports whether it means something.
func (r *outingReader) take(word string, s *sky.Sky, today time.Time) bool {
	lower := strings.ToLower(word)
	if lower == wordHere {
		r.here = true
		return true
	}
	return r.takeDay(lower, today) || r.takeSpan(lower) || r.takeGrids(word) || r.takeBird(word, s)
}

func (r *outingReader) takeGrids(word string) bool {
	var grids []parse.Grid
	for part := range strings.FieldsFuncSeq(word, func(r rune) bool { return r == '/' || r == '+' }) {
		g, err := tx.GridIn(part)
		if err != nil {
			return false
		}
		grids = append(grids, g)
	}
	if len(r.grids) == 0 && !r.here {
		r.grids = grids
		return parse.CheckGrids(grids) == nil
	}
	for _, g := range grids {
		if g = g.Square(); !slices.Contains(r.wanted, g) && len(r.wanted) < MostWanted {
			r.wanted = append(r.wanted, g)
		}
	}
	return true
}

func (r *outingReader) takeBird(word string, s *sky.Sky) bool {
	bird, ok := s.Bird(word)
	if ok && !slices.Contains(r.birds, bird.Name) {
		r.birds = append(r.birds, bird.Name)
	}
	return ok
}

func (r *outingReader) takeSpan(word string) bool {
	m := spanForm.FindStringSubmatch(word)
	if m == nil {
		return false
	}
	minutes := func(hour, minute string) int {
		h, _ := strconv.Atoi(hour) // digits, as matched
		n, _ := strconv.Atoi(minute)
		return h*60 + n
	}
	r.from, r.to = minutes(m[1], m[2]), minutes(m[3], m[4])
	return r.from < 24*60 && r.to <= 24*60
}

func (r *outingReader) takeDay(word string, today time.Time) bool {
	if date, err := time.Parse(time.DateOnly, word); err == nil {
		r.day = date
		return true
	}
	if n, err := strconv.Atoi(strings.TrimSuffix(word, ".")); err == nil && n >= 1 && n <= 31 && r.dayNumber == 0 {
		r.dayNumber = n
		return true
	}
	switch word {
	case "today":
		r.day = today
		return true
	case "tomorrow":
		r.day = today.AddDate(0, 0, 1)
		return true
	}
	if len(word) < 3 {
		return false
	}
	for d := range 7 {
		if date := today.AddDate(0, 0, d); strings.HasPrefix(strings.ToLower(date.Weekday().String()), word) {
			r.day = date
			return true
		}
	}
	for m := time.January; m <= time.December; m++ {
		if strings.HasPrefix(strings.ToLower(m.String()), word) {
			r.month = m
			return true
		}
	}
	return false
}

// settleDay makes a date of a number and a month: the next such day.
func (r *outingReader) settleDay(today time.Time) error {
	if r.dayNumber != 0 && r.month != 0 {
		r.day = time.Date(today.Year(), r.month, r.dayNumber, 0, 0, 0, 0, time.UTC)
		if r.day.Before(today) {
			r.day = time.Date(today.Year()+1, r.month, r.dayNumber, 0, 0, 0, 0, time.UTC)
		}
	}
	if r.day.IsZero() || r.dayNumber != 0 && r.day.Day() != r.dayNumber {
		return tx.Sayable(say.OutingWhen)
	}
	return nil
}

// span is from when to when, in the zone of the place; hours that end before
// they begin go over midnight.
func (r *outingReader) span(loc *time.Location) (from, to time.Time) {
	y, m, d := r.day.Date()
	last := d
	if r.to <= r.from {
		last++
	}
	return time.Date(y, m, d, 0, r.from, 0, 0, loc).UTC(), time.Date(y, m, last, 0, r.to, 0, 0, loc).UTC()
}
