package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/event"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// What an outing's buttons begin with; its number follows.
const (
	tapOuting   = "outing"   // arm it
	tapCallOff  = "calloff"  // arm it no more
	tapThere    = "there"    // the operator is at its place
	tapNotThere = "notthere" // the operator's own place is the right one
)

const (
	// momentEarly is the reminder well ahead.
	momentEarly = "early"
	// earlyLead is how long before AOS that is: time to walk up and set up.
	earlyLead = 45 * time.Minute
	// outingPeakDeg is the peak that is enough on a hilltop with a free horizon.
	// Common practice, no source.
	outingPeakDeg = 5
	// mostOutings bounds what one operator prepares at a time.
	mostOutings = 6
	// outingMargin is how long before and after an outing's span its place
	// matters.
	outingMargin = time.Hour
)

// outing shows the outings, or works one out: "/outing IP73 29 May 9-15 WICKET-1
// JO43".
func (p *plan) outing(rest string) {
	if p.SetUpFirst() {
		return
	}
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
	if len(kept) >= mostOutings {
		p.Say(say.TooManyOutings, p.callOffButtons(kept)...)
		return
	}
	p.Op.Outings = append(kept, o)
	passes, errs := p.outingPasses(o)
	var rows [][]storage.Button
	if len(passes) > 0 {
		rows = append(rows, []storage.Button{{Label: say.ArmOutingLabel(shown.Outing(o), len(passes)), Data: outingData(tapOuting, o)}})
	}
	p.Say(outingText(o, passes, errs), rows...)
}

// roomForOuting are the outings without those that are over and, where there are
// too many, the oldest that were only looked at.
func (p *plan) roomForOuting() []storage.Outing {
	kept := tx.Filter(p.Op.Outings, func(o storage.Outing) bool { return o.Until.After(p.Now().Add(-tx.Day)) })
	for len(kept) >= mostOutings {
		i := slices.IndexFunc(kept, func(o storage.Outing) bool { return o.Armed.IsZero() })
		if i < 0 {
			break
		}
		kept = slices.Delete(kept, i, i+1)
	}
	return kept
}

func outingData(verb string, o storage.Outing) string { return fmt.Sprintf("%s:%d", verb, o.ID) }

func (p *plan) callOffButtons(all []storage.Outing) [][]storage.Button {
	var rows [][]storage.Button
	for _, o := range all {
		rows = append(rows, []storage.Button{{Label: say.CallOffLabel(shown.Outing(o)), Data: outingData(tapCallOff, o)}})
	}
	return rows
}

// tapOuting answers an outing's buttons.
func (p *plan) tapOuting(verb, rest string) {
	id, err := strconv.ParseInt(rest, 10, 64)
	i := slices.IndexFunc(p.Op.Outings, func(o storage.Outing) bool { return o.ID == id })
	if err != nil || i < 0 || !p.Op.Outings[i].Until.Add(outingMargin).After(p.Now()) {
		p.Say(say.OldButton)
		return
	}
	p.Op.Outings = slices.Clone(p.Op.Outings)
	o := &p.Op.Outings[i]
	switch verb {
	case tapOuting:
		p.armOuting(o)
	case tapCallOff:
		p.callOff(*o)
	case tapCalendar:
		p.calendarAnew(*o)
	case tapThere:
		o.Here = p.Now()
		p.arriveAt(*o)
	case tapNotThere:
		o.Here, o.Place = p.Now(), p.Op.Place
		p.replan()
		p.dropThereButtons(say.NotThere(shown.Place(p.Op.Place)))
	}
}

// armOuting puts an outing's passes on the agenda and sends at once all that is
// needed there, because nothing may reach the phone later.
func (p *plan) armOuting(o *storage.Outing) {
	passes, errs := p.outingPasses(*o)
	if len(passes) == 0 {
		p.EditTapped(outingText(*o, nil, errs))
		return
	}
	o.Armed = p.Now()
	p.dismiss(*o)
	for _, one := range passes {
		pass := armedWith(one.Pass)
		pass.Sheet = pass.AOS
		p.schedule(pass)
	}
	p.replan()
	p.EditTapped(outingText(*o, passes, errs), p.callOffButtons([]storage.Outing{*o})...)
	p.sendSheets(passes)
}

// armedWith is a pass of an outing, armed unless it was skipped by hand.
func armedWith(pass storage.Pass) storage.Pass {
	if pass.Arm != storage.ArmSkipped && pass.Arm != storage.ArmHand {
		pass.Arm = storage.ArmOuting
	}
	return pass
}

// dismiss takes off the agenda what is planned for elsewhere during an outing.
func (p *plan) dismiss(o storage.Outing) {
	for _, pass := range p.PassesIn(o.From, o.Until) {
		if o.Holds(pass.TCA) && pass.AOS.After(p.Now()) && !samePlace(pass.Place, o.Place) {
			pass.Void = true
			p.schedule(pass)
		}
	}
}

// callOff forgets an outing; its passes stand again as they would without it.
func (p *plan) callOff(o storage.Outing) {
	p.Op.Outings = slices.DeleteFunc(p.Op.Outings, func(other storage.Outing) bool { return other.ID == o.ID })
	for _, pass := range p.PassesIn(o.From, o.Until) {
		if pass.Arm == storage.ArmOuting && pass.AOS.After(p.Now()) {
			pass.Arm, pass.Void = storage.ArmNone, true
			p.schedule(pass)
		}
	}
	p.replan()
	p.EditTapped(say.CalledOff(shown.Outing(o)))
}

func samePlace(a, b storage.Place) bool {
	return slices.Equal(a.Grids, b.Grids) && a.LatDeg == b.LatDeg && a.LonDeg == b.LonDeg
}

// A sighting is a pass as it is found over a place.
type sighting struct {
	predict.Pass
	place storage.Place
}

// sightings are the passes of a bird where the operator will be: at an armed
// outing's place during that, else at the place set.
func (p *plan) sightings(bird predict.Bird, found []predict.Pass, from, to time.Time) []sighting {
	var all []sighting
	for _, f := range found {
		if _, out := p.Op.OutingAt(f.TCA); !out {
			all = append(all, sighting{f, p.Op.Place})
		}
	}
	for _, o := range p.Op.Outings {
		if o.Armed.IsZero() || !o.From.Before(to) || !o.Until.After(from) {
			continue
		}
		for _, f := range p.seenAt(o, bird, tx.Later(from, o.From), o.Until) {
			all = append(all, sighting{f, o.Place})
		}
	}
	return all
}

// seenAt are the passes of a bird at an outing that culminate in its span.
func (p *plan) seenAt(o storage.Outing, bird predict.Bird, from, to time.Time) []predict.Pass {
	found, err := p.Sky.Passes(o.Place, bird.Catalog, from, to)
	if err != nil {
		return nil // told where birds are shown
	}
	return tx.Filter(found, func(f predict.Pass) bool { return !f.AOS.IsZero() && !f.LOS.IsZero() && o.Holds(f.TCA) })
}

// armOutings arms the passes that armed outings want, in place.
func (p *plan) armOutings(all []storage.Pass) {
	for i, pass := range all {
		o, out := p.Op.OutingAt(pass.TCA)
		switch {
		case pass.Void || !pass.AOS.After(p.Now()):
		case out && p.wants(o, pass):
			all[i] = armedWith(pass)
		case pass.Arm == storage.ArmOuting:
			all[i].Arm = storage.ArmNone
		}
	}
}

// leftOut reports whether the rules would arm a pass that an outing doesn't want.
func (p *plan) leftOut(pass storage.Pass, arm storage.Arming) bool {
	o, out := p.Op.OutingAt(pass.TCA)
	return out && arm == storage.ArmAuto && pass.Decided.IsZero() && !p.wants(o, pass)
}

// wants reports whether an outing wants a pass: one of its birds, from
// outingPeakDeg on, or lower where a grid wanted or a sked is in reach.
func (p *plan) wants(o storage.Outing, pass storage.Pass) bool {
	if !samePlace(pass.Place, o.Place) {
		return false
	}
	if len(pass.Skeds) > 0 {
		return true
	}
	names := o.Birds
	if len(names) == 0 {
		names = p.Op.Remind.Birds
	}
	if !sky.Wanted(names, pass.Bird, p.Sky.Birds()) {
		return false
	}
	view, ok := p.PassView(pass)
	reached := func(g parse.Grid) bool {
		_, in := view.With(g)
		return in
	}
	return ok && (pass.PeakElDeg >= outingPeakDeg || slices.ContainsFunc(o.Wanted, reached))
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
func (p *plan) outingPasses(o storage.Outing) (all []outingPass, errs []error) {
	known := p.AllPassesIn(o.From, o.Until)
	for _, bird := range p.Sky.Birds() {
		if _, err := p.Sky.Passes(o.Place, bird.Catalog, o.From, o.Until); err != nil {
			if p.wants(o, storage.Pass{Bird: sky.Ref(bird), Place: o.Place, PeakElDeg: 90}) || p.Sky.Follows(p.Op.Remind, bird) {
				errs = append(errs, err)
			}
			continue
		}
		for _, f := range p.seenAt(o, bird, o.From, o.Until) {
			pass := p.newPass(sighting{f, o.Place}, bird)
			if i := slices.IndexFunc(known, func(k storage.Pass) bool {
				return k.Bird.Catalog == bird.Catalog && k.AOS.Before(f.LOS) && k.LOS.After(f.AOS)
			}); i >= 0 {
				pass = seen(known[i], sighting{f, o.Place})
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

// early is the reminder well ahead, for the first pass after a pause: between
// passes the phone stays quiet.
func (p *plan) early(pass storage.Pass) {
	now := p.Now()
	if !pass.Early.IsZero() || pass.Arm != storage.ArmOuting || !pass.Decided.IsZero() {
		return
	}
	pass.Early = now
	p.PutPass(pass)
	before := tx.Filter(p.PassesIn(pass.AOS.Add(-earlyLead-p.Op.Remind.Lead), pass.AOS), func(other storage.Pass) bool {
		return other.ID != pass.ID && other.Followed() && other.AOS.Before(pass.AOS)
	})
	view, ok := p.PassView(pass)
	if !ok || len(before) > 0 || !now.Before(pass.AOS.Add(-p.Op.Remind.Lead)) {
		return
	}
	p.Post(storage.Post{
		Name: p.Name("early", pass.ID), NotAfter: pass.AOS.Add(-p.Op.Remind.Lead), Pass: pass.ID,
		Text: say.Early(view, now, shown.Zone(pass.Place)), Buttons: p.thereButtons(pass),
	})
}

// outingNow is the armed outing around a moment.
func (p *plan) outingNow() (storage.Outing, bool) {
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
func (p *plan) apartFrom(o storage.Outing) bool {
	return !slices.Equal(p.Op.Place.Grids, o.Place.Grids) && !o.Here.After(p.Op.Place.Set)
}

// thereButtons ask, before a pass of an outing, where the operator is, if that
// would matter: the place set is another one.
func (p *plan) thereButtons(pass storage.Pass) [][]storage.Button {
	o, out := p.Op.OutingAt(pass.TCA)
	if !out || !p.apartFrom(o) {
		return nil
	}
	return [][]storage.Button{
		{{Label: say.ThereLabel(shown.Place(o.Place)), Data: outingData(tapThere, o)}},
		{{Label: say.NotThereLabel(shown.Place(p.Op.Place)), Data: outingData(tapNotThere, o)}},
	}
}

// askThere asks the same once where contacts of an outing's pass come in under
// the grid of another place.
func (p *plan) askThere() {
	o, out := p.outingNow()
	if !out || len(p.ashore(o)) == 0 || p.Event.Kind == event.Tapped {
		return
	}
	for _, c := range p.Touched() {
		if pass, ok := p.Pass(c.Pass); ok && len(p.thereButtons(pass)) > 0 {
			p.Put(storage.Post{
				Name: p.Name("there", o.ID), Text: say.AskThere(shown.Place(p.Op.Place), shown.Place(o.Place)), Buttons: p.thereButtons(pass), Pass: pass.ID,
			})
			return
		}
	}
}

// ashore are the contacts of an outing's passes that hold the grid of the place
// set instead of the outing's.
func (p *plan) ashore(o storage.Outing) []storage.Contact {
	var all []storage.Contact
	for _, pass := range p.PassesIn(o.From, o.Until) {
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

// arriveAt sets the outing's place and puts its grid into the contacts made
// there already.
func (p *plan) arriveAt(o storage.Outing) {
	p.offerChange(p.ashore(o), storage.Change{Field: "grid", Grids: slices.Clone(o.Place.Grids)})
	moved := len(p.Contacts)
	p.Op.Place = o.Place
	p.Op.Place.Set = p.Now()
	p.replan()
	p.dropThereButtons(say.Arrived(shown.Place(p.Op.Place), moved))
	p.show()
}

// dropThereButtons takes the question off the post that was tapped, and answers.
func (p *plan) dropThereButtons(text string) {
	post, ok := tx.Got(p.Tx, func() (storage.Post, bool, error) { return p.View.PostByApp(p.Op.ID, p.Event.Post) })
	rows := tx.Filter(post.Buttons, func(row []storage.Button) bool { return !isThere(row) })
	if !ok || len(rows) == 0 && post.Pass != "" && post.Silent {
		p.EditTapped(text)
		return
	}
	p.EditTapped(post.Text, rows...)
	p.Say(text)
}

func isThere(row []storage.Button) bool {
	return slices.ContainsFunc(row, func(b storage.Button) bool {
		verb, _, _ := strings.Cut(b.Data, ":")
		return verb == tapThere || verb == tapNotThere
	})
}
