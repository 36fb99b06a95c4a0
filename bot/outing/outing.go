// Package outing reads what operators write of a day in the field that they prepare: where,
// when, with which birds, how high, for which grids. Its days it reads for others too.
package outing

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// Ahead is how far ahead an outing may be: elements serve no longer.
const Ahead = 28 * tx.Day

// MostWanted is how many squares are looked out for.
const MostWanted = 12

// spanForm are hours in a word. Those that words part, "from 9 till 13" or "9 am - 1 pm",
// are brought to it.
var spanForm = regexp.MustCompile(`^(\d{1,2})(?::([0-5]\d))?(am|pm)?h?[-–](\d{1,2})(?::([0-5]\d))?(am|pm)?h?$`)

// Words of an outing. The grids behind wordWanted are looked out for, the number
// behind wordAbove is the lowest peak, and wordAnd joins grids to one place, as a
// plus and a slash do. All others say nothing that the grids don't.
const (
	wordHere   = "here" // the place set
	wordWanted = "wanted"
	wordAbove  = "above"
	wordAnd    = "and"
	wordLine   = "line"
	wordCorner = "corner"
)

var (
	joins       = strings.NewReplacer("+", " and ", "/", " and ", "&", " and ")
	fillerWords = []string{"on", "the", "of", "at", "in", "between", "from", "grid", "grids", "peak", "all", "day"}
)

// A reader gathers what the words of an outing say, in any order.
type reader struct {
	grids    []parse.Grid // those that stand together first: the place, and what is wanted behind it
	place    int          // how many of them are the place for certain
	closed   bool         // other words came after them
	joined   bool         // the next grid is of the place, too
	wanted   []parse.Grid
	wants    bool
	birds    []string
	here     bool
	above    bool    // a lowest peak comes
	peakDeg  float64 // 0: none said
	day      idiom.Day
	from, to int  // minutes of the local day
	begins   bool // it is said from when on, ends until when
	ends     bool
	twice    string // what was said where another of its kind was before
}

// Read reads "IP73 29 May 9-15 WICKET-1 above 20 wanted JO43": the place's grid
// first of the grids (or "here"), a day, hours in the place's local time, birds, the
// lowest peak and grids wanted. Two or four grids that stand together and meet are the
// line or the corner where the place is, "JO62 and JO72" too; other grids are wanted.
// Its errors are sentences for the operator.
func Read(text string, s *sky.Sky, op storage.Operator, now time.Time) (storage.Outing, error) {
	r := reader{from: op.Remind.From * 60, to: op.Remind.Until * 60}
	today := idiom.DateAt(now.In(shown.Zone(op.Place)))
	left := strings.FieldsFunc(joins.Replace(inOpen(hours.ReplaceAllString(inHalves(text), "$1$2-$3$4 "))), func(c rune) bool { return c == ' ' || c == ',' || c == '\n' })
	for len(left) > 0 {
		n := r.take(left, s, today)
		if n == 0 {
			return storage.Outing{}, tx.Sayable(say.BadOuting(left[0]))
		}
		left = left[n:]
	}
	if r.twice != "" {
		return storage.Outing{}, tx.Sayable(say.OutingTwice(r.twice))
	}
	if r.above || r.peakDeg < 0 || r.peakDeg >= 90 {
		return storage.Outing{}, tx.Sayable(say.OutingAbove)
	}
	o := storage.Outing{Place: op.Place, Birds: r.birds, PeakDeg: r.peakDeg}
	if err := r.settlePlace(&o); err != nil {
		return storage.Outing{}, err
	}
	if !r.day.Settle(today) {
		return storage.Outing{}, tx.Sayable(say.OutingWhen)
	}
	if part := r.day.Part; part != (idiom.Part{}) && !r.begins && !r.ends {
		r.from, r.to = part.Begins*60, part.Ends*60
	}
	// What the operator follows and looks out for now; that may change later on.
	if len(o.Birds) == 0 {
		o.Birds = s.Followed(op.Remind)
	}
	if o.Wanted = r.wanted; len(o.Wanted) == 0 {
		o.Wanted = op.Wanted
	}
	if o.From, o.Until = r.span(shown.Zone(o.Place)); r.day.OfWeek && !o.Until.After(now) {
		r.day.Date = r.day.Date.AddDate(0, 0, 7) // "sunday", on a Sunday evening
		o.From, o.Until = r.span(shown.Zone(o.Place))
	}
	if !o.Until.After(now) || o.From.Sub(now) > Ahead {
		return storage.Outing{}, tx.Sayable(say.OutingRange(shown.Outing(o), int(Ahead/tx.Day)))
	}
	return o, nil
}

// settlePlace says which of the grids that stand together are the place: those that
// were joined to it, else as many as meet.
func (r *reader) settlePlace(o *storage.Outing) error {
	switch {
	case r.here:
		r.place = 0
	case len(r.grids) == 0:
		return tx.Sayable(say.OutingWhere)
	default:
		meet := slices.IndexFunc([]int{4, 2}, func(n int) bool { return n <= len(r.grids) && parse.CheckGrids(r.grids[:n]) == nil })
		if r.place < 2 && meet >= 0 {
			r.place = []int{4, 2}[meet]
		}
		r.place = min(max(r.place, 1), len(r.grids))
		if err := parse.CheckGrids(r.grids[:r.place]); err != nil {
			return tx.Sayable(say.BadGrids(phrase.Grids(r.grids[:r.place]), err, ""))
		}
		site := say.Meeting(r.grids[:r.place])
		o.Place = storage.Place{Grids: r.grids[:r.place], LatDeg: site.LatDeg, LonDeg: site.LonDeg}
		o.Place.Zone = shown.ZoneName(o.Place)
	}
	r.want(r.grids[r.place:]...)
	return nil
}

// take reads what words begin with and returns how many of them mean something.
func (r *reader) take(words []string, s *sky.Sky, today time.Time) int {
	word := words[0]
	lower := strings.ToLower(word)
	if r.above || strings.HasSuffix(word, "°") {
		r.takePeak(lower)
		return 1
	}
	if g, err := tx.GridIn(word); err == nil {
		r.takeGrid(g)
		return 1
	}
	switch {
	case lower == wordHere:
		r.here = true
	case lower == wordWanted:
		r.wants = true
	case lower == wordAbove:
		r.above = true
	case lower == wordAnd:
		r.joined = len(r.grids) > 0 && !r.closed
	case lower == wordLine:
		r.place = max(r.place, 2)
	case lower == wordCorner:
		r.place = 4
	case slices.Contains(fillerWords, lower), idiom.Leads(lower):
	default:
		r.closed = len(r.grids) > 0
		if n := r.takeDay(words, today); n > 0 {
			return n
		}
		if !r.takeSpan(lower) && !r.takeBird(word, s) {
			return 0
		}
	}
	return 1
}

// takeDay reads what words say of the day; that of another one, or another part of it, is
// told twice.
func (r *reader) takeDay(words []string, today time.Time) (n int) {
	before := r.day
	n = r.day.TakeIn(words, today)
	if n > 0 && (!before.Date.IsZero() && !r.day.Date.Equal(before.Date) || before.Part != (idiom.Part{}) && r.day.Part != before.Part) {
		r.twice = words[0]
	}
	return n
}

// takePeak reads the lowest peak of "above 20" or "20°"; what is none is refused in
// the end.
func (r *reader) takePeak(word string) {
	deg, err := strconv.Atoi(strings.TrimSuffix(word, "°"))
	r.above, r.peakDeg = err != nil, float64(deg)
}

func (r *reader) takeGrid(g parse.Grid) {
	if r.wants || r.here || r.closed {
		r.want(g)
		return
	}
	r.grids = append(r.grids, g)
	if r.joined {
		r.place = max(r.place, len(r.grids))
	}
	r.joined = false
}

func (r *reader) want(grids ...parse.Grid) {
	for _, g := range grids {
		if g = g.Square(); !slices.Contains(r.wanted, g) && len(r.wanted) < MostWanted {
			r.wanted = append(r.wanted, g)
		}
	}
}

func (r *reader) takeBird(word string, s *sky.Sky) bool {
	bird, ok := s.Bird(word)
	if ok && !slices.Contains(r.birds, bird.Name) {
		r.birds = append(r.birds, bird.Name)
	}
	return ok
}

// takeSpan reads hours, or where they begin or end alone, "14-" and "-12": those that are
// told of neither are the ones with reminders.
func (r *reader) takeSpan(word string) bool {
	if isOpen(word) {
		m := openForm.FindStringSubmatch(word)
		e := endIn(m[2], m[3], m[4])
		begins := m[1] == ""
		if begins && r.begins || !begins && r.ends {
			r.twice = word
		}
		if begins {
			r.from, r.begins = e.minutes, true
		} else {
			r.to, r.ends = e.minutes, true
		}
		if !r.ends && r.to <= r.from {
			r.to = wholeDay
		} else if !r.begins && r.from >= r.to {
			r.from = 0
		}
		return e.minutes <= wholeDay
	}
	m := spanForm.FindStringSubmatch(word)
	if m == nil {
		return false
	}
	if r.begins || r.ends {
		r.twice = word
	}
	r.begins, r.ends = true, true
	from, to := endIn(m[1], m[2], m[3]), endIn(m[4], m[5], m[6])
	r.from, r.to = spanned(from, to)
	return from.minutes < wholeDay && to.minutes <= wholeDay
}

// An end is where hours that are told begin or end.
type end struct {
	minutes int    // of the day, as written; with half, of that
	half    string // "am", "pm" or none
	// open: it may also be of the other half, by the hand of a clock.
	open   bool
	padded bool // "02": of the clock of 24 hours
}

// endIn reads an end of digits, as matched.
func endIn(hour, minute, half string) end {
	h, _ := strconv.Atoi(hour)
	n, _ := strconv.Atoi(minute)
	e := end{half: half, open: half == "" && h >= 1 && h <= 12, padded: strings.HasPrefix(hour, "0")}
	if half != "" && h <= 12 {
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	e.minutes = h*60 + n
	return e
}

// Minutes of a day, of the time in which the hand of a clock goes round, and of the hours
// between which nobody goes out for a span alone who says no half.
const (
	wholeDay = 24 * 60
	halfDay  = wholeDay / 2
	earliest = 5 * 60
	morning  = 8 * 60
)

// spanned says from when to when hours go. An end that says no half of the day has the one
// that makes the span shortest, "2-6pm" and "10am-2". Where neither end says one and both may
// be by the hand of a clock, they begin by day, "10-2" and "2-6", unless
// they last into it, "2:30-9". Common practice, no source.
func spanned(from, to end) (begin, until int) {
	begin, until = from.minutes, to.minutes
	told := from.half != "" || to.half != ""
	if !told && !(from.open && to.open) {
		return begin, until
	}
	if from.open && !told && !from.padded {
		if begin %= halfDay; begin < earliest && until <= morning {
			begin += halfDay
		}
	}
	length := func(begin, until int) int { return (until-begin+wholeDay-1)%wholeDay + 1 }
	if other := (until + halfDay) % wholeDay; to.open && length(begin, other) < length(begin, until) {
		until = other
	}
	if other := (begin + halfDay) % wholeDay; told && from.open && length(other, until) < length(begin, until) {
		begin = other
	}
	return begin, until
}

// span is from when to when, in the zone of the place; hours that end before
// they begin go over midnight, but "9 to 1" is of a morning.
func (r *reader) span(loc *time.Location) (from, to time.Time) {
	y, m, d := r.day.Date.Date()
	last := d
	if r.to <= r.from {
		last++
	}
	return time.Date(y, m, d, 0, r.from, 0, 0, loc).UTC(), time.Date(y, m, last, 0, r.to, 0, 0, loc).UTC()
}
