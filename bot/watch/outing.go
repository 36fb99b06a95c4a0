package watch

import (
	"slices"
	"strconv"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// earlyLead is how long before AOS that is: time to walk up and set up.
const earlyLead = 45 * time.Minute

// outingMargin is how long before and after an outing's span its place
// matters.
const outingMargin = time.Hour

// Outing shows the outings, or works one out: "/outing IP73 29 May 9-15 WICKET-1
// JO43".
func (p Outings) Outing(rest string) {
	if rest == "" {
		armed := tx.Filter(p.Op.Outings, func(o storage.Outing) bool { return !o.Armed.IsZero() && o.Until.After(p.Now()) })
		var views []say.Outing
		for _, o := range armed {
			views = append(views, shown.Outing(o))
		}
		p.Say(say.Outings(views), p.callOffButtons(armed)...)
		return
	}
	o, err := readOuting(rest, p.Sky, p.Op, p.Now())
	if err != nil {
		p.Say(err.Error())
		return
	}
	o.ID = p.Event.Message
	kept := p.roomForOuting()
	if len(kept) >= MostOutings {
		p.Say(say.TooManyOutings, p.callOffButtons(kept)...)
		return
	}
	p.Op.Outings = append(kept, o)
	passes, errs := p.outingPasses(o)
	var rows [][]storage.Button
	if len(passes) > 0 {
		rows = append(rows, []storage.Button{tx.Button(say.ArmOutingLabel(shown.Outing(o), len(passes)), TapOuting, o.ID)})
	}
	p.Say(outingText(o, passes, errs), rows...)
}

// roomForOuting are the outings without those that are over and, where there are
// too many, the oldest that were only looked at.
func (p Outings) roomForOuting() []storage.Outing {
	kept := tx.Filter(p.Op.Outings, func(o storage.Outing) bool { return o.Until.After(p.Now().Add(-tx.Day)) })
	for len(kept) >= MostOutings {
		i := slices.IndexFunc(kept, func(o storage.Outing) bool { return o.Armed.IsZero() })
		if i < 0 {
			break
		}
		kept = slices.Delete(kept, i, i+1)
	}
	return kept
}

func (p Outings) callOffButtons(all []storage.Outing) [][]storage.Button {
	var rows [][]storage.Button
	for _, o := range all {
		rows = append(rows, []storage.Button{tx.Button(say.CallOffLabel(shown.Outing(o)), TapCallOff, o.ID)})
	}
	return rows
}

// TapOuting answers an outing's buttons. It returns the outing at whose place the
// operator is now, if they said so: what was logged there is still to be told.
func (p Outings) TapOuting(tap tx.Tap) (arrived storage.Outing, ok bool) {
	i := slices.IndexFunc(p.Op.Outings, func(o storage.Outing) bool { return strconv.FormatInt(o.ID, 10) == tap.Part(0) })
	if i < 0 || !p.Op.Outings[i].Until.Add(outingMargin).After(p.Now()) {
		p.Say(say.OldButton)
		return arrived, false
	}
	p.Op.Outings = slices.Clone(p.Op.Outings)
	o := &p.Op.Outings[i]
	switch tap.Verb {
	case TapOuting:
		p.armOuting(o)
	case TapCallOff:
		p.callOff(*o)
	case TapCalendar:
		p.calendarAnew(*o)
	case TapThere:
		o.Here = p.Now()
		return *o, true
	case TapNotThere:
		o.Here, o.Place = p.Now(), p.Op.Place
		p.Replan()
		p.DropThere(say.NotThere(shown.Place(p.Op.Place)))
	}
	return arrived, false
}

// armOuting puts an outing's passes on the agenda and sends at once all that is
// needed there, because nothing may reach the phone later.
func (p Outings) armOuting(o *storage.Outing) {
	passes, errs := p.outingPasses(*o)
	if len(passes) == 0 {
		p.EditTapped(outingText(*o, nil, errs))
		return
	}
	o.Armed = p.Now()
	for _, one := range passes {
		pass := armedWith(one.Pass)
		pass.Sheet = pass.AOS
		p.schedule(pass)
	}
	p.Replan()
	p.EditTapped(outingText(*o, passes, errs), p.callOffButtons([]storage.Outing{*o})...)
	p.sendSheets(passes)
}

// callOff forgets an outing; its passes stand again as they would without it.
func (p Outings) callOff(o storage.Outing) {
	p.Op.Outings = slices.DeleteFunc(p.Op.Outings, func(other storage.Outing) bool { return other.ID == o.ID })
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if pass.Arm == storage.ArmOuting && pass.AOS.After(p.Now()) {
			pass.Arm, pass.Void = storage.ArmNone, true
			p.schedule(pass)
		}
	}
	p.Replan()
	p.EditTapped(say.CalledOff(shown.Outing(o)))
}

// outingPass is a pass of an outing with its view.
type outingPass struct {
	storage.Pass
	view say.Pass
}

// outingText lists an outing's passes, and says which birds can't be predicted.
func outingText(o storage.Outing, passes []outingPass, errs []error) string {
	var views []say.Pass
	for _, pass := range passes {
		views = append(views, pass.view)
	}
	return say.OutingPasses(shown.Outing(o), views, say.Refusals(shown.Refused(errs)))
}

// outingPasses works an outing's passes out, those known already as they are
// known, and says which birds can't be predicted.
func (p Outings) outingPasses(o storage.Outing) (all []outingPass, errs []error) {
	known := p.AllStoredIn(o.From, o.Until)
	for _, bird := range p.Sky.Birds() {
		found, err := p.Sky.Passes(o.Place, bird.Catalog, o.From, o.Until)
		if err != nil {
			if p.wants(o, storage.Pass{Bird: sky.Ref(bird), Place: o.Place, PeakElDeg: 90}) || p.Sky.Follows(p.Op.Remind, bird) {
				errs = append(errs, err)
			}
			continue
		}
		for _, f := range found {
			pass := tx.PassOver(p.Op.ID, bird, f, o.Place)
			if i := slices.IndexFunc(known, pass.Is); i >= 0 {
				pass = seen(known[i], pass)
			}
			if !o.Holds(pass.TCA) {
				continue
			}
			if view, ok := p.PassView(pass); ok && pass.AOS.After(p.Now()) && p.wants(o, pass) {
				view.Wanted = o.Wanted // it may not be armed yet
				all = append(all, outingPass{pass, view})
			}
		}
	}
	slices.SortFunc(all, func(a, b outingPass) int { return a.AOS.Compare(b.AOS) })
	return all, errs
}

// outingNow is the armed outing around a moment.
func (p Outings) outingNow() (storage.Outing, bool) {
	now := p.CardTime()
	for _, o := range p.Op.Outings {
		if !o.Armed.IsZero() && now.After(o.From.Add(-outingMargin)) && now.Before(o.Until.Add(outingMargin)) {
			return o, true
		}
	}
	return storage.Outing{}, false
}

// apartFrom reports whether the place set is another than an outing's, and the
// operator has not said yet which holds.
func (p Outings) apartFrom(o storage.Outing) bool {
	return !slices.Equal(p.Op.Place.Grids, o.Place.Grids) && !o.Here.After(p.Op.Place.Set)
}

// thereButtons ask, before a pass of an outing, where the operator is, if that
// would matter: the place set is another one.
func (p Outings) thereButtons(pass storage.Pass) [][]storage.Button {
	o, out := p.Op.OutingAt(pass.TCA)
	if !out || !p.apartFrom(o) {
		return nil
	}
	return [][]storage.Button{
		{tx.Button(say.ThereLabel(shown.Place(o.Place)), TapThere, o.ID)},
		{tx.Button(say.NotThereLabel(shown.Place(p.Op.Place)), TapNotThere, o.ID)},
	}
}

// AskThere asks the same once where contacts of an outing's pass come in under
// the grid of another place.
func (p Outings) AskThere() {
	o, out := p.outingNow()
	if !out || len(p.Ashore(o)) == 0 || p.Event.Kind == event.Tapped {
		return
	}
	for _, c := range p.Touched() {
		if pass, ok := p.Pass(c.Pass); ok && len(p.thereButtons(pass)) > 0 {
			p.Put(storage.Post{
				Name: p.Name("there", o.ID), Class: storage.ClassQuestion, Pass: pass.ID,
				Text: say.AskThere(shown.Place(p.Op.Place), shown.Place(o.Place)), Buttons: p.thereButtons(pass),
			})
			return
		}
	}
}

// Ashore are the contacts of an outing's passes that hold the grid of the place
// set instead of the outing's.
func (p Outings) Ashore(o storage.Outing) []storage.Contact {
	var all []storage.Contact
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if !samePlace(pass.Place, o.Place) {
			continue
		}
		for _, c := range p.ContactsOf(pass.ID) {
			if c.State != storage.Dropped && slices.Equal(c.OwnGrids, p.Op.Place.Grids) && !slices.Equal(c.OwnGrids, o.Place.Grids) {
				all = append(all, c)
			}
		}
	}
	return all
}

// DropThere takes the question off the post that was tapped, and answers.
func (p Outings) DropThere(text string) {
	post, ok := p.TappedPost()
	rows := tx.Without(post.Buttons, TapThere, TapNotThere)
	if !ok || len(rows) == 0 && post.Pass != "" && post.Silent {
		p.EditTapped(text)
		return
	}
	p.EditTapped(post.Text, rows...)
	p.Say(text)
}
