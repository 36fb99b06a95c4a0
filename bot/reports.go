package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

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
	past   past
}

// showPass shows the pass at hand: the one up, else the last one; the latest
// contacts, or every one.
func (r reports) showPass(every bool) {
	pass, _ := r.finder.passAtHand(r.Event.At)
	today := tx.StartOfDay(r.Event.At, r.Local())
	all := tx.List(r.Tx, func() ([]storage.Contact, error) {
		return r.View.Contacts(r.Op.ID, today, today.Add(2*tx.Day))
	})
	all = tx.Filter(all, func(c storage.Contact) bool { return c.State != storage.Remembered })
	told, heading := all, say.Today
	kept := func(c storage.Contact) bool { return c.State != storage.Dropped }
	if own := tx.Filter(r.ContactsOf(pass.ID), kept); pass.ID != "" && len(own) > 0 {
		told, heading = own, say.PassName(shown.Planned(pass))
	}
	waiting := tx.Filter(r.finder.waiting(), func(c storage.Contact) bool { return !slices.ContainsFunc(told, sameID(c)) })
	most, before := say.Lines-4, len(r.Posts)
	if every {
		most = say.MostPages * say.Lines
	}
	r.Say(say.Log(heading, shown.Contacts(told), most, say.LogCounts{Worth: worth(told), Today: worth(all), Waiting: len(waiting)}))
	for i := range r.Posts[before:] {
		post := &r.Posts[before+i]
		post.About, post.List, post.Pass = tx.IDs(told), true, pass.ID
	}
}

// showLog shows the pass at hand, or the history of one contact.
func (r reports) showLog(word string) {
	if word == "" && (r.Event.ReplyTo == 0 || len(r.finder.repliedContacts()) != 1) {
		r.showPass(false)
		return
	}
	if strings.EqualFold(word, wordAll) {
		r.showPass(true)
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
	all := tx.List(r.Tx, func() ([]storage.Contact, error) {
		return r.View.Contacts(r.Op.ID, from, tx.StartOfDay(from.Add(tx.Day+tx.Day/2), r.Local()))
	})
	good := logbook.Entries(all)
	r.Say(say.DayInAll(say.Day{
		Date: from.In(r.Local()), Contacts: shown.Contacts(good), News: r.past.newsTally(good), Passes: r.past.byPass(good),
	}))
}

// worth is how many contacts count: a station once a pass.
func worth(all []storage.Contact) int { return len(logbook.Entries(all)) }

func sameID(c storage.Contact) func(storage.Contact) bool {
	return func(other storage.Contact) bool { return other.ID == c.ID }
}

// wordAll behind /voice asks for all recordings of the last day, behind /log for
// all that the pass at hand has.
const wordAll = "all"
