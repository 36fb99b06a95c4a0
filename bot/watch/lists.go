package watch

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/choice"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/named"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/sky"
	"skyslate/bot/tx"
	"skyslate/predict"
	"skyslate/storage"
)

// offeredPasses is how many passes of a list have a button to arm them.
const offeredPasses = 6

// wordStale behind /passes asks for passes from elements past their time.
const wordStale = "stale"

// ShowPasses lists the next passes, those followed first of all, with buttons
// to arm and skip, or those of a day; words that name one pass have it told in full.
func (p Answerer) ShowPasses(words string) {
	if strings.EqualFold(words, wordStale) {
		p.showStale()
		return
	}
	p.Replan()
	if m, rest := p.words().Read(words, p.Event.At); len(rest) > 0 || m.Bird != "" || m.Clock.IsSet() {
		if pass, _, ok := p.passAsked(words, anyBird, say.NoPassKnown); ok {
			p.sayInFull(pass)
		}
	} else {
		text, buttons := p.passList(m)
		p.Say(text, buttons...)
		if !m.To.IsZero() {
			p.Posts[len(p.Posts)-1].Name = p.Name(listOfDay, m.From.Unix(), p.Event.ID)
		}
	}
}

// passList is the text and the buttons of the next passes or, of a day, the best of it.
func (p Planner) passList(m named.Pass) (string, [][]storage.Button) {
	ahead := lists.Filter(p.passesOf(m), p.listed)
	lower := 0
	if most := say.ListedPasses; !m.To.IsZero() && len(ahead) > most {
		lower = len(ahead) - most
		ahead = choice.Best(ahead, most)
	}
	var rows []say.Pass
	var buttons [][]storage.Button
	refused := strings.Trim(p.warnings()+"\n"+p.Refusals(), "\n")
	for _, pass := range ahead[:min(len(ahead), say.ListedPasses)] {
		view, ok := p.PassView(pass)
		if !ok {
			continue
		}
		rows = append(rows, view)
		if len(buttons) < offeredPasses {
			buttons = append(buttons, []storage.Button{armButton(pass)})
		}
	}
	if len(rows) == 0 && refused != "" {
		return layout.Fit(refused), p.AddButtons()
	}
	return say.Passes(rows, shown.Place(p.Op.Place), refused, lower), buttons
}

// listed reports whether a pass is worth a line: followed, skipped by hand, or
// of a bird followed and not grazing.
func (p Planner) listed(pass storage.Pass) bool {
	return pass.Arm != storage.ArmNone || p.Follows(pass) && pass.PeakElDeg >= choice.GrazingDeg
}

func armButton(pass storage.Pass) storage.Button {
	if pass.Followed() {
		return tx.Button(say.SkipLabel(shown.Planned(pass)), TapSkip, pass.ID)
	}
	return tx.Button(say.ArmLabel(shown.Planned(pass)), TapArm, pass.ID)
}

// TapAdd is the verb of a button that adds a bird; behind it stands its number.
const TapAdd = "add"

// AddButtons offer to add the birds whose elements are here and which the list lacks,
// where they are few: who gets the elements of all birds there are chose those wanted.
func (p Planner) AddButtons() [][]storage.Button {
	var rows [][]storage.Button
	for _, e := range p.Sky.Orphans() {
		rows = append(rows, []storage.Button{tx.Button(say.AddLabel(e), TapAdd, e.Catalog)})
	}
	if len(rows) > mostAdds {
		return nil
	}
	return rows
}

// mostAdds is how many birds are offered to be added.
const mostAdds = 8

// Refusals says which followed birds can't be predicted, and why.
func (p Planner) Refusals() string {
	return p.refusals(lists.Filter(p.Sky.Birds(), func(b predict.Bird) bool { return p.Sky.Follows(p.Op.Remind, b) }))
}

// refusals says which of some birds can't be predicted, and why.
func (p Planner) refusals(birds []predict.Bird) string {
	var errs []error
	var never []string
	for _, bird := range birds {
		if e, ok := p.Sky.Elements(bird.Catalog); ok && !e.EverRises(sky.Site(p.Op.Place)) {
			never = append(never, bird.Name)
			continue
		}
		if _, err := p.Sky.Ephemeris(bird.Catalog, p.Now(), p.Now()); err != nil {
			errs = append(errs, err)
		}
	}
	refused := shown.Refused(errs)
	refused.Others, refused.All = p.Sky.Orphans(), len(refused.NoElements) == len(birds)
	return strings.Trim(say.Refusals(refused)+"\n"+say.NeverUp(never), "\n")
}

// TapArm arms or skips a pass and brings the post that was tapped up to date.
func (p Teller) TapArm(tap tx.Tap) {
	pass, ok := p.Pass(tap.Pass(0))
	follow := tap.Verb == TapArm
	if !ok || pass.Void || !pass.LOS.After(p.Now()) {
		p.Say(say.OldButton)
		return
	}
	if follow && p.armedFull(pass.ID) {
		return
	}
	pass = p.arm(pass, follow)
	post, ok := p.TappedPost()
	if date, is := p.eveningDate(post.Name); ok && is {
		text, buttons := p.eveningList(date)
		p.EditTapped(text, buttons...)
		return
	}
	if ok && post.Pass == "" {
		text, buttons := p.passList(dayListed(post.Name, p.Local()))
		p.EditTapped(text, buttons...)
		return
	}
	p.Say(p.armedText(pass))
	view, can := p.PassView(pass)
	buttons := withButton(post.Buttons, p.Event.Data, armButton(pass))
	switch {
	case ok && can && post.Class != storage.ClassReminder && tells(post): // an answer, which told whether it was followed
		p.EditTapped(say.NextPass(say.Coming{Next: &view}, p.Now(), shown.Zone(pass.Place)), buttons...)
	case ok:
		p.EditTapped(post.Text, buttons...)
	}
}

// tells reports whether a post tells of one pass, and has its timetable behind a button.
func tells(post storage.Post) bool {
	return slices.ContainsFunc(slices.Concat(post.Buttons...), func(b storage.Button) bool { return tx.ReadTap(b.Data).Verb == TapTell })
}

// listOfDay names a list of the passes of a day; behind it stands when that begins.
const listOfDay = "day"

// dayListed is the day in a zone that a post lists, of no other post any.
func dayListed(post string, loc *time.Location) (m named.Pass) {
	_, text, _ := strings.Cut(post, "/"+listOfDay+"/")
	text, _, _ = strings.Cut(text, "/")
	if from, err := strconv.ParseInt(text, 10, 64); err == nil {
		m.From = time.Unix(from, 0).UTC()
		m.To = tx.NextDay(m.From, loc)
	}
	return m
}

// reminderOf is when the reminder of a pass comes: its own, or that of a pass which is still up
// when it rises and tells of both; zero: none does any more.
func (p Planner) reminderOf(pass storage.Pass) time.Time {
	lead, now := p.Op.Remind.Lead, p.Now()
	at := pass.AOS.Add(-lead)
	for _, before := range p.StoredIn(pass.AOS, pass.AOS.Add(time.Second)) {
		if own := before.AOS.Add(-lead); before.Followed() && before.Decided.IsZero() && own.Before(at) && now.Before(own) {
			at = own
		}
	}
	if !pass.Followed() || !pass.Decided.IsZero() || !now.Before(at) {
		return time.Time{}
	}
	return at
}

// armedText says whether a pass is followed now, and when its reminder comes.
func (p Planner) armedText(pass storage.Pass) string {
	switch {
	case pass.Arm == storage.ArmSkipped && p.keepsCard(pass):
		return say.SkippedWorked(shown.Planned(pass))
	case pass.Arm == storage.ArmSkipped:
		return say.Skipped(shown.Planned(pass))
	}
	return say.Armed(shown.Planned(pass), p.reminderOf(pass))
}

// withButton puts one button in place of another.
func withButton(rows [][]storage.Button, data string, b storage.Button) [][]storage.Button {
	var out [][]storage.Button
	for _, row := range rows {
		row = slices.Clone(row)
		for i := range row {
			if row[i].Data == data {
				row[i] = b
			}
		}
		out = append(out, row)
	}
	return out
}
