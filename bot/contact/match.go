package contact

import (
	"cmp"
	"slices"
	"time"

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
func (d *derivation) under(pass storage.Pass, why Reason) Match {
	bird, _ := d.Catalogued(pass.Bird.Catalog)
	return Match{Pass: pass, Bird: bird, Reason: why}
}

// amid matches the only one of several passes, or asks.
func (d *derivation) amid(passes []storage.Pass, why Reason) Match {
	if len(passes) == 1 {
		return d.under(passes[0], why)
	}
	return Match{Rivals: passes, Reason: why}
}

// match is the one decision which pass a line belongs to, by the table in the
// package comment; clock is the time told with the contact. What is asked is
// answered by the last answer that was offered.
func (d *derivation) match(l *line, clock parse.Clock) Match {
	m := d.orUp(d.decide(l, clock), l, clock)
	v := l.message.delivery
	if v.inOrder && len(m.Rivals) > 1 && m.Part >= 1 && m.Part <= len(m.Rivals) {
		return late(m.chosen(d.under(m.Rivals[m.Part-1], ByAnswer)))
	}
	for _, id := range v.answers {
		offered := holds(m.Rivals, id) || m.Earlier == id || m.Reason == ByNothing
		if pass, ok := d.Pass(id); ok && offered {
			answered := m.chosen(d.under(pass, ByAnswer))
			answered.Late = m.Late || !pass.LOS.After(l.at())
			return answered
		}
	}
	return m
}

// chosen is an answer to a match, with what the line said itself.
func (m Match) chosen(answer Match) Match {
	answer.Named, answer.Part, answer.offered = m.Named, m.Part, m.Rivals
	return answer
}

// orUp lets a line that gives no time, under a bird that is still to rise, mean one
// that is up as well: which one is asked.
func (d *derivation) orUp(m Match, l *line, clock parse.Clock) Match {
	at := l.at()
	if m.Pass.ID == "" || m.Late || clock.IsSet() || l.alone || !at.Before(m.Pass.AOS.Add(-ClockSlack)) {
		return m
	}
	if up := d.up(at); len(up) > 0 {
		return Match{Rivals: append(up, m.Pass), Reason: ByTwoUp, Named: m.Named}
	}
	return m
}

func (d *derivation) decide(l *line, clock parse.Clock) Match {
	if m, ok := d.ofSlate(l); ok {
		return m
	}
	if l.bird != nil {
		return d.ofBird(l, clock)
	}
	context := d.replied(l)
	if held, ok := d.heldPass(l); ok && context.Reason == "" {
		context = held
	}
	if clock.IsSet() {
		if m, ok := d.byClock(l, clock, context); ok {
			return m
		}
	}
	if context.Reason != "" {
		return context
	}
	if l.message.delivery.held {
		return d.ofDelivery(l)
	}
	return d.live(l, l.at())
}

// live matches what the phone sent at once.
func (d *derivation) live(l *line, at time.Time) Match {
	now := moment{delivery: l.message.delivery, at: at, worked: len(d.byPass)}
	if d.last != nil {
		now.before, now.since = d.last.match.Pass.ID, d.last.at()
	}
	m, known := d.lives[now]
	if !known {
		m = d.liveAt(l, at)
		d.lives[now] = m
	}
	return m
}

// A moment is all that matching what was sent at once depends on.
type moment struct {
	delivery  *delivery
	at, since time.Time
	before    storage.PassID
	worked    int
}

func (d *derivation) liveAt(l *line, at time.Time) Match {
	up := d.up(at)
	switch {
	case len(up) == 1:
		m := d.under(up[0], ByUp)
		m.Earlier = d.earlier(l, up[0])
		return m
	case len(up) > 1:
		return Match{Rivals: up, Reason: ByTwoUp}
	}
	return d.notUp(l, at)
}

// up are the passes that a line sent at a moment can belong to because their
// bird is up. Of several the only one that is followed speaks for all: it is on
// the card.
func (d *derivation) up(at time.Time) []storage.Pass {
	up := filter(d.Passes(at, at.Add(time.Second)), func(p storage.Pass) bool {
		return p.Up(at) && (p.Followed() || d.Listed(p))
	})
	if followed := filter(up, storage.Pass.Followed); len(followed) == 1 {
		return followed
	}
	return up
}

// earlier is the last followed pass that went by, with nothing logged, since the
// phone was last heard.
func (d *derivation) earlier(l *line, now storage.Pass) storage.PassID {
	v := l.message.delivery
	if v.silent.IsZero() {
		return ""
	}
	for _, p := range slices.Backward(d.Passes(laterOf(v.silent, v.began.Add(-LookBack)), v.began)) {
		if p.ID != now.ID && p.Followed() && !p.AOS.Before(v.silent) && !d.workedOn(p.ID) {
			return p.ID
		}
	}
	return ""
}

// notUp matches a line before which nothing was up.
func (d *derivation) notUp(l *line, at time.Time) Match {
	v := l.message.delivery
	silent := v.silent
	if silent.IsZero() {
		silent = at.Add(-LookBack)
	}
	began := filter(d.Passes(at.Add(-LookBack), at.Add(EarlySlack)), func(p storage.Pass) bool { return p.Followed() || d.Listed(p) })
	if rising := filter(began, func(p storage.Pass) bool { return p.AOS.After(at) }); len(rising) == 1 && !d.endedWithin(began, at) {
		return d.under(rising[0], BySlack)
	}
	ended := filter(began, func(p storage.Pass) bool { return !p.LOS.After(at) })
	meant := filter(ended, func(p storage.Pass) bool { return p.Followed() || d.workedOn(p.ID) })
	since := filter(meant, func(p storage.Pass) bool { return p.LOS.After(silent) })
	just := filter(ended, func(p storage.Pass) bool {
		return at.Sub(p.LOS) <= Lingering && !holds(meant, p.ID) && !d.endedAfter(meant, p)
	})
	if b, ok := d.before(l, at); ok && len(filter(since, func(p storage.Pass) bool { return p.ID != b.ID && p.LOS.After(d.last.at()) })) == 0 && len(just) == 0 {
		return late(d.under(b, ByBefore))
	}
	switch all := append(since, just...); {
	case len(all) > 0 && !v.silent.IsZero():
		if worked := filter(all, func(p storage.Pass) bool { return d.workedOn(p.ID) }); len(worked) == 1 && overlapAll(all, worked[0]) && len(just) == 0 {
			return late(d.under(worked[0], BySilence))
		}
		return late(d.amid(all, BySilence))
	case len(meant) > 0:
		return late(d.amid(append(d.lastOf(meant), just...), ByLast))
	case len(just) > 0:
		return late(d.amid(just, BySlack))
	}
	return Match{Reason: ByNothing}
}

// endedWithin reports whether a pass ended so short a time ago that a line may
// still be of it.
func (d *derivation) endedWithin(passes []storage.Pass, at time.Time) bool {
	return slices.ContainsFunc(passes, func(p storage.Pass) bool {
		return !p.LOS.After(at) && at.Sub(p.LOS) <= Lingering && (p.Followed() || d.workedOn(p.ID))
	})
}

func (d *derivation) endedAfter(passes []storage.Pass, p storage.Pass) bool {
	return slices.ContainsFunc(passes, func(q storage.Pass) bool { return q.LOS.After(p.LOS) })
}

func overlapAll(all []storage.Pass, p storage.Pass) bool {
	return !slices.ContainsFunc(all, func(q storage.Pass) bool { return !q.AOS.Before(p.LOS) || !q.LOS.After(p.AOS) })
}

// lastOf is the pass that ended last, with those that overlapped it: one with
// contacts speaks for all.
func (d *derivation) lastOf(meant []storage.Pass) []storage.Pass {
	last := slices.MaxFunc(meant, func(a, b storage.Pass) int { return a.LOS.Compare(b.LOS) })
	group := filter(meant, func(p storage.Pass) bool { return p.LOS.After(last.AOS) })
	if worked := filter(group, func(p storage.Pass) bool { return d.workedOn(p.ID) }); len(worked) == 1 {
		return worked
	}
	return group
}

// before is the pass that the line before was written down for.
func (d *derivation) before(l *line, at time.Time) (storage.Pass, bool) {
	if d.last == nil || d.last.match.Pass.ID == "" || at.Sub(d.last.at()) > LookBack {
		return storage.Pass{}, false
	}
	return d.last.match.Pass, true
}

// ofBird matches the pass of the bird that was named: the one that the typed time
// falls into; the one that is up; of a silence the only one, or asked; else the
// nearest.
func (d *derivation) ofBird(l *line, clock parse.Clock) Match {
	bird, at, v := *l.bird, l.at(), l.message.delivery
	named := func(m Match) Match {
		m.Named, m.Part = true, l.part
		m.Late = m.Late || v.held && (m.Pass.ID == "" || !m.Pass.LOS.After(at) || m.Pass.Followed())
		return m
	}
	of := func(p storage.Pass) bool { return p.Bird.Catalog == bird.Catalog }
	near := filter(d.Passes(at.Add(-LookBack), at.Add(LookAhead)), of)
	if clock.IsSet() {
		told := filter(filter(d.Passes(at.Add(-day), at.Add(LookAhead)), of), func(p storage.Pass) bool {
			return Within(clock, p) && !Nearest(clock, p.TCA).After(at.Add(ClockSlack))
		})
		if len(told) > 0 {
			return named(d.under(closest(told, at), ByName))
		}
	}
	up := slices.ContainsFunc(near, func(p storage.Pass) bool { return p.Up(at.Add(ClockSlack)) || p.Up(at) })
	whole := func(p storage.Pass) bool { return !p.AOS.Before(v.silent) && !p.LOS.After(at) }
	if !v.silent.IsZero() && (v.held || !up && slices.ContainsFunc(near, whole)) {
		since := filter(near, func(p storage.Pass) bool { return p.LOS.After(v.silent) && !p.AOS.After(v.began) })
		if some := filter(since, storage.Pass.Followed); len(some) > 0 {
			since = some
		}
		if len(since) > 0 {
			return named(late(d.amid(since, ByName)))
		}
	}
	switch {
	case len(near) > 0:
		return named(d.under(closest(near, at), ByName))
	case d.Predicted(bird):
		return named(Match{Reason: ByNotUp})
	}
	return named(Match{Bird: bird, Reason: ByBird})
}

func late(m Match) Match { m.Late = true; return m }

// closest is the pass nearest to a moment.
func closest(passes []storage.Pass, at time.Time) storage.Pass {
	return slices.MinFunc(passes, func(a, b storage.Pass) int { return cmp.Compare(Apart(a, at), Apart(b, at)) })
}

// Apart is how far a moment is from a pass, nothing during it.
func Apart(pass storage.Pass, at time.Time) time.Duration {
	return max(pass.AOS.Sub(at), at.Sub(pass.LOS), 0)
}

// byClock matches the pass that was up at a typed time. A minute alone belongs to
// the pass at hand where it fits.
func (d *derivation) byClock(l *line, clock parse.Clock, context Match) (Match, bool) {
	at := l.at()
	if context.Pass.ID == "" && !clock.HasHour() && !l.message.delivery.held {
		if m := d.live(l, at); m.Pass.ID != "" && Within(clock, m.Pass) {
			return m, true
		}
	}
	when := latest(clock, at)
	all := filter(d.Passes(when.Add(-ClockSlack), when.Add(time.Minute+ClockSlack)), func(p storage.Pass) bool {
		return p.Followed() || d.Listed(p) || d.workedOn(p.ID)
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
		one(func(p storage.Pass) bool { return d.last != nil && p.ID == d.last.match.Pass.ID })
	m := d.amid(up, ByTime)
	m.Late = !m.Pass.Up(at)
	return m, true
}

// replied matches the pass of what the message answers.
func (d *derivation) replied(l *line) Match {
	r := l.message.said.Reply
	if r == nil {
		return Match{}
	}
	id := r.Pass
	for _, key := range d.answeredKeys(r) {
		if c := d.byKey[key]; c != nil && id == "" {
			id = c.m.Pass.ID
		}
	}
	pass, ok := d.Pass(id)
	if !ok {
		return Match{}
	}
	return d.under(pass, ByReply)
}

// A hold is a bird named alone, or a pass tapped: it holds for what comes, until
// the pass has set.
type hold struct {
	pass storage.Pass
	bird predict.Bird // where no pass could be worked out
	at   time.Time
}

func (d *derivation) heldPass(l *line) (Match, bool) {
	h, at := d.hold, l.at()
	switch {
	case h == nil || at.Before(h.at):
		return Match{}, false
	case h.pass.ID != "":
		if !h.pass.LOS.After(at) || h.pass.AOS.Sub(at) > LookAhead || l.message.delivery.held && h.at.Before(l.message.delivery.began) {
			return Match{}, false
		}
		return d.under(h.pass, ByHold), true
	case at.Sub(h.at) > LookBack || slices.ContainsFunc(d.Passes(h.at, at.Add(EarlySlack)), func(p storage.Pass) bool {
		return p.Followed() && p.AOS.After(h.at)
	}):
		return Match{}, false
	}
	return Match{Bird: h.bird, Named: true, Reason: ByBird}, true
}

// ofSlate matches the recording that the line's offset counts in: the one whose
// slate was told last.
func (d *derivation) ofSlate(l *line) (Match, bool) {
	if d.lastSlate == nil || len(l.look.Contacts) == 0 || !l.look.Contacts[0].Offset.IsSet() || l.message.said.Reply != nil || l.look.Bird != "" {
		return Match{}, false
	}
	pass, ok := d.Pass(d.lastSlate.of.Pass)
	if !ok || !Fits(pass, d.lastSlate.slate.Add(l.look.Contacts[0].Offset.Duration())) || d.lastSlate.delivery != l.message.delivery && !d.sameTable(pass, l) {
		return Match{}, false
	}
	m := d.under(pass, BySlate)
	m.Late = !pass.LOS.After(l.at())
	return m, true
}

// sameTable reports whether a pass is still the one that is written down: no other
// has begun since its slate was told.
func (d *derivation) sameTable(pass storage.Pass, l *line) bool {
	return !slices.ContainsFunc(d.Passes(d.lastSlate.at, l.at().Add(time.Second)), func(p storage.Pass) bool {
		return p.ID != pass.ID && p.Followed() && p.AOS.After(d.lastSlate.at)
	})
}
