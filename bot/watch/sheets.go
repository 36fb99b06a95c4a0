package watch

import (
	"slices"
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

const (
	// mostSheets is how many timetables one outing sends at once.
	mostSheets = 30
	// sheetMoved is how far AOS has to move for a timetable to be sent anew. The
	// dial of 70 cm is 3.5 kHz off by then where it turns fastest (175 Hz/s
	// straight overhead at 420 km), most of a step. Common practice, no source.
	sheetMoved = 20 * time.Second
)

// sendSheets sends an outing's timetables and its calendar file.
func (p Outings) sendSheets(passes []outingPass) {
	sent := passes[:min(len(passes), mostSheets)]
	for i, one := range sent {
		p.sendSheet(one.Pass, one.view, say.SheetHead(one.view.Pass, i+1, len(sent)))
	}
	if more := len(passes) - len(sent); more > 0 {
		p.Say(say.MoreSheets(more))
	}
	all := make([]storage.Pass, len(passes))
	for i, one := range passes {
		all[i] = one.Pass
	}
	p.sendCalendar(all)
}

// sendSheet sends a timetable; a button asks for the calendar file anew.
func (p Planner) sendSheet(pass storage.Pass, view say.Pass, head string, rows ...[]storage.Button) {
	p.Post(storage.Post{
		Name: p.Name("sheet", pass.ID, p.Event.ID), Silent: true, Pass: pass.ID,
		Text: say.Sheet(view, head, p.Op.Call, shown.Zone(pass.Place)), Buttons: rows,
	})
}

// renewSheets tells what has changed about the sheets of outings that are still
// to come.
func (p Planner) renewSheets() {
	for _, o := range p.Op.Outings {
		if o.Armed.IsZero() || !p.Now().Before(o.From) {
			continue
		}
		for _, pass := range p.AllStoredIn(o.From, o.Until) {
			if o.Holds(pass.TCA) {
				p.renewSheet(o, pass)
			}
		}
	}
}

func (p Planner) renewSheet(o storage.Outing, pass storage.Pass) {
	view, ok := p.PassView(pass)
	told, moved := !pass.Sheet.IsZero(), pass.AOS.Sub(pass.Sheet)
	anew := []storage.Button{tx.Button(say.LabelCalendarAnew, TapCalendar, o.ID)}
	switch {
	case !ok || !pass.Followed():
		return
	case pass.Void && told:
		p.Say(say.SheetGone(shown.Planned(pass), shown.Place(pass.Place)), anew)
		pass.Sheet = time.Time{}
	case pass.Void || !p.wants(o, pass) && !told:
		return
	case !told:
		p.sendSheet(pass, view, say.SheetNewHead(view.Pass), anew)
		pass.Sheet = pass.AOS
	case moved.Abs() >= sheetMoved:
		p.sendSheet(pass, view, say.SheetMovedHead(view.Pass, moved), anew)
		pass.Sheet = pass.AOS
	default:
		return
	}
	p.PutPass(pass)
}

// calendarAnew sends an outing's calendar file again, as things stand now.
func (p Outings) calendarAnew(o storage.Outing) {
	ahead := tx.Filter(p.StoredIn(o.From, o.Until), func(pass storage.Pass) bool {
		return pass.Followed() && o.Holds(pass.TCA) && pass.AOS.After(p.Now())
	})
	if len(ahead) == 0 {
		p.Say(say.NothingFollowed)
		return
	}
	p.sendCalendar(ahead)
}

// Alarms is how long before a pass its entry in a calendar rings: on an outing
// once more, well ahead.
func Alarms(op storage.Operator, pass storage.Pass) []time.Duration {
	lead := []time.Duration{op.Remind.Lead}
	if _, out := op.OutingAt(pass.TCA); out && op.Remind.Lead < earlyLead {
		return slices.Insert(lead, 0, earlyLead)
	}
	return lead
}
