package bot

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"skyslate/bot/contact"
	"skyslate/bot/exchange"
	"skyslate/bot/ledger"
	"skyslate/bot/meant"
	"skyslate/bot/peers"
	"skyslate/bot/say"
	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/bot/watch"
	"skyslate/storage"
)

// corrections change or take back what is in the log already. A whole pass, or a
// range of its contacts, is corrected at once by a command of its own:
//
//	/correct [PASS] [N[-M]] bird NAME | date YYYY-MM-DD | slate HH:MM[:SS] | mycall CALL | mygrid GRID…
//	/correct [PASS] N call CALL | grid GRID…
//
// PASS names one by bird, day and a moment of it; without it the pass at
// hand is meant, or that of the post which is answered. N and M are numbers of
// contacts as echoed. Call and grid are the station's, mycall and mygrid one's own.
// What would change is shown first, with its count; one tap does it, and it is one
// step to undo.
type corrections struct {
	*tx.Tx
	ledger  *ledger.Ledger
	finder  meant.Finder
	screen  screen
	outings watch.Outings
}

// correction is the form of that: the pass, the range, the field and its value.
var correction = regexp.MustCompile(`(?i)^(?:(.+?) )??(?:(\d{1,3})(?:[-–](\d{1,3}))? )?((?:my)?(?:call|grids?)|bird|date|slate) (.+)$`)

// correctMany shows what a change to several contacts would do, and offers it.
func (cs corrections) correctMany(rest string) {
	m := correction.FindStringSubmatch(strings.Join(strings.Fields(rest), " "))
	if m == nil {
		cs.Say(say.CorrectHow)
		return
	}
	first, last := 1, math.MaxInt
	if m[2] != "" {
		first, _ = strconv.Atoi(m[2])
		last, _ = strconv.Atoi(cmp.Or(m[3], m[2]))
		first, last = min(first, last), max(first, last)
	}
	pass, ok := cs.finder.PassMeant(m[1])
	if !ok {
		cs.Say(say.NoSuchPass)
		return
	}
	to, refusal := cs.finder.ChangeTo(strings.ToLower(m[4]), m[5], pass)
	if refusal != "" {
		cs.Say(refusal)
		return
	}
	if theirs := to.Field == contact.TheirCall || to.Field == contact.TheirGrid; theirs && first != last {
		cs.Say(say.OneStation)
		return
	}
	var all []storage.Contact
	for _, c := range cs.ContactsOf(pass.ID) {
		if n := cs.Ordinal(c); n >= first && n <= last && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	b, sample, asked := cs.propose(to, m[5], all)
	if len(b.Contacts) == 0 {
		cs.Say(say.NothingToCorrect(shown.Planned(pass)))
		return
	}
	cs.Say(say.Correct(shown.Correction(b), shown.Planned(pass), shown.Contact(sample), asked), []storage.Button{
		tx.Button(say.ChangeLabel(len(b.Contacts)), tapBulk, b.Message, 1),
		tx.Button(say.LabelLeave, tapBulk, b.Message, 0),
	})
}

// propose keeps a change of contacts for a tap to do, with one of those that it changes, as it
// would be, and how many would have to be asked then.
func (cs corrections) propose(to storage.Change, value string, all []storage.Contact) (b storage.Bulk, sample storage.Contact, asked int) {
	b = storage.Bulk{Message: cs.Event.Message, Change: to, Value: value}
	for _, fresh := range cs.tried(all, to) {
		old, _ := cs.Contact(fresh.ID)
		b.Contacts = append(b.Contacts, storage.ContactRef{ID: old.ID, Version: old.Version})
		sample = fresh
		if fresh.State == storage.Doubtful && old.State != storage.Doubtful {
			asked++
		}
	}
	if len(b.Contacts) > 0 {
		tx.Propose(&cs.Op, b)
	}
	return b, sample, asked
}

// tried are the contacts that a change would change, as they would be.
func (cs corrections) tried(all []storage.Contact, to storage.Change) []storage.Contact {
	var fresh []storage.Contact
	for s, keys := range cs.ledger.BySitting(all) {
		to.Contacts = keys
		ev := storage.Evidence{Kind: storage.EvChange, At: cs.Event.At, Change: &to}
		for _, c := range contact.Derive(cs.ledger.Facts(s), append(slices.Clone(s.Evidence), ev)).Contacts {
			id := s.Known[c.Key]
			if old, ok := cs.Contact(id); ok && slices.Contains(keys, c.Key) && !contact.Same(old, c.Contact) {
				c.ID = id
				fresh = append(fresh, c.Contact)
			}
		}
	}
	slices.SortFunc(fresh, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	return fresh
}

// offerChange corrects contacts.
func (cs corrections) offerChange(all []storage.Contact, to storage.Change) {
	for s, keys := range cs.ledger.BySitting(all) {
		to.Contacts = keys
		cs.ledger.Offer(s, storage.Evidence{Kind: storage.EvChange, Change: new(to)})
	}
}

// tapBulkDone does what was shown, or leaves all as it is.
func (cs corrections) tapBulkDone(tap tx.Tap) {
	n, ok := tap.Numbers(2)
	if !ok {
		cs.Say(say.OldButton)
		return
	}
	b, waits := tx.Decide(&cs.Op, n[0])
	if !waits {
		cs.Say(say.OldButton)
		return
	}
	if n[1] == 0 {
		cs.EditTapped(say.LeftAsItIs)
		return
	}
	var all []storage.Contact
	for _, ref := range b.Contacts {
		c, ok := cs.Contact(ref.ID)
		if !ok || c.Version != ref.Version {
			cs.EditTapped(say.ChangedSince)
			return
		}
		all = append(all, c)
	}
	cs.ledger.How = ledger.CauseBulk
	cs.offerChange(all, b.Change)
	cs.ledger.Step = say.CorrectionStep(shown.Correction(b))
	cs.EditTapped(say.Corrected(shown.Correction(b)))
	cs.screen.show()
}

// takeTheirs gives a contact the call and the grids that its station says of itself.
func (p *plan) takeTheirs(tap tx.Tap) {
	d, c, ok := p.peers.Offered(tap)
	if !ok {
		p.Say(say.OldButton)
		return
	}
	p.How = ledger.CauseTheirs
	if c.Call.Base() != d.Call.Base() {
		p.offerChange([]storage.Contact{c}, storage.Change{Field: contact.TheirCall, Call: d.Call})
	}
	if peers.GridsOff(c, d) {
		p.offerChange([]storage.Contact{c}, storage.Change{Field: contact.TheirGrid, Grids: d.Grids})
	}
	p.EditTapped(say.TakenOver(d.Call, d.Grids))
	p.screen.show()
}

// takeTheirBird gives a contact the bird on which its station has it.
func (p *plan) takeTheirBird(tap tx.Tap) {
	c, catalog, ok := p.peers.OtherBird(tap)
	bird, known := p.Sky.ByCatalog(catalog)
	to := storage.Change{Field: "bird", Catalog: catalog}
	if !ok || !known || len(p.corrections.tried([]storage.Contact{c}, to)) == 0 {
		p.Say(say.OldButton)
		return
	}
	p.How = ledger.CauseTheirs
	p.offerChange([]storage.Contact{c}, to)
	p.EditTapped(say.OtherBirdTaken(c.Call, bird.Name))
	p.screen.show()
}

// undoNumbered takes the contacts of some numbers out of the log, or what was done last
// where no number is said.
func (cs corrections) undoNumbered(rest string) {
	switch {
	case rest == "" && cs.Event.Second == "" && cs.outings.TakeBackArming():
		return
	case rest == "":
		cs.undo()
		return
	case strings.EqualFold(rest, wordLast):
		cs.dropLast()
		return
	}
	pass, _ := cs.finder.PassMeant("")
	var out []storage.Contact
	for word := range strings.FieldsFuncSeq(rest, func(r rune) bool { return r == ' ' || r == ',' || r == '#' }) {
		n, err := strconv.Atoi(word)
		c, ok := cs.Numbered(pass.ID, n)
		if err != nil || !ok || c.State == storage.Dropped {
			cs.Say(say.NoSuchNumber)
			return
		}
		out = append(out, c)
	}
	cs.offerChange(out, storage.Change{Field: contact.Out})
	cs.Say(say.Dropping(shown.Contacts(out)))
	cs.screen.show()
}

// wordLast behind /undo means the last contact.
const wordLast = "last"

// dropLast takes the last contact out of the log. Where something else was done since it
// was told, the last step may be meant: it is asked.
func (cs corrections) dropLast() {
	pass, _ := cs.finder.PassMeant("")
	var last storage.Contact
	for _, c := range cs.ContactsOf(pass.ID) {
		if c.State != storage.Dropped && c.ID > last.ID {
			last = c
		}
	}
	step := cs.ledger.LastStep()
	made := func(m storage.Move) bool { return m.From == 0 }
	switch {
	case last.ID == 0:
		cs.Say(say.NothingToUndo)
	case slices.ContainsFunc(step.Moves, func(m storage.Move) bool { return made(m) && m.Contact == last.ID }):
		cs.offerChange([]storage.Contact{last}, storage.Change{Field: contact.Out})
		cs.Say(say.Dropping(shown.Contacts([]storage.Contact{last})))
		cs.screen.show()
	default:
		view := shown.Contact(last)
		cs.Say(say.LastOfWhat(step.What, view),
			[]storage.Button{tx.Button(say.LabelTakeBack, tapUndo, step.Seq)},
			[]storage.Button{tx.Button(say.DropLabel(view), contact.Drop, last.ID, last.Version)})
	}
}

// tapUndo takes back the step that a button names, if it is still the last.
func (cs corrections) tapUndo(tap tx.Tap) {
	step := cs.ledger.LastStep()
	if step.What == "" || tap.Part(0) != strconv.FormatUint(step.Seq, 10) {
		cs.Say(say.OldButton)
		return
	}
	cs.undoStep(step)
}

// mostDerived is how often one undo derives a log anew: the worker serves others, too.
const mostDerived = 20

// undo takes back what was done last: settings become what they were; of evidence the
// newest that speaks of the log counts as if it had never come. Where that makes no
// difference it is said, and so it is of one that only may, after many.
func (cs corrections) undo() {
	cs.ledger.Undoing = true
	passed := map[string][]*ledger.Sitting{}
	for many := 0; ; {
		event, at, in := cs.ledger.NewestEvidence()
		last := cs.ledger.LastStep()
		if settings := last.Before != nil && len(last.Moves) == 0; settings && !at.After(last.At) {
			cs.undoStep(last)
			return
		}
		if event == "" {
			break
		}
		passed[event] = in
		step, known := cs.ledger.StepOf(event, at)
		if !known && cs.ledger.PassOver(event, in) {
			continue
		}
		speaks, chosen, held := cs.ledger.Speaks(event, in) || many == mostDerived, cs.Op.Chosen, ledger.Held(in)
		many++
		cs.ledger.TakeBack(event, in)
		switch {
		case step.Before != nil || slices.ContainsFunc(cs.Moves, cs.ledger.Counts):
			cs.saveUndone(step)
		case chosen != cs.Op.Chosen:
			was, _ := cs.Pass(chosen)
			now, _ := cs.Pass(cs.Op.Chosen)
			cs.Say(say.ChoiceBack(shown.Planned(was), shown.Planned(now)))
			cs.outings.Unchosen()
		case held != ledger.Held(in):
			cs.Say(say.Undone(say.Quoted(ledger.Words(event, in)), nil))
		case speaks || cs.ledger.Speaks(event, in):
			made := ""
			if known {
				made = step.What
			}
			cs.Say(say.NoDifference(ledger.Words(event, in), made, cs.ledger.LastStep().What))
		default:
			continue
		}
		cs.Moves = nil // undo is not undone: it goes on backwards
		cs.screen.show()
		return
	}
	cs.ledger.Restore(passed)
	cs.Say(say.NothingToUndo)
}

// bringBack takes back the step that dropped contacts last; false if there is none to mean.
func (cs corrections) bringBack() bool {
	step, ok := cs.ledger.LastDropped()
	if ok {
		cs.undoStep(step)
	}
	return ok
}

// undoStep takes back just that step.
func (cs corrections) undoStep(step storage.Step) {
	cs.ledger.Undoing = true
	var in []*ledger.Sitting
	for _, id := range step.Sittings {
		if s, ok := cs.ledger.SittingOf(id); ok {
			in = append(in, s)
		}
	}
	cs.ledger.TakeBack(step.Event, in)
	cs.saveUndone(step)
	cs.Moves = nil
	cs.screen.show()
}

// saveUndone writes down that a step is taken back, and says so.
func (cs corrections) saveUndone(step storage.Step) {
	step.Undone = true
	cs.Steps = append(cs.Steps, step)
	cs.Say(say.Undone(step.What, shown.Contacts(cs.Touched())) + cs.setBack(step))
}

// setBack undoes what a step set, and says what holds again.
func (cs corrections) setBack(step storage.Step) string {
	if step.Before == nil {
		return ""
	}
	undone := shown.Settings(cs.Op.Settings())
	tx.SetBack(&cs.Op, *step.Before, cs.Now())
	cs.outings.Replan()
	return settings.SetBack(undone, shown.Settings(*step.Before))
}

// arriveAt sets the outing's place and puts its grid into the contacts made
// there already.
func (cs corrections) arriveAt(o storage.Outing) {
	cs.offerChange(cs.outings.Ashore(o), storage.Change{Field: "grid", Grids: slices.Clone(o.Place.Grids)})
	moved := len(cs.Contacts)
	place := o.Place
	place.Set = cs.Now()
	tx.Move(&cs.Op, place, cs.Now())
	cs.outings.Replan()
	cs.outings.DropThere(say.Arrived(shown.Place(cs.Op.Place), moved))
	cs.screen.show()
}

// rewrite takes the new text of a message, and answers where no echo does.
func (cs corrections) rewrite(s *ledger.Sitting, m storage.Message) {
	entersOtherwise := func(c storage.Contact) bool { // in a log
		old, known := cs.StoredContact(c.ID)
		return !known || !exchange.SameEntry(old, c)
	}
	stood := cs.ledger.Standing(s)
	cs.ledger.Offer(s, storage.Evidence{Kind: storage.EvEdited, Message: m.ID, Text: m.Text})
	cs.screen.show()
	cs.screen.sayMoved(s, stood)
	switch {
	case len(cs.Posts) > 0 || len(cs.ledger.ContactsBy(m)) == 0:
	case !slices.ContainsFunc(cs.Touched(), entersOtherwise):
		cs.Say(say.LaterHolds)
	case cs.ledger.CorrectedLater(s, m.ID):
		cs.Say(say.LaterHoldsStill)
	default: // what no echo shows, such as a report
		cs.screen.sign(m.ID, cs.Event.ID)
	}
}
