package watch

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/filing"
	"skyslate/bot/lists"
	"skyslate/bot/named"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

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

// words reads the words that name a pass.
func (p Planner) words() named.Reader {
	return named.Reader{Sky: p.Sky, Zone: p.zoneOn, Local: p.Local()}
}

// passesOf are the passes that could be meant: those planned or, for a day further
// ahead, those worked out for it, which stay only if something is arranged for one.
func (p Planner) passesOf(m named.Pass) []storage.Pass {
	all := p.Ahead()
	if !m.To.IsZero() {
		all = p.PassesIn(m.From, m.To)
	}
	since := timing.Later(m.From, p.Op.Planned)
	for _, bird := range p.Sky.Birds() {
		if !since.Before(m.To) {
			break
		}
		found, err := p.WorkedOut(bird, since, m.To)
		if err != nil || m.Bird != "" && bird.Name != m.Bird || m.Bird == "" && !p.Sky.Follows(p.Op.Remind, bird) {
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
		_, fits := m.Fits(pass)
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
	from, to := m.From, m.To
	if to.IsZero() {
		from, to = p.Event.At.Add(-tx.Day), p.Event.At
	}
	fits := func(pass storage.Pass) bool { _, fits := m.Fits(pass); return fits }
	all := lists.Filter(p.StoredIn(from, to), fits)
	worked := lists.Filter(all, p.WorkedOn)
	if m.Bird != "" && m.To.IsZero() && len(worked) == 0 {
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
	return m.From, m.To, ok && m.Bird == "" && !m.Clock.IsSet()
}

// meantBehind is what words that name a pass, or a day, of the past say; false if they say
// something else.
func (p Planner) meantBehind(text string) (m named.Pass, ok bool) {
	m, rest := p.words().Read(text, p.Event.At)
	if len(rest) > 0 || m == (named.Pass{}) {
		return m, false
	}
	return p.words().Behind(m, p.Event.At), true
}

// meantBy are the words of a question that say which pass is meant; others are told
// to be no bird's.
func (p Answerer) meantBy(text string) (named.Pass, bool) {
	m, rest := p.words().Read(text, p.Event.At)
	if m.Zone.Unclear {
		p.Say(say.UnclearZone(m.Said))
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
	suiting := func(m named.Pass) []storage.Pass {
		return lists.Filter(p.passesOf(m), func(pass storage.Pass) bool {
			b, ok := p.Sky.ByCatalog(pass.Bird.Catalog)
			return ok && suits(b)
		})
	}
	for _, passes := range readings(m, suiting, p.Now()) {
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
func readings(m named.Pass, of func(named.Pass) []storage.Pass, now time.Time) [][]storage.Pass {
	if !m.Clock.IsSet() {
		return [][]storage.Pass{of(m)}
	}
	soon := func(pass storage.Pass) bool { return pass.AOS.Before(now.Add(tx.Day)) }
	rising := func(m named.Pass, passes []storage.Pass, slack time.Duration) []storage.Pass {
		return lists.Filter(passes, func(pass storage.Pass) bool { return m.Nearest(pass).Sub(timing.RiseMinute(pass)).Abs() <= slack })
	}
	passes := of(m)
	near := lists.Filter(passes, soon)
	all := [][]storage.Pass{rising(m, near, 0), rising(m, near, time.Minute), near}
	if !m.Zoned {
		m.Zone.Local = true
		near = lists.Filter(of(m), soon)
		all = append(all, rising(m, near, 0), rising(m, near, time.Minute))
		m.Zone.Local = false
	}
	return append(all, rising(m, passes, time.Minute), passes)
}

// likely are the passes that a question may be about, the likeliest first. A question
// that answers a post about a pass is about that. Else it is the pass chosen; one that is
// up, at best followed; one that rises soon and would be listed; the next one followed,
// the next one listed, any. Of a bird named alone it is the one up, or the next that is
// followed or doesn't graze, or any.
func (p Answerer) likely(m named.Pass) []func(storage.Pass) bool {
	now := p.Now()
	up := func(pass storage.Pass) bool { return pass.Up(now) }
	soon := func(pass storage.Pass) bool { return pass.AOS.Sub(now) <= filing.LookAhead }
	if m.Bird != "" {
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
	if m.Clock.IsSet() || !m.To.IsZero() {
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
func (p Answerer) nearest(m named.Pass, of func(named.Pass) []storage.Pass) (near storage.Pass) {
	if !m.Clock.IsSet() {
		return near
	}
	at := timing.Nearest(m.Clock, timing.Later(m.Noon(), p.Event.At))
	m.Clock = parse.Clock{}
	for _, pass := range slices.Concat(of(m), of(named.Pass{Bird: m.Bird})) {
		if p.canTell(pass) && (near.ID == "" || pass.TCA.Sub(at).Abs() < near.TCA.Sub(at).Abs()) {
			near = pass
		}
	}
	return near
}

// noPass says that there is no pass as it was asked for, or why there can be none: the
// bird that is named, or none that is followed, can be predicted.
func (p Planner) noPass(m named.Pass, none string) {
	why := ""
	if bird, named := p.Sky.Bird(m.Bird); named {
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
