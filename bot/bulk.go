package bot

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/contact"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// A whole pass, or a range of its contacts, is corrected at once by a command of
// its own:
//
//	/correct [HH:MM] [N[-M]] bird NAME | call CALL | grid GRID… | date YYYY-MM-DD | slate HH:MM[:SS]
//
// HH:MM names a pass of the last day by a moment of it; without it the pass at
// hand is meant, or that of the post which is answered. N and M are numbers of
// contacts as echoed. What would change is shown first, with its count; one tap
// does it, and it is one step to undo.

var (
	bulkPass  = regexp.MustCompile(`^\d{1,2}:\d{2}$`)
	bulkRange = regexp.MustCompile(`^(\d+)(?:\s*[-–]\s*(\d+))?$`)
)

// passMeant is the pass that a command is about: the one named by a moment of
// it, else that of the post answered, else the pass at hand.
func (p *plan) passMeant(word string) (storage.Pass, bool) {
	if clock, ok := contact.ClockIn(word); ok {
		fitting := tx.Filter(p.PassesIn(p.Event.At.Add(-tx.Day), p.Event.At.Add(time.Second)), func(pass storage.Pass) bool {
			return contact.Within(clock, pass) && (pass.Followed() || p.WorkedOn(pass))
		})
		if len(fitting) != 1 {
			return storage.Pass{}, false
		}
		return fitting[0], true
	}
	if post, ok := p.repliedPost(); ok {
		if pass, ok := p.Pass(post.Pass); ok {
			return pass, true
		}
	}
	pass, ok := p.passAtHand(p.Event.At)
	if last, known := p.Pass(p.lastPass()); known && !p.WorkedOn(pass) {
		return last, true // nothing could be meant on the one at hand
	}
	return pass, ok
}

// correctMany shows what a change to several contacts would do, and offers it.
func (p *plan) correctMany(rest string) {
	words := strings.Fields(rest)
	when := ""
	if len(words) > 0 && bulkPass.MatchString(words[0]) {
		when, words = words[0], words[1:]
	}
	first, last := 1, 0
	if len(words) > 0 {
		if m := bulkRange.FindStringSubmatch(words[0]); m != nil {
			first, _ = strconv.Atoi(m[1])
			if last, _ = strconv.Atoi(m[2]); m[2] == "" {
				last = first
			}
			words = words[1:]
		}
	}
	if len(words) < 2 {
		p.Say(say.CorrectHow)
		return
	}
	pass, ok := p.passMeant(when)
	if !ok {
		p.Say(say.NoSuchPass)
		return
	}
	to, refusal := p.changeTo(strings.ToLower(words[0]), strings.Join(words[1:], " "), pass)
	if refusal != "" {
		p.Say(refusal)
		return
	}
	b := storage.Bulk{Message: p.Event.Message, Change: to, Value: strings.Join(words[1:], " ")}
	var all []storage.Contact
	for i, c := range p.ContactsOf(pass.ID) {
		if i+1 >= first && (last == 0 || i+1 <= last) && c.State != storage.Dropped {
			all = append(all, c)
		}
	}
	var sample storage.Contact
	asked := 0
	for _, fresh := range p.tried(all, to) {
		old, _ := p.Contact(fresh.ID)
		b.Contacts = append(b.Contacts, storage.ContactRef{ID: old.ID, Version: old.Version})
		sample = fresh
		if fresh.State == storage.Doubtful && old.State != storage.Doubtful {
			asked++
		}
	}
	p.offerBulk(b, pass, sample, asked)
}

// tried are the contacts that a change would change, as they would be.
func (p *plan) tried(all []storage.Contact, to storage.Change) []storage.Contact {
	var fresh []storage.Contact
	for s, keys := range p.bySitting(all) {
		to.Contacts = keys
		ev := storage.Evidence{Kind: storage.EvChange, At: p.Event.At, Change: &to}
		for _, c := range contact.Derive(p.facts(s), append(slices.Clone(s.Evidence), ev)).Contacts {
			id := s.known[c.Key]
			if old, ok := p.Contact(id); ok && slices.Contains(keys, c.Key) && !sameContact(old, c.Contact) {
				c.ID = id
				fresh = append(fresh, c.Contact)
			}
		}
	}
	slices.SortFunc(fresh, func(a, b storage.Contact) int { return cmp.Compare(a.ID, b.ID) })
	return fresh
}

// offerChange corrects contacts.
func (p *plan) offerChange(all []storage.Contact, to storage.Change) {
	for s, keys := range p.bySitting(all) {
		to.Contacts = keys
		p.offer(s, storage.Evidence{Kind: storage.EvChange, Change: new(to)})
	}
}

// bySitting names contacts as the evidence of their sittings does.
func (p *plan) bySitting(all []storage.Contact) map[*sitting][]storage.ContactKey {
	in := map[*sitting][]storage.ContactKey{}
	for _, c := range all {
		if s, key, ok := p.keyOf(c); ok {
			in[s] = append(in[s], key)
		}
	}
	return in
}

func (p *plan) offerBulk(b storage.Bulk, pass storage.Pass, sample storage.Contact, asked int) {
	if len(b.Contacts) == 0 {
		p.Say(say.NothingToCorrect(shown.Planned(pass)))
		return
	}
	p.Op.Bulk = &b
	p.Say(say.Correct(shown.Correction(b), shown.Planned(pass), shown.Contact(sample), asked), []storage.Button{
		{Label: say.ChangeLabel(len(b.Contacts)), Data: fmt.Sprintf("%s:%d:1", tapBulk, b.Message)},
		{Label: say.LabelLeave, Data: fmt.Sprintf("%s:%d:0", tapBulk, b.Message)},
	})
}

// changeTo is a change to contacts of a pass as evidence; refusal says what is
// wrong with it.
func (p *plan) changeTo(field, value string, pass storage.Pass) (to storage.Change, refusal string) {
	to.Field = strings.TrimSuffix(field, "s")
	switch to.Field {
	case "bird":
		bird, ok := p.Sky.Bird(value)
		if !ok {
			return to, say.UnknownBird(value, p.Sky.ProperNames())
		}
		to.Catalog = bird.Catalog
	case "call":
		call, err := parse.ParseCallsign(value)
		if err != nil {
			return to, say.BadCall(value, err)
		}
		to.Call = call
	case "grid":
		grids, err := tx.GridsIn(value)
		if err != nil {
			return to, err.Error()
		}
		to.Grids = grids
	case "date":
		date, err := time.Parse(time.DateOnly, value)
		if err != nil || date.After(p.Event.At) {
			return to, say.BadDate(value)
		}
		to.Date = date
	case "slate":
		slate, ok := contact.SlateNear("slate "+value, pass, p.Event.At)
		if !ok {
			return to, say.SlateHow
		}
		to.Slate = slate
	default:
		return to, say.CorrectHow
	}
	return to, ""
}

// tapBulkDone does what was shown, or leaves all as it is.
func (p *plan) tapBulkDone(rest string) {
	message, yes, ok := twoNumbers(rest)
	b := p.Op.Bulk
	if !ok || b == nil || b.Message != message {
		p.Say(say.OldButton)
		return
	}
	p.Op.Bulk = nil
	if yes == 0 {
		p.EditTapped(say.LeftAsItIs)
		return
	}
	var all []storage.Contact
	for _, ref := range b.Contacts {
		c, ok := p.Contact(ref.ID)
		if !ok || c.Version != ref.Version {
			p.EditTapped(say.ChangedSince)
			return
		}
		all = append(all, c)
	}
	p.changing = true
	p.offerChange(all, b.Change)
	p.step = say.CorrectionStep(shown.Correction(*b))
	p.EditTapped(say.Corrected(shown.Correction(*b)))
	p.show()
}

// logCommand shows the pass at hand, or the history of one contact.
func (p *plan) logCommand(word string) {
	if word == "" && (p.Event.ReplyTo == 0 || len(p.repliedContacts()) != 1) {
		p.showLog(false)
		return
	}
	if strings.EqualFold(word, wordAll) {
		p.showLog(true)
		return
	}
	p.showHistory(word)
}

// showHistory shows how a contact came to be what it is: by its number on the
// pass at hand, by its call there, or as the answer to a post about it.
func (p *plan) showHistory(word string) {
	var found []storage.Contact
	if word == "" {
		found = p.repliedContacts()
	} else if pass, ok := p.passMeant(""); ok {
		all := p.ContactsOf(pass.ID)
		if n, err := strconv.Atoi(word); err == nil && n >= 1 && n <= len(all) {
			found = all[n-1 : n]
		} else if call, err := parse.ParseCallsign(word); err == nil {
			found = tx.Filter(all, func(c storage.Contact) bool { return c.Call == call })
		}
	}
	if len(found) == 0 {
		p.Say(say.NoSuchContact)
		return
	}
	c := found[len(found)-1]
	versions := tx.List(p.Tx, func() ([]storage.Contact, error) { return p.View.History(p.Op.ID, c.ID) })
	views := shown.Contacts(versions)
	views[len(views)-1].Number = p.Ordinal(c)
	p.Say(say.History(views))
	p.Posts[len(p.Posts)-1].About = []uint64{c.ID}
}
