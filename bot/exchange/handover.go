package exchange

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
	"skyslate/storage/logbook"
)

// Words after /adif.
const (
	adifPass  = "pass"
	adifToday = "today"
	adifAll   = "all"
	// Together asks for one document, whatever the own calls and places.
	Together = "together"
)

// An order is what is to be handed over: the contacts of a span of time, or of
// passes in it; without a word only what is new since the last time.
type order struct {
	word     string
	from, to time.Time
	passes   []storage.PassID
	together bool // one document, whatever the own calls and places
}

// HandOver sends the log as ADIF, and says what has to be deleted elsewhere; last is
// the pass that something was logged on last.
func (p Exchange) HandOver(words string, last func() storage.PassID) {
	o, refusal := p.orderOf(words, last)
	if refusal != "" {
		p.Say(refusal)
		return
	}
	all := lists.Filter(p.ordered(o), func(c storage.Contact) bool { return c.State != storage.Remembered })
	slices.SortFunc(all, func(a, b storage.Contact) int { return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.ID, b.ID)) })
	p.hand(o, p.sortOut(all))
}

// ordered are the contacts that an order is about, with all others of their
// passes: of those that went out as they are now, no more is read.
func (p Exchange) ordered(o order) []storage.Contact {
	switch o.word {
	case adifPass:
		var all []storage.Contact
		for _, id := range o.passes {
			all = append(all, p.ContactsOf(id)...)
		}
		return all
	case "":
		return Unhanded(p.Tx)
	}
	return p.ContactsIn(o.from, o.to)
}

// Unhanded are the contacts of which no file holds what they are now, with all
// others of their passes.
func Unhanded(t *tx.Tx) []storage.Contact {
	var all []storage.Contact
	seen := map[storage.PassID]bool{}
	t.Visit(func() error {
		return t.View.VisitUnhanded(t.Op.ID, func(c storage.Contact) bool {
			switch {
			case c.Pass == "":
				all = append(all, c)
			case !seen[c.Pass]:
				seen[c.Pass] = true
				all = append(all, t.ContactsOf(c.Pass)...)
			}
			return true
		})
	})
	return all
}

// orderOf reads the words after /adif; refusal says what is wrong with them.
func (p Exchange) orderOf(words string, last func() storage.PassID) (o order, refusal string) {
	o.to = p.Event.At.Add(tx.Day)
	said := strings.Fields(strings.ToLower(words))
	if i := slices.Index(said, Together); i >= 0 {
		o.together, said = true, slices.Delete(said, i, i+1)
	}
	switch o.word = strings.Join(said, " "); o.word {
	case "", adifAll:
	case adifPass:
		id := last()
		if o.passes = []storage.PassID{id}; id == "" {
			return o, say.NoPassYet
		}
	case adifToday:
		o.from = tx.StartOfDay(p.Event.At, p.Local())
		o.to = tx.StartOfDay(o.from.Add(tx.Day+tx.Day/2), p.Local())
	default:
		return p.spanOf(o, words)
	}
	return o, ""
}

// IsOrder reports whether words are all for saying what is to be handed over.
func (p Exchange) IsOrder(words string) bool {
	_, _, isSpan := p.daysBehind(words)
	_, isPass := p.PassesBehind(words)
	return isSpan || isPass || slices.Contains([]string{"", adifPass, adifToday, adifAll}, words)
}

// daysBehind is the day, the days, the month or the year that words name.
func (p Exchange) daysBehind(words string) (from, to time.Time, ok bool) {
	if date, err := time.Parse(time.DateOnly, words); err == nil {
		return date, date.Add(tx.Day), true
	}
	if from, to, ok := p.DayBehind(words); ok {
		return from, to, true
	}
	if from, to, ok := idiom.SpanIn(strings.Fields(words), p.Event.At.In(p.Local())); ok {
		return from, to, true
	}
	return idiom.MonthIn(strings.Fields(words), p.Now().UTC()) // the dates of the file
}

// spanOf reads the words of an order that name days or a pass.
func (p Exchange) spanOf(o order, words string) (order, string) {
	if from, to, ok := p.daysBehind(o.word); ok {
		o.from, o.to = from, to
		return o, ""
	}
	passes, ok := p.PassesBehind(o.word)
	switch {
	case !ok:
		return o, say.BadSpan(words)
	case len(passes) == 0:
		return o, say.NothingOn(words)
	}
	o.word = adifPass
	for _, pass := range passes {
		o.passes = append(o.passes, pass.ID)
	}
	return o, ""
}

// slowFrom is how many contacts take so long to write that it is said before:
// about a second for 25,000.
const slowFrom = 20_000

// A handing is what there is to hand over, and what to say of it.
type handing struct {
	entries   []storage.Contact // all that belong in a log, by time
	fresh     []storage.Contact // those among them that are new, or not as they were
	added     []storage.Contact // new ones on passes that were handed over before
	changed   []say.Change
	withdrawn []storage.Contact // as they went out, and in no log any more
	doubtful  []storage.Contact
}

// sortOut holds contacts against what was handed over of them. A station that
// was worked twice on a pass counts once, so all its contacts must be there.
func (p Exchange) sortOut(all []storage.Contact) handing {
	all = p.withoutHeld(all)
	fit, unfit := loggable(all)
	h := handing{entries: logbook.Entries(fit), doubtful: unfit}
	isEntry := map[uint64]bool{}
	for _, c := range h.entries {
		isEntry[c.ID] = true
	}
	known := map[storage.PassID]bool{} // passes handed over before
	out := map[uint64]storage.Contact{}
	for _, c := range all {
		was, ok := p.asHandedOver(c)
		if ok {
			out[c.ID] = was
			known[was.Pass] = true
		}
		switch {
		case ok && !isEntry[c.ID]:
			h.withdrawn = append(h.withdrawn, was)
		case c.State == storage.Doubtful:
			h.doubtful = append(h.doubtful, c)
		}
	}
	h.doubtful = lists.Filter(h.doubtful, func(c storage.Contact) bool { // somebody else's line may tell what one logged oneself
		return !slices.ContainsFunc(h.entries, func(e storage.Contact) bool {
			return e.Pass == c.Pass && e.Call == c.Call && slices.Equal(e.Grids, c.Grids) &&
				e.OwnCall == c.OwnCall && slices.Equal(e.OwnGrids, c.OwnGrids)
		})
	})
	for _, c := range h.entries {
		was, ok := out[c.ID]
		switch {
		case ok && (was.Version == c.Version || SameEntry(was, c)):
			continue
		case ok:
			h.changed = append(h.changed, say.Change{Was: shown.Contact(was), Now: shown.Contact(c)})
		case c.Pass != "" && known[c.Pass]:
			h.added = append(h.added, c)
		}
		h.fresh = append(h.fresh, c)
	}
	return h
}

// withoutHeld leaves out what a document that was put into the log holds already, and
// what never went out itself: it is one contact.
func (p Exchange) withoutHeld(all []storage.Contact) []storage.Contact {
	with := map[parse.Callsign][]storage.Contact{}
	return lists.Filter(all, func(c storage.Contact) bool {
		if _, out := p.asHandedOver(c); out || tx.Imported(c) || !c.Exported() {
			return true
		}
		if _, read := with[c.Call]; !read {
			with[c.Call] = tx.List(p.Tx, func() ([]storage.Contact, error) { return p.View.ContactsOfCall(p.Op.ID, c.Call) })
		}
		return !logbook.HeldByFile(with[c.Call], c)
	})
}

// loggable parts contacts from those that no log could take, whatever they are
// held to be: one of them must not keep the others back.
func loggable(all []storage.Contact) (fit, unfit []storage.Contact) {
	for _, c := range all {
		if c.Exported() && !tx.Imported(c) { // what came from a file was tried then
			if _, err := logbook.Record(c); err != nil {
				unfit = append(unfit, c)
				continue
			}
		}
		fit = append(fit, c)
	}
	return fit, unfit
}

// asHandedOver returns a contact as it last went out in a file.
func (p Exchange) asHandedOver(c storage.Contact) (storage.Contact, bool) {
	if p.Err != nil {
		return c, false
	}
	version, ok := p.View.HandedOver(p.Op.ID, c.ID)
	if !ok || version == c.Version {
		return c, ok
	}
	return tx.Got(p.Tx, func() (storage.Contact, bool, error) { return p.View.ContactAt(p.Op.ID, c.ID, version) })
}

// SameEntry reports whether two versions of a contact are the same to another
// log: what says only where the time is from is nothing to that.
func SameEntry(a, b storage.Contact) bool {
	a.TimeSource, b.TimeSource = "", ""
	ra, errA := logbook.Record(a)
	rb, errB := logbook.Record(b)
	return errA == nil && errB == nil && slices.Equal(ra, rb)
}

// hand sends the documents of an order, one for each own call and place unless
// it wants them together, after what changed since the last time.
func (p Exchange) hand(o order, h handing) {
	out := h.entries
	if o.word == "" {
		out = h.fresh
	}
	p.askWorded(h.doubtful)
	if len(out) == 0 && len(h.withdrawn) == 0 {
		p.Say(say.NothingToHandOver(o.word, shown.Contacts(h.doubtful)))
		return
	}
	groups := logbook.Split(out)
	if o.together && len(out) > 0 {
		groups = [][]storage.Contact{out}
	}
	if len(out) >= slowFrom {
		p.Say(say.SlowFile(len(out)))
	}
	for _, text := range say.Since(h.changed, shown.Contacts(h.withdrawn), shown.Contacts(h.added)) {
		p.Say(text)
	}
	for i, part := range groups {
		left := h.doubtful
		if i > 0 {
			left = nil
		}
		p.sendADIF(i, o, part, left)
	}
	p.Withdrawn = append(p.Withdrawn, refs(h.withdrawn)...)
}

// TapWorded says that the contacts of a post were worked, whatever the words with
// them say.
const TapWorded = "worded"

// Worded reports whether nothing but words that no table knows keep a contact out of
// files.
func Worded(c storage.Contact) bool { return c.State == storage.Doubtful && c.Why == say.WhyWords }

// askWorded asks once for all contacts that stand with words that no table knows.
func (p Exchange) askWorded(doubtful []storage.Contact) {
	if worded := lists.Filter(doubtful, Worded); len(worded) > 0 {
		p.Post(storage.Post{
			Name: p.Name("worded", p.Event.ID), ReplyTo: p.Event.Message, About: tx.IDs(worded), List: true, Silent: true,
			Text:    say.WordedAsk(shown.Contacts(worded)),
			Buttons: [][]storage.Button{{tx.Button(say.LabelAllWorked, TapWorded)}},
		})
	}
}

// sendADIF sends contacts as one document.
func (p Exchange) sendADIF(n int, o order, part, doubtful []storage.Contact) {
	p.Post(storage.Post{
		Name: p.Name("adif", p.Event.ID, n), Op: storage.File, ReplyTo: p.Event.Message, Silent: true,
		Text:   say.HandOverCaption(shown.Contacts(part), shown.Contacts(doubtful), PassNames(p.Tx, part), o.from, o.to),
		Recipe: &storage.Recipe{Kind: storage.RecipeADIF, FileName: logbook.FileName(part), Contacts: refs(part)},
	})
}

// refs are contacts as they are now.
func refs(contacts []storage.Contact) []storage.ContactRef {
	var all []storage.ContactRef
	for _, c := range contacts {
		all = append(all, storage.ContactRef{ID: c.ID, Version: c.Version})
	}
	return all
}

// PassNames names the passes of contacts, in their order.
func PassNames(t *tx.Tx, contacts []storage.Contact) []string {
	var names []string
	seen := map[string]bool{}
	for _, c := range contacts {
		name := cmp.Or(c.Bird.Name, say.NoBird)
		if pass, ok := t.Pass(c.Pass); ok {
			name = say.PassName(shown.Planned(pass))
		}
		if !seen[name] {
			names = append(names, name)
		}
		seen[name] = true
	}
	return names
}
