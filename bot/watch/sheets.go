package watch

import (
	"time"

	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// sheetMoved is how far AOS has to move for a timetable to be sent anew. The dial of
// 70 cm is 3.5 kHz off by then where it turns fastest (175 Hz/s straight overhead at
// 420 km), most of a step. Common practice, no source.
const sheetMoved = 20 * time.Second

// sendSheets owes the timetables of an outing's passes, one document: a message of
// each would fill the chat.
func (p Planner) sendSheets(o storage.Outing, passes []storage.Pass, caption string, rows ...[]storage.Button) {
	r := passesRecipe(storage.RecipeSheets, passes, "timetables", ".txt")
	p.Post(storage.Post{
		Name: p.Name("sheets", o.ID, p.Event.ID), Op: storage.File, Silent: true, Text: caption, Buttons: rows, Recipe: &r,
	})
}

// passesRecipe is that of a document about passes, named by the first of them.
func passesRecipe(kind string, passes []storage.Pass, name, ending string) storage.Recipe {
	first := passes[0]
	r := storage.Recipe{
		Kind:     kind,
		FileName: shown.FileName(name, first.AOS.UTC().Format(time.DateOnly), say.Grids(first.Place.Grids)) + ending,
	}
	for _, pass := range passes {
		r.Passes = append(r.Passes, pass.ID)
	}
	return r
}

// renewSheets sends the timetables of outings that are still to come anew where
// something has changed about them, and tells the changes.
func (p Planner) renewSheets() {
	for _, o := range p.Op.Outings {
		if o.Armed.IsZero() || !p.Now().Before(o.From) {
			continue
		}
		var news []string
		for _, pass := range p.AllStoredIn(o.From, o.Until) {
			if text, sheet := p.sheetNews(o, pass); text != "" {
				news = append(news, text)
				pass.Sheet = sheet
				p.PutPass(pass)
			}
		}
		anew := []storage.Button{tx.Button(say.LabelCalendarAnew, TapCalendar, o.ID)}
		switch passes := p.aheadOn(o); {
		case len(news) == 0:
		case len(passes) == 0:
			p.Say(say.SheetsAnew(shown.Outing(o), news))
		default:
			p.sendSheets(o, passes, say.SheetsAnew(shown.Outing(o), news), anew)
		}
	}
}

// sheetNews is what has changed about the timetable of a pass, and the AOS that it
// has now.
func (p Planner) sheetNews(o storage.Outing, pass storage.Pass) (text string, sheet time.Time) {
	told, moved := !pass.Sheet.IsZero(), pass.AOS.Sub(pass.Sheet)
	switch {
	case !o.Holds(pass.TCA) || !pass.Followed() || !p.canTell(pass):
	case pass.Void && told:
		return say.SheetGone(shown.Planned(pass)), time.Time{}
	case pass.Void || !told && !p.wants(o, pass):
	case !told:
		return say.SheetNew(shown.Planned(pass)), pass.AOS
	case moved.Abs() >= sheetMoved:
		return say.SheetMoved(shown.Planned(pass), moved), pass.AOS
	}
	return "", time.Time{}
}

// aheadOn are the passes of an armed outing that are followed and still to come.
func (p Planner) aheadOn(o storage.Outing) []storage.Pass {
	return tx.Filter(p.StoredIn(o.From, o.Until), func(pass storage.Pass) bool {
		return pass.Followed() && o.Holds(pass.TCA) && pass.AOS.After(p.Now())
	})
}
