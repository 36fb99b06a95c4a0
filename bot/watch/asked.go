package watch

import (
	"skyslate/bot/question"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// AnswerQuestion answers a plain question about passes: of the bird that is named, or
// else of the one at hand.
func (p Answerer) AnswerQuestion(q question.Question) {
	now := p.Now()
	if q.Kind == question.Next {
		p.sayNext(q.Bird)
		return
	}
	pass, view, ok := p.passAsked(q.Bird, anyBird, say.NoPassKnown)
	if !ok {
		return
	}
	switch q.Kind {
	case question.Where:
		p.Say(say.WhereNow(view, now), passMore(pass))
	case question.Radio:
		p.Say(say.Tuned(view, now), passMore(pass))
	case question.Now:
		p.Say(say.DoNow(view, now, p.Op.Remind.Lead, pass.Followed() && pass.Decided.IsZero()), passMore(pass))
	}
}

// sayNext tells of the next pass that is still to rise: the next one followed, else
// the next one listed; of a bird that is named the next that doesn't graze.
func (p Answerer) sayNext(bird string) {
	m, _ := p.passWords(bird, p.Event.At)
	if p.Ready() && len(p.Ahead()) == 0 {
		p.Replan()
	}
	rises := tx.Filter(p.passesOf(m), func(pass storage.Pass) bool { return pass.AOS.After(p.Now()) })
	choices := []func(storage.Pass) bool{storage.Pass.Followed, p.listed, worthwhile}
	if m.bird != "" {
		choices = []func(storage.Pass) bool{worthwhile}
	}
	for _, choice := range choices {
		for _, pass := range tx.Filter(rises, choice) {
			if view, ok := p.PassView(pass); ok {
				p.Say(say.NextPass(view, p.Now(), shown.Zone(pass.Place)), passMore(pass))
				return
			}
		}
	}
	p.Say(say.NoPassKnown)
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

// passMore are the buttons that tell more of a pass.
func passMore(pass storage.Pass) []storage.Button {
	return append([]storage.Button{tx.Button(say.LabelTimetable, TapTell, pass.ID)}, pictureButtons(pass)...)
}
