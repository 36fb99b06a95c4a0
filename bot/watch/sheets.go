package watch

import (
	"cmp"
	"encoding/json"
	"hash/fnv"
	"slices"
	"strconv"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/lists"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/storage"
)

// sheetMoved is how far AOS has to move for a timetable to be sent anew. The dial of
// 70 cm is 3.5 kHz off by then where it turns fastest (175 Hz/s straight overhead at
// 420 km), most of a step. Common practice, no source.
const sheetMoved = 20 * time.Second

// sheets are the timetables of an outing's passes, one document: a message of each would
// fill the chat.
func (p Planner) sheets(o storage.Outing, passes []storage.Pass, caption string) storage.Post {
	r := passesRecipe(storage.RecipeSheets, passes, "timetables", ".txt")
	return storage.Post{
		Name: p.Name("sheets", o.ID, p.Event.ID), Op: storage.File, Silent: true, Text: caption, Recipe: &r,
	}
}

// passesRecipe is that of a document about passes, named by the first of them.
func passesRecipe(kind string, passes []storage.Pass, name, ending string) storage.Recipe {
	first := passes[0]
	r := storage.Recipe{
		Kind:     kind,
		FileName: shown.FileName(name, first.AOS.UTC().Format(time.DateOnly), phrase.Grids(first.Place.Grids)) + ending,
	}
	for _, pass := range passes {
		r.Passes = append(r.Passes, pass.ID)
	}
	return r
}

// sheetsRest is how long after a change timetables are sent anew: who changes one thing
// changes others. Common practice, no source.
const sheetsRest = 10 * time.Minute

// RenewSheets sees to it that the timetables of outings that are still to come are sent
// anew where what they say has changed, once for all that changes within sheetsRest.
func (p Planner) RenewSheets() {
	p.Op.Outings = slices.Clone(p.Op.Outings)
	for i := range p.Op.Outings {
		o := &p.Op.Outings[i]
		if o.Armed.IsZero() || !p.Now().Before(o.From) {
			continue
		}
		said := p.sheetsSay(*o)
		known := cmp.Or(o.Said, said) // before it was first noted nothing is known to have changed
		news, moved := p.sheetsNews(*o)
		switch changed := known != said || len(news) > 0; {
		case !changed:
			o.Said, o.Renews = said, time.Time{}
		case o.Renews.IsZero():
			o.Said, o.Renews = known, p.Now().Add(sheetsRest)
			if !o.Renews.Before(o.From) {
				o.Renews = p.Now()
			}
			p.At(MomentSheets, o.Renews, storage.PassID(strconv.FormatInt(o.ID, 10)))
		case !p.Now().Before(o.Renews):
			o.Said, o.Renews = said, time.Time{}
			for _, pass := range moved {
				p.PutPass(pass)
			}
			p.sheetsAnew(*o, news)
		}
	}
}

// sheetsAnew sends timetables with the news about them.
func (p Planner) sheetsAnew(o storage.Outing, news []string) {
	text := say.SheetsAnew(shown.Outing(o), news)
	switch passes := p.aheadOn(o); {
	case len(passes) > 0:
		anew := p.sheets(o, passes, text)
		anew.Buttons = [][]storage.Button{{tx.Button(say.LabelCalendarAnew, TapCalendar, o.ID)}}
		anew.Offer = new(tx.Button(say.SheetsLabel(shown.Outing(o)), TapSheets, o.ID))
		p.Post(anew)
	case len(news) > 0:
		p.Say(text)
	}
}

// sheetsSay stands for what the timetables of an outing say beside the times.
func (p Planner) sheetsSay(o storage.Outing) string {
	said := []any{p.Op.Call, p.Op.Radio}
	for _, pass := range p.StoredIn(o.From, o.Until) {
		if view, ok := p.PassView(pass); ok && pass.Followed() && choice.Falls(p.Op, o, pass) {
			said = append(said, pass.ID, pass.Skeds, pass.Place.Horizon, view.Bird.Transponders)
		}
	}
	text, err := json.Marshal(said)
	if err != nil {
		return "" // never: plain values, and no number that isn't one
	}
	h := fnv.New64a()
	h.Write(text) // a hash never fails
	return strconv.FormatUint(h.Sum64(), 36)
}

// sheetsNews is what has changed about the passes of an outing since their timetables
// were told, and those passes with the AOS that they have now.
func (p Planner) sheetsNews(o storage.Outing) (news []string, moved []storage.Pass) {
	for _, pass := range p.AllStoredIn(o.From, o.Until) {
		if text, sheet := p.sheetNews(o, pass); text != "" {
			pass.Sheet = sheet
			news, moved = append(news, text), append(moved, pass)
		}
	}
	return news, moved
}

// sheetNews is what has changed about the timetable of a pass, and the AOS that it
// has now.
func (p Planner) sheetNews(o storage.Outing, pass storage.Pass) (text string, sheet time.Time) {
	told, moved := !pass.Sheet.IsZero(), pass.AOS.Sub(pass.Sheet)
	switch {
	case !choice.Falls(p.Op, o, pass) || !pass.Followed() || !p.canTell(pass):
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
	return lists.Filter(p.StoredIn(o.From, o.Until), func(pass storage.Pass) bool {
		return pass.Followed() && choice.Falls(p.Op, o, pass) && pass.AOS.After(p.Now())
	})
}
