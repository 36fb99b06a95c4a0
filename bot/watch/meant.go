package watch

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// A meant is a pass as it is asked for: by its bird, a day, and a moment of it, each
// of which may lack.
type meant struct {
	bird string
	// clock is the time of day in a zone, said the words for both. A local time is that
	// of the place from where the pass is seen, on its day.
	clock parse.Clock
	zone  idiom.Zone
	zoned bool // the zone was said
	said  string
	// from and to bound the day that was said, zero if none was; before is that of its name
	// before it, zero if there is none.
	from, to, before time.Time
	part             [2]int // the hours of the part of the day that was said, none: all of it
}

// noon is the middle of the day that was said, zero if none was.
func (m meant) noon() time.Time {
	if m.to.IsZero() {
		return time.Time{}
	}
	return m.from.Add(tx.Day / 2)
}

// passWords takes the words that say which pass is meant, as a message of some moment
// says them, and returns the others. A clock is UTC unless its zone stands behind it.
func (p Planner) passWords(text string, at time.Time) (m meant, rest []string) {
	words := strings.Fields(text)
	for len(words) > 0 {
		n := p.takePass(&m, words, at)
		if n == 0 {
			rest = append(rest, words[0])
			n = 1
		}
		words = words[n:]
	}
	return m, rest
}

// takePass takes what words begin with: a day, a clock or a bird, and what leads to it. It
// returns how many words that is.
func (p Planner) takePass(m *meant, words []string, at time.Time) int {
	if idiom.Leads(words[0]) && len(words) > 1 {
		if n := p.takePass(m, words[1:], at); n > 0 {
			return n + 1
		}
		return 0
	}
	if n := p.takeDay(m, words, at); n > 0 {
		return n
	}
	if m.bird == "" {
		for n := min(len(words), 3); n > 0; n-- {
			if bird, known := p.Sky.Bird(strings.Join(words[:n], " ")); known {
				m.bird = bird.Name
				return n
			}
		}
	}
	return m.takeClock(words)
}

var clockForm = regexp.MustCompile(`^(?:([01]?\d|2[0-3]):|([01]\d|2[0-3]))([0-5]\d)([^\d:.].*)?$`)

// takeClock takes the time of day that words begin with, and its zone, which may be
// glued to it.
func (m *meant) takeClock(words []string) int {
	is := clockForm.FindStringSubmatch(words[0])
	if m.clock.IsSet() || is == nil {
		return 0
	}
	behind := words[1:]
	if is[4] != "" {
		behind = []string{is[4]}
	}
	zone, n := idiom.ZoneIn(behind)
	m.zoned = n > 0
	switch {
	case is[4] == "":
		n++
	case n == 0:
		return 0 // no time
	}
	hour, _ := strconv.Atoi(is[1] + is[2]) // digits, as matched
	minute, _ := strconv.Atoi(is[3])
	m.clock, m.zone, m.said = parse.MakeClock(hour, minute), zone, strings.Join(words[:n], " ")
	return n
}

// takeDay takes a day that words begin with, of the zone where the operator is then or,
// as a plain date, of UTC.
func (p Planner) takeDay(m *meant, words []string, at time.Time) int {
	if !m.to.IsZero() {
		return 0
	}
	day, n := idiom.DayIn(words, at.In(p.Local()))
	if n == 0 {
		return 0
	}
	loc := p.zoneOn(day.Next)
	if idiom.ISODate.MatchString(words[n-1]) {
		loc = time.UTC
	}
	m.before = day.Before
	if n < len(words) && hoursOf[words[n]] != ([2]int{}) {
		m.part = hoursOf[words[n]]
		m.said = cmp.Or(m.said, strconv.Itoa(m.part[0])+"–"+strconv.Itoa(m.part[1])+" h local")
		n++
	}
	m.bound(day.Next, loc)
	return n
}

// hoursOf are the local hours of the parts of a day. Common use, no source.
var hoursOf = map[string][2]int{"morning": {5, 12}, "noon": {11, 14}, "afternoon": {12, 24}, "evening": {17, 24}}

// bound makes a date of a zone the day that was said, or the part of it.
func (m *meant) bound(date time.Time, loc *time.Location) {
	m.from, m.to = choice.Midnight(date, 0, loc), choice.Midnight(date, 1, loc)
	if m.part[1] > 0 {
		y, month, d := date.Date()
		hour := func(h int) time.Time { return time.Date(y, month, d, h, 0, 0, 0, loc).UTC() }
		m.from, m.to = hour(m.part[0]), hour(m.part[1])
	}
}

// zoneOn is the zone of the place where the operator is on a date: that of an armed
// outing, or else of the place set.
func (p Planner) zoneOn(date time.Time) *time.Location {
	for _, o := range p.Op.Outings {
		loc := shown.Zone(o.Place)
		if !o.Armed.IsZero() && choice.Midnight(date, 1, loc).After(o.From) && choice.Midnight(date, 0, loc).Before(o.Until) {
			return loc
		}
	}
	return p.Local()
}

// passesOf are the passes that could be meant: those planned or, for a day further
// ahead, those worked out for it, which stay only if something is arranged for one.
func (p Planner) passesOf(m meant) []storage.Pass {
	all := p.Ahead()
	if !m.to.IsZero() {
		all = p.PassesIn(m.from, m.to)
	}
	since := timing.Later(m.from, p.Op.Planned)
	for _, bird := range p.Sky.Birds() {
		if !since.Before(m.to) {
			break
		}
		found, err := p.WorkedOut(bird, since, m.to)
		if err != nil || m.bird != "" && bird.Name != m.bird || m.bird == "" && !p.Sky.Follows(p.Op.Remind, bird) {
			continue
		}
		for _, pass := range found {
			if !slices.ContainsFunc(all, pass.Is) {
				all = append(all, pass)
			}
		}
	}
	slices.SortStableFunc(all, choice.ByAOS)
	return lists.Filter(all, func(pass storage.Pass) bool {
		_, fits := m.fits(pass)
		return fits && pass.LOS.After(p.Now())
	})
}

// PassesBehind are the passes that words name, those with contacts or else those followed:
// by bird, day and clock, of the last day where they say none, or else, of a bird, of the last
// day on which it was worked. A day that is still to come means the one before. ok is false
// where the words say something else.
func (p Planner) PassesBehind(text string) (passes []storage.Pass, ok bool) {
	m, ok := p.meantBehind(text)
	if !ok {
		return nil, false
	}
	from, to := m.from, m.to
	if to.IsZero() {
		from, to = p.Event.At.Add(-tx.Day), p.Event.At
	}
	fits := func(pass storage.Pass) bool { _, fits := m.fits(pass); return fits }
	all := lists.Filter(p.StoredIn(from, to), fits)
	worked := lists.Filter(all, p.WorkedOn)
	if m.bird != "" && m.to.IsZero() && len(worked) == 0 {
		worked = p.lastWorked(lists.Filter(p.StoredIn(time.Time{}, from), fits))
	}
	if len(worked) > 0 {
		return worked, true
	}
	return lists.Filter(all, storage.Pass.Followed), true
}

// lastWorked are those of some passes, in order, that were worked on the last day on which one was.
func (p Planner) lastWorked(passes []storage.Pass) (worked []storage.Pass) {
	for _, pass := range slices.Backward(passes) {
		if len(worked) > 0 && worked[0].AOS.Sub(pass.AOS) > tx.Day {
			break
		}
		if p.WorkedOn(pass) {
			worked = append(worked, pass)
		}
	}
	slices.Reverse(worked)
	return worked
}

// DayBehind is the last day that words name, and nothing else, from one moment to another.
func (p Planner) DayBehind(text string) (from, to time.Time, ok bool) {
	m, ok := p.meantBehind(text)
	return m.from, m.to, ok && m.bird == "" && !m.clock.IsSet()
}

// meantBehind is what words that name a pass, or a day, of the past say; false if they say
// something else.
func (p Planner) meantBehind(text string) (m meant, ok bool) {
	now := p.Event.At
	weekday := strings.ToLower(now.In(p.Local()).AddDate(0, 0, -1).Weekday().String())
	m, rest := p.passWords(strings.ReplaceAll(strings.ToLower(text), "yesterday", weekday), now)
	if len(rest) > 0 || m == (meant{}) {
		return m, false
	}
	if m.from.After(now) && !m.before.IsZero() {
		m.bound(m.before, p.zoneOn(m.before))
	}
	return m, true
}

// fits reports whether a pass is one that is meant, and at which moment of it, zero
// if none was said.
func (m meant) fits(pass storage.Pass) (at time.Time, ok bool) {
	if m.clock.IsSet() {
		at = m.nearest(pass)
		if !timing.Fits(pass, at) {
			return at, false
		}
	}
	moment := timing.Later(at, pass.TCA)
	onDay := m.to.IsZero() || !moment.Before(m.from) && moment.Before(m.to)
	return at, onDay && (m.bird == "" || pass.Bird.Name == m.bird)
}

// nearest is the moment nearest to a pass that the time said stands for.
func (m meant) nearest(pass storage.Pass) time.Time {
	loc := time.FixedZone("", int(m.zone.Ahead/time.Second))
	if m.zone.Local {
		loc = shown.Zone(pass.Place)
	}
	return timing.NearestIn(m.clock, loc, pass.TCA)
}

// meantBy are the words of a question that say which pass is meant; others are told
// to be no bird's.
func (p Answerer) meantBy(text string) (meant, bool) {
	m, rest := p.passWords(text, p.Event.At)
	if m.zone.Unclear {
		p.Say(say.UnclearZone(m.said))
		return m, false
	}
	if len(rest) > 0 {
		p.Say(say.UnknownBird(strings.Join(rest, " "), p.Sky.ProperNames()))
		return m, false
	}
	if p.Ready() && len(p.Ahead()) == 0 {
		p.Replan()
	}
	return m, true
}

// passAsked finds the pass that a question about one is about, and says so where there
// is none. Words name it by bird, day and clock, else it is the likeliest. Only birds that
// suit count.
func (p Answerer) passAsked(text string, suits func(predict.Bird) bool, none string) (storage.Pass, say.Pass, bool) {
	m, ok := p.meantBy(text)
	if !ok {
		return storage.Pass{}, say.Pass{}, false
	}
	suiting := func(m meant) []storage.Pass {
		return lists.Filter(p.passesOf(m), func(pass storage.Pass) bool {
			b, ok := p.Sky.ByCatalog(pass.Bird.Catalog)
			return ok && suits(b)
		})
	}
	for _, passes := range m.readings(suiting, p.Now()) {
		if pass, view, ok := p.first(passes, p.likely(m)...); ok {
			return pass, view, true
		}
	}
	if near := p.nearest(m, suiting); near.ID != "" {
		p.sayOf(near, say.NoPassThen(shown.Planned(near)))
	} else {
		p.noPass(m, none)
	}
	return storage.Pass{}, say.Pass{}, false
}

// readings are the passes that could be meant, the likeliest first. A time names the pass
// that rises then, at best within a day, or else one that is up then; it is of UTC, or where
// no zone was said and only that fits of the place, by the moment at which a pass rises.
func (m meant) readings(of func(meant) []storage.Pass, now time.Time) [][]storage.Pass {
	if !m.clock.IsSet() {
		return [][]storage.Pass{of(m)}
	}
	soon := func(pass storage.Pass) bool { return pass.AOS.Before(now.Add(tx.Day)) }
	rising := func(m meant, passes []storage.Pass, slack time.Duration) []storage.Pass {
		return lists.Filter(passes, func(pass storage.Pass) bool { return m.nearest(pass).Sub(timing.RiseMinute(pass)).Abs() <= slack })
	}
	passes := of(m)
	near := lists.Filter(passes, soon)
	all := [][]storage.Pass{rising(m, near, 0), rising(m, near, time.Minute), near}
	if !m.zoned {
		m.zone.Local = true
		near = lists.Filter(of(m), soon)
		all = append(all, rising(m, near, 0), rising(m, near, time.Minute))
		m.zone.Local = false
	}
	return append(all, rising(m, passes, time.Minute), passes)
}

// likely are the passes that a question may be about, the likeliest first. A question
// that answers a post about a pass is about that. Else it is the pass chosen; one that is
// up, at best followed; one that rises soon and would be listed; the next one followed,
// the next one listed, any. Of a bird named alone it is the one up, or the next that is
// followed or doesn't graze, or any.
func (p Answerer) likely(m meant) []func(storage.Pass) bool {
	now := p.Now()
	up := func(pass storage.Pass) bool { return pass.Up(now) }
	soon := func(pass storage.Pass) bool { return pass.AOS.Sub(now) <= filing.LookAhead }
	if m.bird != "" {
		return []func(storage.Pass) bool{up, choice.Worthwhile, anyPass}
	}
	rest := []func(storage.Pass) bool{
		func(pass storage.Pass) bool { return pass.Followed() && up(pass) },
		func(pass storage.Pass) bool { return up(pass) && p.atHand(pass) },
		func(pass storage.Pass) bool { return soon(pass) && p.offered(pass) },
		storage.Pass.Followed,
		p.listed,
		choice.Worthwhile,
		anyPass,
	}
	if m.clock.IsSet() || !m.to.IsZero() {
		return rest
	}
	post, _ := p.RepliedPost()
	return append([]func(storage.Pass) bool{
		func(pass storage.Pass) bool { return pass.Named(post.Pass) },
		func(pass storage.Pass) bool { return pass.ID == p.Op.Chosen && soon(pass) },
	}, rest...)
}

// nearest is the pass nearest to a moment that was said and that no pass has, on the
// day that was said if there is one; none where no moment was said.
func (p Answerer) nearest(m meant, of func(meant) []storage.Pass) (near storage.Pass) {
	if !m.clock.IsSet() {
		return near
	}
	at := timing.Nearest(m.clock, timing.Later(m.noon(), p.Event.At))
	m.clock = parse.Clock{}
	for _, pass := range slices.Concat(of(m), of(meant{bird: m.bird})) {
		if p.canTell(pass) && (near.ID == "" || pass.TCA.Sub(at).Abs() < near.TCA.Sub(at).Abs()) {
			near = pass
		}
	}
	return near
}

// noPass says that there is no pass as it was asked for, or why there can be none: the
// bird that is named, or none that is followed, can be predicted.
func (p Planner) noPass(m meant, none string) {
	why := ""
	if bird, named := p.Sky.Bird(m.bird); named {
		why = p.refusals([]predict.Bird{bird})
	} else if len(p.Ahead()) == 0 {
		why = p.Refusals()
	}
	if why == "" {
		p.Say(none)
		return
	}
	p.Say(why, p.AddButtons()...)
}

// atHand reports whether a pass that is up may be what a question is about: it would be
// listed, or contacts stand on it.
func (p Answerer) atHand(pass storage.Pass) bool { return p.listed(pass) || p.WorkedOn(pass) }

// offered reports whether a pass is worth a line and was not skipped by hand.
func (p Answerer) offered(pass storage.Pass) bool {
	return p.listed(pass) && pass.Arm != storage.ArmSkipped
}

func anyPass(storage.Pass) bool { return true }

func anyBird(predict.Bird) bool { return true }

func isLinear(b predict.Bird) bool { return b.Main().Kind == predict.Linear }
