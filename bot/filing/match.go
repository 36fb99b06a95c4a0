package filing

import (
	"cmp"
	"slices"
	"time"

	"skyslate/bot/lists"
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
	Offered []storage.Pass // what was asked, if it was answered
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
	ByDay      Reason = "day"        // 2: a day of the past
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

// Under matches one pass.
func (f *Facts) Under(pass storage.Pass, why Reason) Match {
	bird, _ := f.Catalogued(pass.Bird.Catalog)
	return Match{Pass: pass, Bird: bird, Reason: why}
}

// amid matches the only one of several passes, or asks.
func (f *Facts) amid(passes []storage.Pass, why Reason) Match {
	if len(passes) == 1 {
		return f.Under(passes[0], why)
	}
	return Match{Rivals: passes, Reason: why}
}

// chosen is an answer to a match, with what the line said itself.
func (m Match) chosen(answer Match) Match {
	answer.Named, answer.Part, answer.Offered = m.Named, m.Part, m.Rivals
	return answer
}

func late(m Match) Match { m.Late = true; return m }

// A Finder says which pass a line belongs to: by what the line says, the moment,
// and what was told before it.
type Finder struct {
	*Facts
	*Correspondence
	past  Standing
	lives map[moment]Match
	Hold  *Hold
	Last  *Line // the last one with a pass
}

// NewFinder makes the finder of a run, which knows what stands so far.
func NewFinder(f *Facts, t *Correspondence, p Standing) Finder {
	return Finder{Facts: f, Correspondence: t, past: p, lives: map[moment]Match{}}
}

// A Standing is what came of the lines so far.
type Standing interface {
	// WorkedOn reports whether anything stands under a pass.
	WorkedOn(storage.PassID) bool
	// Turned is how often a pass got its first contact, or lost its last.
	Turned() int
	// PassOf is the pass of the contacts that an answer is about.
	PassOf(*storage.Answered) storage.PassID
	// ToldLast is the slate that was told last; nil: none was.
	ToldLast() *ToldSlate
}

// Match is the one decision which pass a line belongs to, by the table in the
// package comment; clock is the time told with the contact. What is asked is
// answered by the first answer that was offered, but no line that names its bird by one
// from before it for another bird.
func (f *Finder) Match(l *Line, clock parse.Clock) Match {
	m := f.orUp(f.decide(l, clock), l, clock)
	v := l.Message.Delivery
	if v.InOrder && len(m.Rivals) > 1 && m.Part >= 1 && m.Part <= len(m.Rivals) {
		return late(m.chosen(f.Under(m.Rivals[m.Part-1], ByAnswer)))
	}
	for _, answer := range v.Answers {
		id := answer.Pass
		offered := Holds(m.Rivals, id) || m.Earlier == id || m.Reason == ByNothing
		pass, ok := f.Pass(id)
		another := l.Bird != nil && l.Bird.Catalog != pass.Bird.Catalog && !answer.At.After(l.At())
		if ok && offered && !another {
			answered := m.chosen(f.Under(pass, ByAnswer))
			answered.Late = m.Late || !pass.LOS.After(l.At())
			return answered
		}
	}
	return m
}

// orUp lets a line that gives no time, under a bird that is still to rise, mean one
// that is up as well: which one is asked.
func (f *Finder) orUp(m Match, l *Line, clock parse.Clock) Match {
	at := l.At()
	if m.Pass.ID == "" || m.Late || clock.IsSet() || l.Alone || !at.Before(m.Pass.AOS.Add(-timing.ClockSlack)) {
		return m
	}
	if up := f.up(at); len(up) > 0 {
		return Match{Rivals: append(up, m.Pass), Reason: ByTwoUp, Named: m.Named}
	}
	return m
}

func (f *Finder) decide(l *Line, clock parse.Clock) Match {
	if m, ok := f.ofSlate(l); ok {
		return m
	}
	if !l.Day.IsZero() {
		return f.ofDay(l, clock)
	}
	if l.Bird != nil {
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
	if l.Message.Delivery.Held {
		return f.ofDelivery(l)
	}
	return f.live(l)
}

// live matches what the phone sent at once.
func (f *Finder) live(l *Line) Match {
	now := moment{delivery: l.Message.Delivery, at: l.At(), hold: f.Hold, turns: f.past.Turned()}
	if f.Last != nil {
		now.before, now.since = f.Last.Match.Pass.ID, f.Last.At()
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
	delivery  *Delivery
	at, since time.Time
	before    storage.PassID
	hold      *Hold
	turns     int // of the past
}

func (f *Finder) liveAt(l *Line) Match {
	up := f.up(l.At())
	if set := f.besideSet(up, l.At()); len(set) > 0 {
		return Match{Rivals: set, Reason: ByTwoUp}
	}
	switch {
	case len(up) == 1 && f.lingers(up[0], l.At()):
		return Match{Rivals: []storage.Pass{f.Last.Match.Pass, up[0]}, Reason: ByTwoUp}
	case len(up) == 1:
		m := f.Under(up[0], ByUp)
		m.Earlier = f.earlier(l, up[0])
		return m
	case len(up) > 1:
		return Match{Rivals: up, Reason: ByTwoUp}
	}
	return f.notUp(l)
}

// lingers reports whether a line under a bird that nobody follows, nor worked, may be of the
// pass that was worked and followed and has just set.
func (f *Finder) lingers(up storage.Pass, at time.Time) bool {
	if f.Last == nil || up.Followed() || f.past.WorkedOn(up.ID) {
		return false
	}
	worked := f.Last.Match.Pass
	return worked.ID != up.ID && worked.Followed() && f.past.WorkedOn(worked.ID) && !worked.LOS.After(at) && at.Sub(worked.LOS) <= Lingering
}

// up are the passes that a line sent at a moment can belong to because their
// bird is up. Of several the only one that is followed speaks for all: it is on
// the card.
func (f *Finder) up(at time.Time) []storage.Pass {
	up := lists.Filter(f.Passes(at, at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Up(at) && (p.Followed() || f.Listed(p))
	})
	if followed := lists.Filter(up, storage.Pass.Followed); len(followed) == 1 {
		return followed
	}
	return up
}

// earlier is the last followed pass that went by, with nothing logged, since the
// phone was last heard.
func (f *Finder) earlier(l *Line, now storage.Pass) storage.PassID {
	v := l.Message.Delivery
	if v.Silent.IsZero() {
		return ""
	}
	for _, p := range slices.Backward(f.Passes(timing.Later(v.Silent, v.Began.Add(-LookBack)), v.Began)) {
		if p.ID != now.ID && p.Followed() && !p.AOS.Before(v.Silent) && !f.past.WorkedOn(p.ID) {
			return p.ID
		}
	}
	return ""
}

// byClock matches the pass that was up at a typed time. A minute alone belongs to
// the pass at hand where it fits.
func (f *Finder) byClock(l *Line, clock parse.Clock, context Match) (Match, bool) {
	at := l.At()
	if context.Pass.ID == "" && !clock.HasHour() && !l.Message.Delivery.Held {
		if m := f.live(l); m.Pass.ID != "" && timing.Within(clock, m.Pass) {
			return m, true
		}
	}
	when := timing.Latest(clock, at)
	all := lists.Filter(f.Passes(when.Add(-timing.ClockSlack), when.Add(time.Minute+timing.ClockSlack)), func(p storage.Pass) bool {
		return p.Followed() || f.Listed(p) || f.past.WorkedOn(p.ID)
	})
	up := lists.Filter(all, func(p storage.Pass) bool { return p.AOS.Before(when.Add(time.Minute)) && p.LOS.After(when) })
	if len(up) == 0 {
		up = all
	}
	if len(up) == 0 {
		return Match{}, false
	}
	one := func(fits func(storage.Pass) bool) bool {
		some := lists.Filter(up, fits)
		if len(some) == 1 {
			up = some
		}
		return len(some) == 1
	}
	_ = len(up) == 1 ||
		one(func(p storage.Pass) bool { return p.ID == context.Pass.ID }) ||
		one(func(p storage.Pass) bool { return Holds(l.Message.Delivery.rivals, p.ID) }) ||
		one(storage.Pass.Followed)
	m := f.amid(up, ByTime)
	if f.toCome(clock, l) {
		m = Match{Rivals: up, Reason: ByTime}
	}
	m.Late = !m.Pass.Up(at)
	return m, true
}

// toCome reports whether a typed time is rather that of today, still to come, than of
// yesterday: the pass is asked then, unless the phone was silent since.
func (f *Finder) toCome(clock parse.Clock, l *Line) bool {
	at, silent := l.At(), l.Message.Delivery.Silent
	back := timing.Latest(clock, at)
	return clock.HasHour() && at.Sub(back) > Day/2 && (silent.IsZero() || back.Before(silent))
}

// replied matches the pass of what the message answers.
func (f *Finder) replied(l *Line) Match {
	r := l.Message.Said.Reply
	if r == nil {
		return Match{}
	}
	if pass, ok := f.Pass(cmp.Or(r.Pass, f.past.PassOf(r))); ok {
		return f.Under(pass, ByReply)
	}
	return Match{}
}

// ofSlate matches the recording that the line's offset counts in: the one whose
// slate was told last.
func (f *Finder) ofSlate(l *Line) (Match, bool) {
	told := f.past.ToldLast()
	if told == nil || l.Theirs || !l.Tells() || l.Message.Said.Reply != nil || l.Look.Bird != "" {
		return Match{}, false
	}
	offset := l.Look.Contacts[0].Offset
	pass, ok := f.Pass(told.Of.Pass)
	if asked := len(told.Rivals) > 0; !offset.IsSet() || !asked && (!ok || !timing.Fits(pass, told.Slate.Add(offset.Duration()))) {
		return Match{}, false
	}
	began := func(p storage.Pass) bool {
		return p.ID != pass.ID && !Holds(told.Rivals, p.ID) && p.Followed() && p.AOS.After(told.At)
	}
	since := f.Passes(told.At, l.At().Add(time.Second))
	if told.Delivery != l.Message.Delivery && slices.ContainsFunc(since, began) {
		return Match{}, false // another pass is written down by now
	}
	if len(told.Rivals) > 0 {
		return f.ofRivals(told, offset.Duration()), true
	}
	m := f.Under(pass, BySlate)
	m.Late = !pass.LOS.After(l.At())
	return m, true
}

// ofRivals matches a contact of a recording that may be of several passes: the one that was
// named or tapped, if it fits, or it is asked.
func (f *Finder) ofRivals(told *ToldSlate, offset time.Duration) Match {
	m := Match{Rivals: told.Rivals, Reason: BySlate}
	if f.Hold != nil && !f.Hold.At.Before(told.At) && Holds(told.Rivals, f.Hold.Pass.ID) && timing.Fits(f.Hold.Pass, told.Slate.Add(offset)) {
		m = f.Under(f.Hold.Pass, BySlate)
	}
	return late(m)
}

// ToldSlate is the slate of a recording, as it was told.
type ToldSlate struct {
	Of       storage.Recording
	Slate    time.Time
	At       time.Time      // when it was told
	Delivery *Delivery      // what it came in; nil: a tap
	Rivals   []storage.Pass // which it may be of, where that is not known
}

// Only is the match of the one pass that a slate can be of; where there are others,
// or none, the match stays.
func (f *Facts) Only(fitting []storage.Pass, m Match) Match {
	if len(fitting) != 1 {
		return m
	}
	of := f.Under(fitting[0], BySlate)
	of.Late, of.Named = m.Late, m.Named
	return of
}

// NearestOfBird matches the pass of a bird that is nearest to a moment, if one is as
// near as within.
func (f *Facts) NearestOfBird(catalog int, when time.Time, within time.Duration) (m Match, ok bool) {
	near := lists.Filter(f.Passes(when.Add(-within), when.Add(within)), func(p storage.Pass) bool {
		return p.Bird.Catalog == catalog
	})
	if len(near) == 0 {
		return Match{}, false
	}
	m = f.Under(timing.Closest(near, when), ByName)
	m.Named = true
	return m, true
}

// A GroupKey names the contacts that belong together: those of a pass or, where none is
// known, of a bird.
type GroupKey struct {
	Pass    storage.PassID
	catalog int // without a pass
}

// Group names the contacts that a match's belong to.
func (m *Match) Group() GroupKey {
	if m.Pass.ID != "" {
		return GroupKey{Pass: m.Pass.ID}
	}
	return GroupKey{catalog: m.Bird.Catalog}
}

// NotOn asks which pass around a moment is meant, of those of other birds than one.
func (f *Facts) NotOn(off string, when time.Time) Match {
	bird, _ := f.Bird(off)
	others := lists.Filter(f.Passes(when.Add(-LookAhead), when.Add(LookAhead)), func(p storage.Pass) bool {
		return p.Bird.Catalog != bird.Catalog && (p.Followed() || f.Listed(p))
	})
	return Match{Rivals: others, Reason: ByTwoUp}
}
