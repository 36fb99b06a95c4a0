// Package report shows the log: of a pass, of a day, of a station or a grid in all of
// it, and how one contact came to be what it is.
package report

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/exchange"
	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/layout"
	"skyslate/bot/lists"
	"skyslate/bot/past"
	"skyslate/bot/peers"
	"skyslate/bot/phrase"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// Reports show the log as an event leaves it.
type Reports struct {
	*tx.Tx
	Past  past.Past
	Peers peers.Peers
}

func kept(c storage.Contact) bool { return c.State != storage.Dropped }

// ShowPass shows a pass, or where nothing stands on it the latest day that has contacts,
// and how many contacts wait for their pass beside those: the latest, or every one.
func (r Reports) ShowPass(pass storage.Pass, waiting []storage.Contact, every bool) {
	today := tx.StartOfDay(r.Event.At, r.Local())
	all := r.loggedIn(today, today.Add(2*tx.Day))
	told, heading, ofDay := all, say.Today, true
	if own := lists.Filter(r.ContactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		told, heading, ofDay = own, say.PassName(shown.Planned(pass)), false
		if pass.LOS.Before(today) {
			heading = say.DatedName(shown.Planned(pass))
		}
	} else if c, ok := r.latest(today); ok && len(all) == 0 {
		day := tx.StartOfDay(c.Time, r.Local())
		told, heading = r.loggedIn(day, tx.NextDay(day, r.Local())), say.EarlierDay(day.In(r.Local()))
	}
	ids := tx.IDs(told)
	waiting = lists.Filter(waiting, func(c storage.Contact) bool { return !slices.Contains(ids, c.ID) })
	most, before := layout.Lines-4, len(r.Posts)
	if every {
		most += (layout.MostPages - 1) * layout.Lines
	}
	r.Say(say.Log(heading, Listed(r.Tx, told, r.Peers.Agreed(told)), most, say.LogCounts{Worth: Worth(told), Today: Worth(all), Waiting: len(waiting), OfDay: ofDay}))
	if len(told) > 0 && onePass(told) { // its numbers are shown
		r.Op.Listed = told[0].Pass
	}
	for i := range r.Posts[before:] {
		post := &r.Posts[before+i]
		post.About, post.List, post.Pass = ids, true, pass.ID
	}
}

// MostPasses is how many passes are shown at once, beside the one at hand.
const MostPasses = 12

// ShowAll shows every contact of the passes of the last day, that at hand last, and says how
// to see what is older.
func (r Reports) ShowAll(at storage.Pass, waiting []storage.Contact) {
	now := r.Event.At
	since := now.Add(-tx.Day)
	others := lists.Filter(r.StoredIn(since, now), func(pass storage.Pass) bool { return pass.ID != at.ID && r.WorkedOn(pass) })
	for _, pass := range others[max(len(others)-MostPasses, 0):] {
		r.ShowPass(pass, nil, true)
	}
	if len(others) == 0 || len(waiting) > 0 || r.WorkedOn(at) {
		r.ShowPass(at, waiting, true)
	}
	if len(others) > MostPasses || r.Past.HasPast(storage.Contact{Time: since}) {
		r.Say(say.Meaning("older"))
	}
}

// loggedIn are the contacts of a span of time that the operator told.
func (r Reports) loggedIn(from, to time.Time) []storage.Contact {
	return lists.Filter(r.ContactsIn(from, to), func(c storage.Contact) bool { return c.State != storage.Remembered && kept(c) })
}

// latest is the last contact before a moment.
func (r Reports) latest(to time.Time) (storage.Contact, bool) {
	for days := time.Duration(1); days <= farthestBack; days *= 4 {
		if all := r.loggedIn(to.Add(-days*tx.Day), to); len(all) > 0 {
			return all[len(all)-1], true
		}
	}
	return storage.Contact{}, false
}

// farthestBack is how many days back a log is looked for at most: longer than any log.
const farthestBack = 1 << 14

// onePass reports whether contacts are all of one pass.
func onePass(all []storage.Contact) bool {
	return !slices.ContainsFunc(all, func(c storage.Contact) bool { return c.Pass != all[0].Pass })
}

// Listed are contacts in the order of a list, with their numbers, and by those, where they
// are all of one pass.
func Listed(t *tx.Tx, all []storage.Contact, agreed map[uint64]bool) []say.Contact {
	numbered := len(all) > 0 && onePass(all)
	if numbered {
		all = slices.SortedStableFunc(slices.Values(all), func(a, b storage.Contact) int { return cmp.Compare(t.Ordinal(a), t.Ordinal(b)) })
	}
	views := shown.Contacts(all)
	for i, c := range all {
		views[i].Agreed = agreed[c.ID]
		if numbered {
			views[i].Number = t.Ordinal(c)
		}
	}
	return views
}

// ShowHistory shows how a contact came to be what it is.
func (r Reports) ShowHistory(c storage.Contact) {
	versions := tx.List(r.Tx, func() ([]storage.Contact, error) { return r.View.History(r.Op.ID, c.ID) })
	views := shown.Contacts(versions)
	views[len(views)-1].Number = r.Ordinal(c)
	r.Say(say.History(views))
	r.Posts[len(r.Posts)-1].About = []uint64{c.ID}
}

// ShowLast shows the last contact of all with its history.
func (r Reports) ShowLast() {
	if c, ok := r.latest(r.Event.At.Add(tx.Day)); ok {
		r.ShowHistory(c)
		return
	}
	r.Say(say.NothingLogged)
}

// TellOf says in a sentence what the log knows of a station, or of each of some grids, on a
// bird if one is named.
func (r Reports) TellOf(call, grids, bird string) {
	var on storage.BirdRef
	if b, ok := r.Sky.Bird(bird); ok {
		on = storage.BirdRef{Catalog: b.Catalog, Name: b.Name}
	}
	if its, err := parse.ParseCallsign(call); err == nil {
		r.Say(r.Past.Answer(filing.Inquiry{Station: parse.Station{Call: its}, Bird: on}))
		return
	}
	among, _, err := tx.GridsAmong(grids)
	if err != nil {
		r.Say(say.NeverWorked(call + grids))
		return
	}
	var answers []string
	for _, g := range among {
		answers = append(answers, r.Past.Answer(filing.Inquiry{Station: parse.Station{Grids: []parse.Grid{g}}, Bird: on}))
	}
	r.Say(strings.Join(answers, "\n"))
}

// ShowStation shows all contacts with a station, whatever the pass and the marks of its
// call, imported ones too; the only one with its history.
func (r Reports) ShowStation(call parse.Callsign) {
	var all []storage.Contact
	for _, its := range r.Past.CallsOf(call.Base()) {
		all = append(all, tx.List(r.Tx, func() ([]storage.Contact, error) { return r.View.ContactsOfCall(r.Op.ID, its) })...)
	}
	r.found(call.String(), all)
}

// ShowGrid shows all contacts with stations in a square.
func (r Reports) ShowGrid(g parse.Grid) {
	r.found(g.Square().String(), r.Past.InSquare(g))
}

func (r Reports) found(of string, all []storage.Contact) {
	all = lists.Filter(all, kept)
	switch len(all) {
	case 0:
		r.Say(say.NeverWorked(of))
		return
	case 1:
		r.ShowHistory(all[0])
		return
	}
	slices.SortStableFunc(all, func(a, b storage.Contact) int { return a.Time.Compare(b.Time) })
	before := len(r.Posts)
	r.Say(say.Found(of, shown.Contacts(all)))
	for i := range r.Posts[before:] {
		r.Posts[before+i].About, r.Posts[before+i].List = tx.IDs(all), true
	}
}

// ShowOpen shows every contact that something is still asked of, or that lacks its grid,
// by pass.
func (r Reports) ShowOpen() {
	open := lists.Filter(exchange.Unhanded(r.Tx), func(c storage.Contact) bool {
		return c.State == storage.Doubtful || c.State == storage.Incomplete
	})
	slices.SortFunc(open, func(a, b storage.Contact) int { return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.ID, b.ID)) })
	var groups []say.OpenPass
	for _, c := range open {
		name := ""
		if pass, ok := r.Pass(c.Pass); ok {
			name = say.DatedName(shown.Planned(pass))
		}
		i := slices.IndexFunc(groups, func(g say.OpenPass) bool {
			return g.Pass == name && (name != "" || phrase.DayMonth(g.Contacts[0].Time) == phrase.DayMonth(c.Time))
		})
		if i < 0 {
			i, groups = len(groups), append(groups, say.OpenPass{Pass: name})
		}
		groups[i].Contacts = append(groups[i].Contacts, Listed(r.Tx, []storage.Contact{c}, nil)...)
	}
	r.Say(say.Open(groups))
}

// ShowDay shows a day of the operator's: how much, what was new, how far, by pass; or how
// much and how far in all.
func (r Reports) ShowDay(word string) {
	at := r.Event.At
	if strings.EqualFold(word, "all") {
		r.Say(say.DayInAll(say.Day{Contacts: shown.Contacts(logbook.Entries(r.ContactsIn(time.Time{}, at.Add(tx.Day))))}))
		return
	}
	if strings.EqualFold(word, "year") {
		from := time.Date(at.In(r.Local()).Year(), time.January, 1, 0, 0, 0, 0, r.Local())
		r.Say(say.DayInAll(say.Day{Span: from.Format("2006"), Contacts: shown.Contacts(logbook.Entries(r.ContactsIn(from, at.Add(tx.Day))))}))
		return
	}
	if word != "" {
		day, ok := idiom.LastDay(word, at.In(r.Local()))
		if !ok {
			r.Say(say.BadDay(word))
			return
		}
		at = time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, r.Local())
	}
	from := tx.StartOfDay(at, r.Local())
	good := logbook.Entries(r.ContactsIn(from, tx.NextDay(from, r.Local())))
	r.Say(say.DayInAll(say.Day{
		Date: from.In(r.Local()), Contacts: shown.Contacts(good), News: r.Past.Tally(good), Passes: r.byPass(good),
	}))
}

// Worth is how many contacts count: a station once a pass.
func Worth(all []storage.Contact) int { return len(logbook.Entries(all)) }

// byPass counts contacts by their passes, in order.
func (r Reports) byPass(contacts []storage.Contact) []say.PassCount {
	var counts []say.PassCount
	for _, c := range contacts {
		name := exchange.PassNames(r.Tx, []storage.Contact{c})[0]
		i := slices.IndexFunc(counts, func(count say.PassCount) bool { return count.Pass == name })
		if i < 0 { // passes that overlap are worked by turns
			i, counts = len(counts), append(counts, say.PassCount{Pass: name})
		}
		counts[i].Contacts++
		counts[i].FarthestKm = max(counts[i].FarthestKm, shown.Contact(c).ReachKm())
	}
	return counts
}
