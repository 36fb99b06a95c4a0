package watch

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/event"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/outing"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// outingMargin is how long before and after an outing's span its place
// matters.
const outingMargin = time.Hour

// wordAnnounce behind /outing asks for the text that tells others.
const wordAnnounce = "announce"

// Outing shows the outings, or works one out: "/outing IP73 29 May 9-15 WICKET-1
// JO43".
func (p Outings) Outing(rest string) {
	if rest == "" || rest == wordAnnounce {
		armed := lists.Filter(p.Op.Outings, func(o storage.Outing) bool { return !o.Armed.IsZero() && o.Until.After(p.Now()) })
		if rest == wordAnnounce && len(armed) == 1 {
			p.announce(armed[0])
			return
		}
		var views []say.Outing
		for _, o := range armed {
			views = append(views, shown.Outing(o))
		}
		p.Say(say.Outings(views), p.armedButtons(armed)...)
		return
	}
	o, err := outing.Read(rest, p.Sky, p.Op, p.Now())
	if err != nil {
		p.Say(err.Error())
		return
	}
	o.ID = p.Event.Message
	kept := p.roomForOuting()
	if len(kept) >= MostOutings {
		p.Say(say.TooManyOutings, p.armedButtons(kept)...)
		return
	}
	passes, errs := p.outingPasses(o)
	for i, one := range passes {
		if one.Arm == storage.ArmSkipped {
			o.Left, passes[i].view.Left = append(o.Left, one.ID), true
		}
	}
	p.Op.Outings = append(kept, o)
	text, rows := p.outingPart(o, passes, errs, 0)
	p.Say(text, rows...)
	p.sayArmedWith(o)
}

// sayArmedWith says which passes of an outing's hours are armed with another one.
func (p Outings) sayArmedWith(o storage.Outing) {
	var names []string
	var first storage.Outing
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if other, armed := choice.ArmedWith(p.Op, o, pass); armed && pass.AOS.After(p.Now()) && o.Holds(pass.TCA) && sky.Wanted(o.Birds, pass.Bird, p.Sky.Birds()) {
			first, names = other, append(names, say.PassName(shown.Planned(pass)))
		}
	}
	if len(names) > 0 {
		p.Say(say.ArmedWith(names, shown.Outing(first)))
	}
}

// roomForOuting are the outings without those that are over and, where there are
// too many, the oldest that were only looked at.
func (p Outings) roomForOuting() []storage.Outing {
	kept := lists.Filter(p.Op.Outings, func(o storage.Outing) bool { return o.Until.After(p.Now().Add(-tx.Day)) })
	for len(kept) >= MostOutings {
		i := slices.IndexFunc(kept, func(o storage.Outing) bool { return o.Armed.IsZero() })
		if i < 0 {
			break
		}
		kept = slices.Delete(kept, i, i+1)
	}
	return kept
}

// armedButtons announce outings, call them off, and give their timetables again.
func (p Outings) armedButtons(all []storage.Outing) (rows [][]storage.Button) {
	for _, o := range all {
		view := shown.Outing(o)
		rows = append(rows, []storage.Button{
			tx.Button(say.AnnounceLabel(view), TapAnnounce, o.ID), tx.Button(say.CallOffLabel(view), TapCallOff, o.ID),
			tx.Button(say.SheetsLabel(view), TapSheets, o.ID),
		})
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
	case TapLeave:
		p.leaveOrTake(o, tap)
	case TapPart:
		p.showPart(*o, tap)
	case TapAnnounce:
		p.announce(*o)
	case TapCallOff:
		p.callOff(*o)
	case TapCalendar, TapSheets:
		switch passes := p.aheadOn(*o); {
		case len(passes) == 0:
			p.Say(say.NothingFollowed)
		case tap.Verb == TapCalendar:
			p.sendCalendar(passes)
		default:
			p.Post(p.sheets(*o, passes, say.SheetsCaption(len(passes), shown.Outing(*o))))
		}
	case TapThere:
		o.Here = p.Now()
		return *o, true
	case TapNotThere:
		p.Stays(*o)
		p.DropThere(say.NotThere(shown.Place(p.Op.Place)))
	}
	return arrived, false
}

// armOuting puts an outing's passes on the agenda and sends at once all that is
// needed there, because nothing may reach the phone later.
func (p Outings) armOuting(o *storage.Outing) {
	passes, _ := p.outingPasses(*o)
	if !slices.ContainsFunc(passes, func(one outingPass) bool { return !one.view.Left }) { // they are over by now
		p.showPart(*o, tx.Tap{})
		return
	}
	o.Armed = p.Now()
	var taken []storage.Pass
	for _, one := range passes {
		pass := one.Pass
		switch {
		case one.view.Left:
			pass.Arm = storage.ArmSkipped
		case pass.Arm != storage.ArmHand:
			pass.Arm = storage.ArmOuting
		}
		if !one.view.Left {
			pass.Sheet = pass.AOS
			taken = append(taken, pass)
		}
		p.schedule(pass)
	}
	p.Replan()
	p.showPart(*o, tx.Tap{})
	p.Post(p.sheets(*o, taken, say.SheetsCaption(len(taken), shown.Outing(*o))))
	p.sendCalendar(taken)
}

// callOff forgets an outing, or ends one that has begun: what was logged on it still hangs
// on where it was. Its passes that are to come stand again as they would without it.
func (p Outings) callOff(o storage.Outing) {
	i := slices.IndexFunc(p.Op.Outings, func(other storage.Outing) bool { return other.ID == o.ID })
	if p.Now().After(o.From) {
		p.Op.Outings[i].Until = p.Now()
	} else {
		p.Op.Outings = slices.Delete(p.Op.Outings, i, i+1)
	}
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if ours := pass.Arm == storage.ArmOuting || left(o, pass); ours && pass.AOS.After(p.Now()) {
			pass.Arm, pass.Void = storage.ArmNone, true
			p.schedule(pass)
		}
	}
	p.Replan()
	p.EditTapped(say.CalledOff(shown.Outing(o)))
	p.sayStillRing(o)
}

// sayStillRing says which passes of the hours of an outing that was called off have a
// reminder all the same, by the rules or armed by hand, with a button to skip each.
func (p Outings) sayStillRing(o storage.Outing) {
	var names []string
	var rows [][]storage.Button
	var first storage.PassID
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if pass.Followed() && pass.AOS.After(p.Now()) {
			first = cmp.Or(first, pass.ID)
			names, rows = append(names, say.PassName(shown.Planned(pass))), append(rows, []storage.Button{armButton(pass)})
		}
	}
	if len(names) > 0 {
		p.Say(say.StillRing(names), rows[:min(len(rows), offeredPasses)]...)
		p.Posts[len(p.Posts)-1].Pass = first
	}
}

// outingPass is a pass of an outing as it is shown.
type outingPass struct {
	storage.Pass
	view say.OutingPass
}

// left reports whether a pass of an outing was left out before that was armed.
func left(o storage.Outing, pass storage.Pass) bool { return slices.ContainsFunc(o.Left, pass.Named) }

// leaveOrTake leaves a pass out of an outing, or takes it again.
func (p Outings) leaveOrTake(o *storage.Outing, tap tx.Tap) {
	passes, _ := p.outingPasses(*o)
	i := slices.IndexFunc(passes, func(one outingPass) bool { return one.Named(tap.Pass(2)) })
	if i < 0 {
		p.Say(say.OldButton)
		return
	}
	p.leave(o, passes[i].Pass, !passes[i].view.Left)
	p.showPart(*o, tap)
}

// leave leaves a pass out of an outing, or takes it again. Once that is armed the pass is
// skipped or armed with it, and the timetables tell.
func (p Outings) leave(o *storage.Outing, pass storage.Pass, out bool) {
	o.Left = lists.Filter(o.Left, func(id storage.PassID) bool { return !pass.Named(id) })
	how := storage.ArmOuting
	if out {
		o.Left, how = append(o.Left, pass.ID), storage.ArmSkipped
	}
	if !o.Armed.IsZero() {
		p.decide(pass, how)
	}
}

// showPart shows the part of an outing's passes that a button names.
func (p Outings) showPart(o storage.Outing, tap tx.Tap) {
	first, _ := strconv.Atoi(tap.Part(1)) // what is no number is the first of all
	passes, errs := p.outingPasses(o)
	text, rows := p.outingPart(o, passes, errs, first)
	p.EditTapped(text, rows...)
}

// outingPart is the part of an outing's passes that a pass is in, with its buttons:
// all that are taken are armed with one, and each is left out with its own.
func (p Outings) outingPart(o storage.Outing, passes []outingPass, errs []error, with int) (string, [][]storage.Button) {
	out, armed := shown.Outing(o), !o.Armed.IsZero()
	views, taken := make([]say.OutingPass, len(passes)), 0
	for i, one := range passes {
		if views[i] = one.view; !one.view.Left {
			taken++
		}
	}
	pages := say.OutingPages(out, views, say.Refusals(shown.Refused(errs)))
	n := max(slices.IndexFunc(pages, func(page say.OutingPage) bool { return with < page.Last }), 0)
	page := pages[n]
	var rows [][]storage.Button
	if !armed && taken > 0 {
		rows = append(rows, []storage.Button{tx.Button(say.ArmOutingLabel(out, taken, len(passes), len(pages) > 1), TapOuting, o.ID)})
	}
	leave := slices.Chunk(leaveButtons(o, passes[page.First:page.Last], page.First), 2)
	if !armed {
		rows = slices.AppendSeq(rows, leave)
	}
	if len(pages) > 1 {
		next := pages[(n+1)%len(pages)]
		rows = append(rows, []storage.Button{tx.Button(say.OtherPageLabel(next, len(passes)), TapPart, o.ID, next.First)})
	}
	if armed {
		rows = slices.AppendSeq(append(rows, p.armedButtons([]storage.Outing{o})...), leave)
	}
	return page.Text, rows
}

// leaveButtons leave each pass of a part out, or take it again; first is where the
// part begins.
func leaveButtons(o storage.Outing, passes []outingPass, first int) (row []storage.Button) {
	for _, one := range passes {
		label := say.WithoutLabel
		if one.view.Left {
			label = say.WithLabel
		}
		row = append(row, tx.Button(label(one.view.Pass.Pass), TapLeave, o.ID, first, one.ID))
	}
	return row
}

// announce sends the text that tells others of an outing: posts of their own, that
// answer nothing and have no buttons, so that they can be forwarded as they are.
func (p Outings) announce(o storage.Outing) {
	views := p.views(p.aheadOn(o))
	if len(views) == 0 {
		p.Say(say.NothingFollowed)
		return
	}
	for i, page := range layout.Pages(say.Announcement(shown.Place(o.Place), views, p.Op.Call)) {
		p.Post(storage.Post{Name: p.Name("announce", p.Event.ID, i), Text: page, Silent: true})
	}
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
				if _, armed := choice.ArmedWith(p.Op, o, known[i]); armed {
					continue
				}
				pass = seen(known[i], pass)
			}
			if !o.Holds(pass.TCA) {
				continue
			}
			if view, ok := p.PassView(pass); ok && pass.AOS.After(p.Now()) && p.holds(o, pass) {
				view.Wanted = o.Wanted // it may not be armed yet
				skipped := left(o, pass)
				if !o.Armed.IsZero() {
					skipped = pass.Arm == storage.ArmSkipped
				}
				all = append(all, outingPass{pass, say.OutingPass{Pass: view, Left: skipped}})
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
	return !slices.Equal(p.Op.Place.Grids, o.Place.Grids) && o.Here.Before(p.Op.Place.Set)
}

// AskedThere is the outing that asks where the operator is.
func (p Outings) AskedThere() (storage.Outing, bool) {
	o, out := p.outingNow()
	return o, out && p.apartFrom(o)
}

// Stays takes the place set for an outing's.
func (p Outings) Stays(o storage.Outing) {
	p.Op.Outings = slices.Clone(p.Op.Outings)
	for i := range p.Op.Outings {
		if out := &p.Op.Outings[i]; out.ID == o.ID {
			out.Here, out.Place = p.Now(), p.Op.Place
		}
	}
	p.Replan()
}

// AnsweredThere shows as answered what an outing asked.
func (p Outings) AnsweredThere(o storage.Outing, place say.Place) {
	if post, ok := p.StoredPost(p.Name("there", o.ID)); ok && len(post.Buttons) > 0 {
		p.Put(storage.Post{Name: post.Name, Text: say.Arrived(place, 0), Pass: post.Pass})
	}
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

// AskAshore asks it again beside a file, where it was never answered.
func (p Outings) AskAshore() {
	for _, o := range p.Op.Outings {
		ashore := p.Ashore(o)
		if o.Armed.IsZero() || !o.Here.IsZero() || len(ashore) == 0 {
			continue
		}
		if pass, ok := p.Pass(ashore[0].Pass); ok {
			p.Say(say.AskThere(shown.Place(p.Op.Place), shown.Place(o.Place)), p.thereButtons(pass)...)
		}
	}
}

// Ashore are the contacts of an outing's passes that hold the grid of the place
// set instead of the outing's.
func (p Outings) Ashore(o storage.Outing) []storage.Contact {
	var all []storage.Contact
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if !choice.SamePlace(pass.Place, o.Place) {
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
