package watch

import (
	"slices"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/predict"
	"skyslate/storage"
)

// hidden reports whether a bird never clears the own horizon on a pass.
func (p Planner) hidden(pass storage.Pass) bool {
	if len(pass.Place.Horizon) == 0 {
		return false
	}
	view, ok := p.PassView(pass)
	return ok && view.Hidden()
}

// ShowLight tells what there is to know of a pass beside its reminder: light, sun,
// horizon, how good the times are.
func (p Answerer) ShowLight(rest string) {
	if _, view, ok := p.passAsked(rest, anyBird, say.NoPassKnown); ok {
		p.Say(say.Light(view))
	}
}

// stalePasses is how far ahead passes from elements past their time are told.
const stalePasses = tx.Day

// showStale lists the passes of birds whose elements are too old to be trusted,
// because the operator asks for it. None of them is planned or reminded of.
func (p Answerer) showStale() {
	now := p.Now()
	var rows []say.Pass
	var oldest time.Duration
	var drift time.Duration
	for _, bird := range p.Sky.Birds() {
		e, ok := p.Sky.Elements(bird.Catalog)
		if !ok || e.Age(now) <= predict.MaxAge || !p.Sky.Follows(p.Op.Remind, bird) {
			continue
		}
		found, table, err := p.Sky.StalePasses(p.Op.Place, bird.Catalog, now, now.Add(stalePasses))
		if err != nil {
			continue // decayed, say: told by refusals
		}
		oldest, drift = max(oldest, e.Age(now)), max(drift, e.Drift(now))
		for _, f := range found {
			if f.AOS.IsZero() || f.LOS.IsZero() || f.AtTCA.ElDeg < choice.GrazingDeg {
				continue
			}
			rows = append(rows, say.Pass{Pass: f, Bird: bird, Table: table, Place: shown.Place(p.Op.Place)})
		}
	}
	slices.SortFunc(rows, func(a, b say.Pass) int { return a.AOS.Compare(b.AOS) })
	p.Say(say.Stale(rows, oldest, drift))
}

// warnings names the followed birds whose elements are old enough for a word.
func (p Planner) warnings() string {
	var names []string
	var age, drift time.Duration
	for _, bird := range p.Sky.Birds() {
		e, ok := p.Sky.Elements(bird.Catalog)
		a := e.Age(p.Now())
		if ok && a > predict.WarnAge && a <= predict.MaxAge && p.Sky.Follows(p.Op.Remind, bird) {
			names = append(names, bird.Name)
			age, drift = max(age, a), max(drift, e.Drift(p.Now()))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return say.OldElements(names, age, drift)
}
