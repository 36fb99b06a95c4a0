package bot

import (
	"slices"

	"skyslate/bot/contact"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/bot/question"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/parse"
	"skyslate/storage"
)

// placed takes a message that tells in plain words where the operator is. Where it was
// asked, the words are the answer, also while a pass is worked.
func (p *plan) placed(q question.Question) {
	o, asked := p.AskedThere()
	if asked && (q.Kind == question.There || q.Kind == question.Maybe && sayGrids(q) == phrase.Grids(o.Place.Grids)) {
		q = question.Question{Kind: question.Move, Grids: phrase.Grids(o.Place.Grids)}
	}
	working := p.working()
	switch {
	case q.Kind == question.Was && p.wasIn(sayGrids(q)):
	case asked && q.Kind == question.Move && sayGrids(q) == phrase.Grids(p.Op.Place.Grids):
		p.Op.Place.Confirmed = p.Now()
		p.Stays(o)
		p.Say(say.NotThere(shown.Place(p.Op.Place)))
		p.AnsweredThere(o, shown.Place(p.Op.Place))
	case asked:
		p.moved(func() { p.TakeMove(q, false) })
	case q.Kind == question.There && working:
		p.sign(p.Message.ID)
	case q.Kind == question.There:
		p.Op.Place.Confirmed = p.Event.At
		p.SetGrids("")
	default:
		p.TakeMove(q, working)
	}
}

// wasIn asks whether the contacts of the last day that count for its last place were made from
// other grids, which were told of the past; false where there are none.
func (p *plan) wasIn(grids string) bool {
	to, refusal := p.ChangeTo("mygrid", grids, storage.Pass{})
	all := lists.Filter(p.ContactsIn(p.Now().Add(-tx.Day), p.Event.At), func(c storage.Contact) bool { return c.State != storage.Dropped })
	if refusal != "" || len(all) == 0 {
		return false
	}
	last := slices.MaxFunc(all, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	elsewhere := lists.Filter(all, func(c storage.Contact) bool { return !slices.Equal(c.OwnGrids, to.Grids) })
	if slices.Equal(last.OwnGrids, to.Grids) && len(elsewhere) > 0 { // those of before are meant
		last = slices.MaxFunc(elsewhere, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	}
	b, _, _ := p.propose(to, grids, lists.Filter(all, func(c storage.Contact) bool {
		return slices.Equal(c.OwnGrids, last.OwnGrids)
	}))
	if len(b.Contacts) == 0 {
		p.Say(settings.WasThere(last.OwnGrids))
		return true
	}
	p.Say(settings.AskWas(to.Grids, last.OwnGrids, len(b.Contacts)),
		[]storage.Button{tx.Button(settings.WasLabel(to.Grids), tapBulk, b.Message, 1), tx.Button(say.LabelLeave, tapBulk, b.Message, 0)},
		[]storage.Button{tx.Button(settings.MoveLabel(to.Grids), watch.TapMove, grids)})
	return true
}

// working reports whether a pass is worked now.
func (p *plan) working() bool {
	at, _ := p.PassAtHand(p.Event.At)
	return p.WorkedOn(at) && at.Up(p.Event.At)
}

// putsRight takes grids or a call alone that put right what was set up: during a pass they are
// a station's.
func (p *plan) putsRight(text string) bool {
	at, _ := p.PassAtHand(p.Event.At)
	return !at.Up(p.Event.At) && p.PutsRight(text)
}

// sayGrids are the grids that a question names, as they are shown.
func sayGrids(q question.Question) string {
	grids, _, _ := tx.GridsIn(q.Grids) // none, of what is no grid
	return phrase.Grids(grids)
}

// moved lets the operator tell the place in some way. Where an outing had asked for it,
// that is the answer, and holds for what was logged there meanwhile too.
func (p *plan) moved(tell func()) {
	o, asked := p.AskedThere()
	if !asked {
		tell()
		return
	}
	meanwhile, before := p.Ashore(o), p.Op.Place
	tell()
	now := p.Op.Place
	onTheWay := p.Event.Spot != nil && p.Event.Spot.Live && phrase.Grids(parse.Squares(now.Grids)) != phrase.Grids(parse.Squares(o.Place.Grids))
	if onTheWay || slices.Equal(before.Grids, now.Grids) {
		return
	}
	p.Stays(o)
	if len(meanwhile) > 0 {
		p.offerChange(meanwhile, storage.Change{Field: contact.OwnGrid, Grids: slices.Clone(now.Grids)})
		p.Say(say.LoggedThere(shown.Place(now), len(meanwhile)))
		p.show()
	}
	p.AnsweredThere(o, shown.Place(now))
}

// repliesWhere takes the answer to a question where the operator is, if it is grids and
// nothing else.
func (p *plan) repliesWhere(text string) bool {
	post, ok := p.RepliedPost()
	asks := slices.ContainsFunc(slices.Concat(post.Buttons...), func(b storage.Button) bool {
		verb := tx.ReadTap(b.Data).Verb
		return verb == watch.TapThere || verb == watch.TapHere
	})
	if grids, left, err := tx.GridsIn(text); !ok || !asks || err != nil || left != "" || len(grids) == 0 {
		return false
	}
	p.moved(func() { p.SetGrids(text) })
	return true
}
