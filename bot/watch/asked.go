package watch

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/lists"
	"skyslate/bot/named"
	"skyslate/bot/question"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// AnswerQuestion answers a plain question about passes: of the bird that is named, or
// else of the one at hand.
func (p Answerer) AnswerQuestion(q question.Question) {
	now := p.Now()
	switch {
	case q.Kind == question.Next, q.Kind == question.Up:
		p.sayComing(q)
		return
	case q.Kind == question.Best:
		p.sayBest(q.Bird)
		return
	case q.Kind == question.Far:
		p.sayFar(q.Grids)
		return
	case q.Kind == question.Skip && q.Words == question.Following:
		p.skipNext(q.Bird)
		return
	case q.Kind == question.Arm && q.Words != "" && p.armBack(q.Bird):
		return
	case q.Kind == question.Arm && q.Words == question.Brought && q.Bird == "":
		p.Say(say.NothingBack)
		return
	}
	pass, view, ok := p.passAsked(q.Bird, anyBird, say.NoPassKnown)
	if !ok {
		return
	}
	switch q.Kind {
	case question.Where:
		p.sayOf(pass, say.WhereNow(view, now))
	case question.Radio:
		p.sayOf(pass, say.Tuned(view, now))
	case question.Now:
		p.sayOf(pass, say.DoNow(view, now, p.reminderOf(pass)))
	case question.Table:
		p.sayInFull(pass)
	case question.Skip:
		p.armNamed(pass, q.Bird, false)
	case question.Arm:
		p.armNamed(pass, q.Bird, true)
	}
}

// NamesPass reports whether words are all for naming a pass: by a moment of it, or by its bird
// and a day.
func (p Answerer) NamesPass(words []string) bool {
	m, rest := p.words().Read(strings.Join(words, " "), p.Event.At)
	return len(rest) == 0 && (m.Clock.IsSet() || len(words) > 1 && m != (named.Pass{}))
}

// NamesPasses reports whether words are all for naming passes: by a day, a moment or a bird.
func (p Answerer) NamesPasses(words []string) bool {
	m, rest := p.words().Read(strings.Join(words, " "), p.Event.At)
	return len(rest) == 0 && m != (named.Pass{})
}

// ArmMeant arms the pass that words name, or skips it.
func (p Answerer) ArmMeant(text string, on bool) {
	if pass, _, ok := p.passAsked(text, anyBird, say.NoPassKnown); ok {
		p.armNamed(pass, text, on)
	}
}

// armNamed arms the pass that words name, or skips it; of several that rise at the time said
// the one of which that changes anything, and none where that are several. Of one that is up
// it is too late to be reminded, so the next one that words name is armed.
func (p Answerer) armNamed(pass storage.Pass, text string, on bool) {
	m, _ := p.words().Read(text, p.Event.At)
	if m.Clock.IsSet() && m.Bird == "" {
		minute := timing.RiseMinute(pass)
		same := lists.Filter(p.PassesIn(minute, minute.Add(time.Minute)), func(other storage.Pass) bool {
			return timing.RiseMinute(other).Equal(minute) && p.listed(other) && other.Followed() != on
		})
		if len(same) > 1 {
			p.Say(say.WhichRises(shown.Planned(same[0]), shown.Planned(same[1])))
			return
		}
		pass = slices.Concat(same, []storage.Pass{pass})[0]
	}
	if next, _, ok := p.next(m); ok && on && pass.Up(p.Now()) {
		pass = next
	}
	p.armSaid(pass, on)
}

// skipNext skips the next pass to rise of which one is reminded, or else the next one; one
// that is up is not meant.
func (p Answerer) skipNext(bird string) {
	m, ok := p.meantBy(bird)
	if !ok {
		return
	}
	rises := lists.Filter(p.passesOf(m), func(pass storage.Pass) bool { return pass.AOS.After(p.Now()) })
	if pass, _, ok := p.first(rises, storage.Pass.Followed, p.offered, choice.Worthwhile, anyPass); ok {
		p.armSaid(pass, false)
		return
	}
	p.noPass(m, say.NoPassKnown)
}

// armBack arms the pass that was skipped last, or else the first that was skipped; false if
// none is.
func (p Answerer) armBack(bird string) bool {
	m, _ := p.words().Read(bird, p.Event.At)
	skipped := lists.Filter(p.passesOf(m), func(pass storage.Pass) bool { return pass.Arm == storage.ArmSkipped })
	last := func(pass storage.Pass) bool { return p.Op.Decided != nil && pass.Named(p.Op.Decided.Pass) }
	pass, _, ok := p.first(skipped, last, anyPass)
	if ok {
		p.armSaid(pass, true)
	}
	return ok
}

// armSaid arms a pass, or skips it, and says so.
func (p Answerer) armSaid(pass storage.Pass, on bool) {
	if !on || pass.Arm == storage.ArmHand || !p.armedFull(pass.ID) {
		p.Say(p.armedText(p.arm(pass, on)))
	}
}

// sayComing tells of the passes that are up, then of the next one, and where one is not
// reminded of that, of the next with a reminder. Of a bird that is named it tells all that
// come within a day.
func (p Answerer) sayComing(q question.Question) {
	m, ok := p.meantBy(q.Bird)
	if !ok {
		return
	}
	now, all := p.Now(), p.passesOf(m)
	next, view, comes := p.next(m)
	up := lists.Filter(all, func(pass storage.Pass) bool { return pass.Up(now) && (m.Bird != "" || p.atHand(pass)) })
	later := lists.Filter(all, func(pass storage.Pass) bool {
		if !comes || !pass.AOS.After(next.AOS) {
			return false
		}
		if m.Bird != "" {
			return choice.Worthwhile(pass) && pass.AOS.Before(now.Add(tx.Day))
		}
		return pass.Followed() && !next.Followed()
	})
	c := say.Coming{Up: p.views(up), OfBird: m.Bird != "", AsksUp: q.Kind == question.Up, Later: p.views(later)}
	for _, pass := range up {
		if pass.ID == p.Op.Chosen {
			c.Worked = pass.Bird.Name
		}
	}
	about := next
	switch {
	case len(c.Up) > 0:
		about = up[0]
	case !comes:
		p.noPass(m, say.NoPassKnown)
		return
	}
	if comes {
		c.Next = &view
	}
	p.sayOf(about, say.NextPass(c, now, shown.Zone(about.Place)))
}

// sayBest tells of the highest pass of the day that words name, or of a day from now on: of
// those that the rules would have reminded of, or else of all.
func (p Answerer) sayBest(text string) {
	m, ok := p.meantBy(text)
	if !ok {
		return
	}
	if m.To.IsZero() {
		m.From, m.To = p.Now(), p.Now().Add(tx.Day)
	}
	rises := lists.Filter(p.passesOf(m), func(pass storage.Pass) bool { return pass.AOS.After(p.Now()) && p.listed(pass) })
	suits := lists.Filter(rises, func(pass storage.Pass) bool { return choice.Suits(p.Op.Remind, pass, p.Sky.Birds(), p.Local()) })
	if pass, view, ok := p.first(slices.Concat(choice.Best(suits, 1), choice.Best(rises, 1)), anyPass); ok {
		p.sayOf(pass, say.NextPass(say.Coming{Next: &view}, p.Now(), shown.Zone(pass.Place)))
		return
	}
	p.noPass(m, say.NoPassKnown)
}

// sayFar tells how far a grid is, and where it lies.
func (p Answerer) sayFar(told string) {
	grids, _, err := tx.GridsIn(told)
	if err != nil {
		p.Say(err.Error())
		return
	}
	p.Say(say.HowFar(grids, shown.Place(p.Op.Place)))
}

// views are passes as they are told, without those that can't be.
func (p Planner) views(passes []storage.Pass) (views []say.Pass) {
	for _, pass := range passes {
		if view, ok := p.PassView(pass); ok {
			views = append(views, view)
		}
	}
	return views
}

// next is the next pass to rise of those meant: of any bird the first that would be
// listed, those skipped by hand last; of a bird that is named, the first that doesn't graze.
func (p Answerer) next(m named.Pass) (storage.Pass, say.Pass, bool) {
	rises := lists.Filter(p.passesOf(m), func(pass storage.Pass) bool { return pass.AOS.After(p.Now()) })
	if m.Bird != "" {
		return p.first(rises, choice.Worthwhile, anyPass)
	}
	return p.first(rises, p.offered, p.listed, choice.Worthwhile)
}

// first is the first pass that the first of some choices falls on, as it is told.
func (p Answerer) first(passes []storage.Pass, choices ...func(storage.Pass) bool) (storage.Pass, say.Pass, bool) {
	for _, choice := range choices {
		for _, pass := range lists.Filter(passes, choice) {
			if view, ok := p.PassView(pass); ok {
				return pass, view, true
			}
		}
	}
	return storage.Pass{}, say.Pass{}, false
}

// sayOf answers about a pass, with buttons that tell more of it, and that arm it where one
// is not reminded of it.
func (p Answerer) sayOf(pass storage.Pass, text string) {
	more := append([]storage.Button{tx.Button(say.LabelTimetable, TapTell, pass.ID)}, pictureButtons(pass)...)
	rows := [][]storage.Button{more}
	if !pass.Followed() && pass.AOS.After(p.Now()) {
		rows = append(rows, []storage.Button{armButton(pass)})
	}
	p.Say(text, rows...)
	p.Posts[len(p.Posts)-1].Pass = pass.ID
}

// TapAsked answers what a button asks of a pass.
func (p Answerer) TapAsked(tap tx.Tap) {
	pass, ok := p.Pass(tap.Pass(0))
	view, can := p.PassView(pass)
	switch {
	case !ok || pass.Void || !can:
		p.Say(say.OldButton)
	case tap.Verb == TapLight:
		p.Say(say.Light(view))
	default:
		p.sayMemories(view)
	}
}
