package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/exchange"
	"skyslate/bot/past"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// reports show the log: of a pass, a day, one contact.
type reports struct {
	*tx.Tx
	finder finder
	past   past.Past
}

// showPass shows the pass at hand: the one up, else the last one; the latest
// contacts, or every one.
func (r reports) showPass(every bool) {
	pass, _ := r.finder.passAtHand(r.Event.At)
	today := tx.StartOfDay(r.Event.At, r.Local())
	all := tx.Filter(r.ContactsIn(today, today.Add(2*tx.Day)), func(c storage.Contact) bool { return c.State != storage.Remembered })
	told, heading := all, say.Today
	kept := func(c storage.Contact) bool { return c.State != storage.Dropped }
	if own := tx.Filter(r.ContactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		told, heading = own, say.PassName(shown.Planned(pass))
	}
	ids := tx.IDs(told)
	waiting := tx.Filter(r.finder.waiting(), func(c storage.Contact) bool { return !slices.Contains(ids, c.ID) })
	most, before := say.Lines-4, len(r.Posts)
	if every {
		most = say.MostPages * say.Lines
	}
	r.Say(say.Log(heading, r.Listed(told), most, say.LogCounts{Worth: worth(told), Today: worth(all), Waiting: len(waiting)}))
	for i := range r.Posts[before:] {
		post := &r.Posts[before+i]
		post.About, post.List, post.Pass = ids, true, pass.ID
	}
}

// showLog shows the pass at hand, or the history of one contact.
func (r reports) showLog(word string) {
	every := strings.EqualFold(word, wordAll)
	if every || word == "" && (r.Event.ReplyTo == 0 || len(r.finder.repliedContacts()) != 1) {
		r.showPass(every)
		return
	}
	r.showHistory(word)
}

// showHistory shows how a contact came to be what it is: by its number on the
// pass at hand, by its call there, or as the answer to a post about it.
func (r reports) showHistory(word string) {
	var found []storage.Contact
	if word == "" {
		found = r.finder.repliedContacts()
	} else if pass, ok := r.finder.passMeant(""); ok {
		all := r.ContactsOf(pass.ID)
		if n, err := strconv.Atoi(word); err == nil && n >= 1 && n <= len(all) {
			found = all[n-1 : n]
		} else if call, err := parse.ParseCallsign(word); err == nil {
			found = tx.Filter(all, func(c storage.Contact) bool { return c.Call == call })
		}
	}
	if len(found) == 0 {
		r.Say(say.NoSuchContact)
		return
	}
	c := found[len(found)-1]
	versions := tx.List(r.Tx, func() ([]storage.Contact, error) { return r.View.History(r.Op.ID, c.ID) })
	views := shown.Contacts(versions)
	views[len(views)-1].Number = r.Ordinal(c)
	r.Say(say.History(views))
	r.Posts[len(r.Posts)-1].About = []uint64{c.ID}
}

// showDay shows a day of the operator's: how much, what was new, how far, by pass.
func (r reports) showDay(word string) {
	at := r.Event.At
	if word != "" {
		date, err := time.ParseInLocation(time.DateOnly, word, r.Local())
		if err != nil {
			r.Say(say.BadDay(word))
			return
		}
		at = date
	}
	from := tx.StartOfDay(at, r.Local())
	good := logbook.Entries(r.ContactsIn(from, tx.NextDay(from, r.Local())))
	r.Say(say.DayInAll(say.Day{
		Date: from.In(r.Local()), Contacts: shown.Contacts(good), News: r.past.Tally(good), Passes: r.byPass(good),
	}))
}

// worth is how many contacts count: a station once a pass.
func worth(all []storage.Contact) int { return len(logbook.Entries(all)) }

// wordAll behind /voice asks for all recordings of the last day, behind /log for
// all that the pass at hand has.
const wordAll = "all"

// byPass counts contacts by their passes, in order.
func (r reports) byPass(contacts []storage.Contact) []say.PassCount {
	var counts []say.PassCount
	for _, c := range contacts {
		name := exchange.PassNames(r.Tx, []storage.Contact{c})[0]
		if n := len(counts); n == 0 || counts[n-1].Pass != name {
			counts = append(counts, say.PassCount{Pass: name})
		}
		last := &counts[len(counts)-1]
		last.Contacts++
		last.FarthestKm = max(last.FarthestKm, shown.Contact(c).ReachKm())
	}
	return counts
}
