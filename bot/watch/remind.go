package watch

import (
	"slices"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/lists"
	"skyslate/bot/past"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sound"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// Remind decides the one reminder of a pass, and of the followed passes that
// overlap it, in one message: the first that rises in full, the others a line each.
// Where it would sound in the best minutes of another it waits for their end, unless
// there is no time for that, or it is taken before its moment because a storm is coming.
func (p Teller) Remind(first storage.Pass) {
	if !first.Decided.IsZero() || !first.Followed() {
		return
	}
	now := p.Now()
	if !first.LOS.After(now) {
		p.tooLate()
		return
	}
	best := p.bestOfOthers(first.ID, now, first.LOS)
	free, storm := sound.FreeFrom(now, best), p.Event.Item.At.After(now)
	if free.After(now) && free.Before(first.AOS) && !storm {
		p.At(tx.MomentRemind, free, first.ID)
		return
	}
	silent := free.After(now)
	group := lists.Filter(p.StoredIn(first.AOS, first.LOS), func(pass storage.Pass) bool {
		return pass.ID == first.ID || pass.Followed() && pass.Decided.IsZero() && pass.LOS.After(now)
	})
	var told []storage.Pass
	var end time.Time
	var buttons []storage.Button
	for _, pass := range group {
		if _, ok := p.PassView(pass); ok {
			told = append(told, pass)
		}
		end = timing.Later(end, pass.LOS)
		silent = silent || !pass.Early.IsZero()
		buttons = append(buttons, tx.Button(say.SkipLabel(shown.Planned(pass)), TapSkip, pass.ID))
	}
	if len(told) == 0 {
		return // no elements any more: nothing that could be told is right
	}
	for i := range group {
		group[i].Decided = now
		p.PutPass(group[i])
		p.Off(tx.MomentRemind, group[i].ID)
	}
	slices.SortFunc(told, choice.ByAOS)
	full, _ := p.PastView(told[0])
	var others []say.Pass
	rows := [][]storage.Button{buttons, pictureButtons(told[0])}
	for _, other := range told[1:] {
		view, _ := p.PassView(other)
		others = append(others, view)
		rows = append(rows, []storage.Button{tx.Button(say.TellLabel(view.Pass), TapTell, other.ID)})
	}
	for _, other := range p.meanwhile(told) {
		if view, ok := p.PassView(other); ok {
			others = append(others, view)
			rows = append(rows, []storage.Button{tx.Button(say.TellLabel(view.Pass), TapTell, other.ID)})
		}
	}
	if there := p.thereButtons(told[0]); len(there) > 0 {
		rows = append(rows, there...)
	} else if !p.askOver() && p.askHere() {
		rows = append(rows, p.hereButtons())
	}
	p.Caution()
	p.Post(storage.Post{
		Name: p.Name("remind", first.ID), Class: storage.ClassReminder, Due: told[0].AOS, NotAfter: end, Pass: told[0].ID,
		Silent: silent, Hush: sound.HushFrom(first.LOS, now, best),
		Text: say.Reminder(full, others, p.Op.Call, now, shown.Zone(told[0].Place)), Buttons: rows,
	})
	if p.Op.Remind.Picture {
		p.sendSkyUnasked(told[0])
	}
}

// meanwhile are the passes within others that the rules want and the cap of the day left out.
func (p Teller) meanwhile(told []storage.Pass) []storage.Pass {
	return lists.Filter(p.PassesIn(told[0].AOS, told[0].LOS), func(pass storage.Pass) bool {
		return pass.Arm == storage.ArmNone && choice.Suits(p.Op.Remind, pass, p.Sky.Birds(), p.Local()) && !p.hidden(pass) && !slices.ContainsFunc(told, pass.Is)
	})
}

// bestOfOthers are the best minutes of the other followed passes in a span.
func (p Planner) bestOfOthers(than storage.PassID, from, to time.Time) []predict.Window {
	return sound.Best(p.views(lists.Filter(p.StoredIn(from, to), func(pass storage.Pass) bool {
		return pass.Followed() && pass.ID != than
	})))
}

// Tell shows a pass in full.
func (p Teller) Tell(tap tx.Tap) {
	pass, ok := p.Pass(tap.Pass(0))
	if _, can := p.PassView(pass); !ok || pass.Void || !can || !pass.LOS.After(p.Now()) {
		p.Say(say.OldButton)
		return
	}
	p.sayInFull(pass)
}

// sayInFull tells of a pass all that its reminder does, with buttons for more.
func (p Planner) sayInFull(pass storage.Pass) {
	view, _ := p.PastView(pass)
	p.Say(say.Reminder(view, nil, p.Op.Call, p.Now(), shown.Zone(pass.Place)), pictureButtons(pass), []storage.Button{
		tx.Button(say.LabelLight, TapLight, pass.ID), tx.Button(say.LabelMemories, TapMemories, pass.ID),
	})
	p.Posts[len(p.Posts)-1].Pass = pass.ID
}

// PastView is PassView with what was worked before of what the pass could bring, if
// anything was worked at all.
func (p Planner) PastView(pass storage.Pass) (say.Pass, bool) {
	view, ok := p.PassView(pass)
	worked, now := past.Past{Tx: p.Tx}, storage.Contact{Time: p.Now()}
	if !ok || len(view.Skeds)+len(view.Wanted) == 0 || !worked.HasPast(now) {
		return view, ok
	}
	view.Past = say.Past{Stations: map[parse.Callsign]int{}, Squares: map[parse.Grid]bool{}}
	squares := slices.Clone(view.Wanted)
	for _, s := range view.Skeds {
		squares = append(squares, s.Grid)
		view.Past.Stations[s.Call] = len(worked.Before(s.Call))
	}
	for _, g := range squares {
		view.Past.Squares[g.Square()] = p.SquareWorked(g, storage.BirdRef{}, now)
	}
	return view, true
}

// Rise handles AOS: the card goes up, and where another followed bird is up, one
// tap says which is worked.
func (p Teller) Rise(pass storage.Pass) {
	now := p.Now()
	if !pass.Followed() || !pass.Up(now) {
		return
	}
	p.StepCard(pass)
	up := lists.Filter(p.StoredIn(pass.AOS, pass.AOS.Add(time.Second)), func(other storage.Pass) bool {
		return other.Followed() && other.Up(now)
	})
	if len(up) < 2 || slices.ContainsFunc(up, func(other storage.Pass) bool { return other.ID == p.Op.Chosen }) {
		return
	}
	var buttons [][]storage.Button
	for _, other := range up[:min(len(up), tx.MaxChoices)] {
		buttons = append(buttons, []storage.Button{tx.Button(say.PassName(shown.Planned(other)), TapPass, other.ID)})
	}
	p.Put(storage.Post{
		Name: p.Name("which", up[len(up)-1].ID), Class: storage.ClassQuestion, NotAfter: pass.LOS,
		Text: say.WhichPass(shown.PlannedAll(up), now, ""), Buttons: buttons,
	})
}

// Early is the sound of the first pass of an outing after a pause: what one needs to
// know comes in its reminder, silently.
func (p Teller) Early(pass storage.Pass) {
	now := p.Now()
	if !pass.Early.IsZero() || !pass.Followed() || !choice.OnOuting(p.Op, pass) || !pass.Decided.IsZero() {
		return
	}
	lead := p.Op.Remind.Lead
	view, ok := p.PastView(pass)
	if !ok || !now.Before(pass.AOS.Add(-lead)) || !sound.AfterPause(pass.AOS, p.StoredIn(pass.AOS.Add(-sound.Pause), pass.AOS)) {
		return
	}
	pass.Early = now
	p.PutPass(pass)
	p.Post(storage.Post{
		Name: p.Name("early", pass.ID), Class: storage.ClassReminder, Due: pass.AOS, NotAfter: pass.AOS.Add(-lead), Pass: pass.ID,
		Text: say.Early(view, lead, now, shown.Zone(pass.Place)), Buttons: p.thereButtons(pass),
	})
}
