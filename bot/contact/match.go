package contact

import (
	"cmp"
	"slices"
	"time"

	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Match says which pass a line belongs to. Without a pass the bird may still be
// known; with rivals more than one pass could be meant, and it is asked.
type Match struct {
	Pass   storage.Pass
	Bird   predict.Bird
	Rivals []storage.Pass
	Reason Reason
	// Named says that the bird was named in so many words.
	Named bool
	// Late says that the message's stamp says nothing of when the contact was made.
	Late bool
	// Part is after how many lines that name its bird alone the line stands.
	Part int
	// Earlier is a pass that went by in silence, which a line for the one that is
	// up may mean after all.
	Earlier storage.PassID
	offered []storage.Pass // what was asked, if it was answered
}

// Reason is the row of the table in the package comment that decided a match.
type Reason string

// The rows of the table.
const (
	ByName     Reason = "named"      // 1: a bird named on the line, or alone above it
	ByNotUp    Reason = "not up"     // 1: the bird that is named had no pass
	ByBird     Reason = "bird"       // 1: a bird whose passes can't be worked out
	ByHold     Reason = "held"       // 1: a name sent alone, or a tap, until that pass has set
	ByTime     Reason = "time"       // 2: a typed time: what was up then
	ByReply    Reason = "reply"      // 3: the pass of what is replied to
	BySlate    Reason = "slate"      // 3: the recording that an offset counts in
	ByUp       Reason = "up"         // 4: the one bird that is up
	ByTwoUp    Reason = "two up"     // 4: asked
	BySlack    Reason = "slack"      // 4: just before AOS or after LOS, nothing else up
	ByDelivery Reason = "delivery"   // 5: held back by the phone: asked for all of it
	ByAnswer   Reason = "answer"     // 5: the answer to that
	ByPull     Reason = "neighbour"  // 5: a time beside a contact next to it
	ByRest     Reason = "rest"       // 5: every other pass of the silence has its lines
	BySilence  Reason = "silence"    // 5: nothing up: what went by since the phone was heard
	ByBefore   Reason = "line above" // 5: nothing since: what was written down before
	ByLast     Reason = "last"       // 5: the last pass worked or followed
	ByNothing  Reason = "nothing"    // no pass far and wide
)

// under matches one pass.
func (f *Facts) under(pass storage.Pass, why Reason) Match {
	bird, _ := f.Catalogued(pass.Bird.Catalog)
	return Match{Pass: pass, Bird: bird, Reason: why}
}

// amid matches the only one of several passes, or asks.
func (f *Facts) amid(passes []storage.Pass, why Reason) Match {
	if len(passes) == 1 {
		return f.under(passes[0], why)
	}
	return Match{Rivals: passes, Reason: why}
}

// chosen is an answer to a match, with what the line said itself.
func (m Match) chosen(answer Match) Match {
	answer.Named, answer.Part, answer.offered = m.Named, m.Part, m.Rivals
	return answer
}

func late(m Match) Match { m.Late = true; return m }

// A finder says which pass a line belongs to: by what the line says, the moment,
// and what was told before it.
type finder struct {
	*Facts
	*correspondence
	past  standing
	lives map[moment]Match
	hold  *hold
	last  *line // the last one with a pass
}

func newFinder(f *Facts, t *correspondence, p standing) finder {
	return finder{Facts: f, correspondence: t, past: p, lives: map[moment]Match{}}
}

// A standing is what came of the lines so far.
type standing interface {
	// workedOn reports whether anything stands under a pass.
	workedOn(storage.PassID) bool
	// turned is how often a pass got its first contact, or lost its last.
	turned() int
	// passOf is the pass of the contacts that an answer is about.
	passOf(*storage.Answered) storage.PassID
	// toldLast is the slate that was told last; nil: none was.
	toldLast() *toldSlate
}

// match is the one decision which pass a line belongs to, by the table in the
// package comment; clock is the time told with the contact. What is asked is
// answered by the last answer that was offered.
func (f *finder) match(l *line, clock parse.Clock) Match {
	m := f.orUp(f.decide(l, clock), l, clock)
	v := l.message.delivery
	if v.inOrder && len(m.Rivals) > 1 && m.Part >= 1 && m.Part <= len(m.Rivals) {
		return late(m.chosen(f.under(m.Rivals[m.Part-1], ByAnswer)))
	}
	for _, id := range v.answers {
		offered := holds(m.Rivals, id) || m.Earlier == id || m.Reason == ByNothing
		if pass, ok := f.Pass(id); ok && offered {
			answered := m.chosen(f.under(pass, ByAnswer))
			answered.Late = m.Late || !pass.LOS.After(l.at())
			return answered
		}
	}
	return m
}

// orUp lets a line that gives no time, under a bird that is still to rise, mean one
// that is up as well: which one is asked.
func (f *finder) orUp(m Match, l *line, clock parse.Clock) Match {
	at := l.at()
	if m.Pass.ID == "" || m.Late || clock.IsSet() || l.alone || !at.Before(m.Pass.AOS.Add(-timing.ClockSlack)) {
		return m
	}
	if up := f.up(at); len(up) > 0 {
		return Match{Rivals: append(up, m.Pass), Reason: ByTwoUp, Named: m.Named}
	}
	return m
}

func (f *finder) decide(l *line, clock parse.Clock) Match {
	if m, ok := f.ofSlate(l); ok {
		return m
	}
	if l.bird != nil {
		return f.ofBird(l, clock)
	}
	context := f.replied(l)
	if held, ok := f.heldPass(l); ok && context.Reason == "" {
		context = held
	}
	if clock.IsSet() {
		if m, ok := f.byClock(l, clock, context); ok {
			return m
		}
	}
	if context.Reason != "" {
		return context
	}
	if l.message.delivery.held {
		return f.ofDelivery(l)
	}
	return f.live(l)
}

// live matches what the phone sent at once.
func (f *finder) live(l *line) Match {
	now := moment{delivery: l.message.delivery, at: l.at(), turns: f.past.turned()}
	if f.last != nil {
		now.before, now.since = f.last.match.Pass.ID, f.last.at()
	}
	m, known := f.lives[now]
	if !known {
		m = f.liveAt(l)
		f.lives[now] = m
	}
	return m
}

// A moment is all that matching what was sent at once depends on.
type moment struct {
	delivery  *delivery
	at, since time.Time
	before    storage.PassID
	turns     int // of the past
}

func (f *finder) liveAt(l *line) Match {
	up := f.up(l.at())
	switch {
	case len(up) == 1 && f.lingers(up[0], l.at()):
		return Match{Rivals: []storage.Pass{f.last.match.Pass, up[0]}, Reason: ByTwoUp}
	case len(up) == 1:
		m := f.under(up[0], ByUp)
		m.Earlier = f.earlier(l, up[0])
		return m
	case len(up) > 1:
		return Match{Rivals: up, Reason: ByTwoUp}
	}
	return f.notUp(l)
}

// lingers reports whether a line under a bird that nobody follows, nor worked, may be of the
// pass that was worked and followed and has just set.
func (f *finder) lingers(up storage.Pass, at time.Time) bool {
	if f.last == nil || up.Followed() || f.past.workedOn(up.ID) {
		return false
	}
	worked := f.last.match.Pass
	return worked.ID != up.ID && worked.Followed() && f.past.workedOn(worked.ID) && !worked.LOS.After(at) && at.Sub(worked.LOS) <= Lingering
}

// up are the passes that a line sent at a moment can belong to because their
// bird is up. Of several the only one that is followed speaks for all: it is on
// the card.
func (f *finder) up(at time.Time) []storage.Pass {
	up := filter(f.Passes(at, at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Up(at) && (p.Followed() || f.Listed(p))
	})
	if followed := filter(up, storage.Pass.Followed); len(followed) == 1 {
		return followed
	}
	return up
}

// earlier is the last followed pass that went by, with nothing logged, since the
// phone was last heard.
func (f *finder) earlier(l *line, now storage.Pass) storage.PassID {
	v := l.message.delivery
	if v.silent.IsZero() {
		return ""
	}
	for _, p := range slices.Backward(f.Passes(timing.Later(v.silent, v.began.Add(-LookBack)), v.began)) {
		if p.ID != now.ID && p.Followed() && !p.AOS.Before(v.silent) && !f.past.workedOn(p.ID) {
			return p.ID
		}
	}
	return ""
}

// byClock matches the pass that was up at a typed time. A minute alone belongs to
// the pass at hand where it fits.
func (f *finder) byClock(l *line, clock parse.Clock, context Match) (Match, bool) {
	at := l.at()
	if context.Pass.ID == "" && !clock.HasHour() && !l.message.delivery.held {
		if m := f.live(l); m.Pass.ID != "" && timing.Within(clock, m.Pass) {
			return m, true
		}
	}
	when := timing.Latest(clock, at)
	all := filter(f.Passes(when.Add(-timing.ClockSlack), when.Add(time.Minute+timing.ClockSlack)), func(p storage.Pass) bool {
		return p.Followed() || f.Listed(p) || f.past.workedOn(p.ID)
	})
	up := filter(all, func(p storage.Pass) bool { return p.AOS.Before(when.Add(time.Minute)) && p.LOS.After(when) })
	if len(up) == 0 {
		up = all
	}
	if len(up) == 0 {
		return Match{}, false
	}
	one := func(fits func(storage.Pass) bool) bool {
		some := filter(up, fits)
		if len(some) == 1 {
			up = some
		}
		return len(some) == 1
	}
	_ = len(up) == 1 ||
		one(func(p storage.Pass) bool { return p.ID == context.Pass.ID }) ||
		one(func(p storage.Pass) bool { return holds(l.message.delivery.rivals, p.ID) }) ||
		one(storage.Pass.Followed) ||
		one(func(p storage.Pass) bool { return f.last != nil && p.ID == f.last.match.Pass.ID })
	m := f.amid(up, ByTime)
	if f.toCome(clock, l) {
		m = Match{Rivals: up, Reason: ByTime}
	}
	m.Late = !m.Pass.Up(at)
	return m, true
}

// toCome reports whether a typed time is rather that of today, still to come, than of
// yesterday: the pass is asked then, unless the phone was silent since.
func (f *finder) toCome(clock parse.Clock, l *line) bool {
	at, silent := l.at(), l.message.delivery.silent
	back := timing.Latest(clock, at)
	return clock.HasHour() && at.Sub(back) > day/2 && (silent.IsZero() || back.Before(silent))
}

// replied matches the pass of what the message answers.
func (f *finder) replied(l *line) Match {
	r := l.message.said.Reply
	if r == nil {
		return Match{}
	}
	if pass, ok := f.Pass(cmp.Or(r.Pass, f.past.passOf(r))); ok {
		return f.under(pass, ByReply)
	}
	return Match{}
}

// ofSlate matches the recording that the line's offset counts in: the one whose
// slate was told last.
func (f *finder) ofSlate(l *line) (Match, bool) {
	told := f.past.toldLast()
	if told == nil || l.theirs || !l.tells() || l.message.said.Reply != nil || l.look.Bird != "" {
		return Match{}, false
	}
	offset := l.look.Contacts[0].Offset
	pass, ok := f.Pass(told.of.Pass)
	if !ok || !offset.IsSet() || !timing.Fits(pass, told.slate.Add(offset.Duration())) {
		return Match{}, false
	}
	began := func(p storage.Pass) bool { return p.ID != pass.ID && p.Followed() && p.AOS.After(told.at) }
	since := f.Passes(told.at, l.at().Add(time.Second))
	if told.delivery != l.message.delivery && slices.ContainsFunc(since, began) {
		return Match{}, false // another pass is written down by now
	}
	m := f.under(pass, BySlate)
	m.Late = !pass.LOS.After(l.at())
	return m, true
}

// toldSlate is the slate of a recording, as it was told.
type toldSlate struct {
	of       storage.Recording
	slate    time.Time
	at       time.Time // when it was told
	delivery *delivery // what it came in; nil: a tap
}

// only is the match of the one pass that a slate can be of; where there are others,
// or none, the match stays.
func (f *Facts) only(fitting []storage.Pass, m Match) Match {
	if len(fitting) != 1 {
		return m
	}
	of := f.under(fitting[0], BySlate)
	of.Late, of.Named = m.Late, m.Named
	return of
}

// nearestOfBird matches the pass of a bird that is nearest to a moment, if one is as
// near as within.
func (f *Facts) nearestOfBird(catalog int, when time.Time, within time.Duration) (m Match, ok bool) {
	near := filter(f.Passes(when.Add(-within), when.Add(within)), func(p storage.Pass) bool {
		return p.Bird.Catalog == catalog
	})
	if len(near) == 0 {
		return Match{}, false
	}
	m = f.under(timing.Closest(near, when), ByName)
	m.Named = true
	return m, true
}

type groupKey struct {
	pass    storage.PassID
	catalog int // without a pass
}

func (m *Match) group() groupKey {
	if m.Pass.ID != "" {
		return groupKey{pass: m.Pass.ID}
	}
	return groupKey{catalog: m.Bird.Catalog}
}
