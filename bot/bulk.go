package bot

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/say"
	"skyslate/parse"
	"skyslate/predict"
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
	if at := slateAnswer(word); word != "" && at.isSet() {
		clock := parse.MakeClock(int(at.day.Hours()), int(at.day.Minutes())%60)
		fitting := only(p.passesIn(p.ev.At.Add(-day), p.ev.At.Add(time.Second)), func(pass storage.Pass) bool {
			return within(clock, pass) && (pass.Followed() || p.workedOn(pass))
		})
		if len(fitting) != 1 {
			return storage.Pass{}, false
		}
		return fitting[0], true
	}
	if post, ok := p.repliedPost(); ok {
		if pass, ok := p.pass(post.Pass); ok {
			return pass, true
		}
	}
	pass, ok := p.passAtHand(p.ev.At)
	if last, known := p.pass(p.lastPass()); known && !p.workedOn(pass) {
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
		p.say(say.CorrectHow)
		return
	}
	pass, ok := p.passMeant(when)
	if !ok {
		p.say(say.NoSuchPass)
		return
	}
	b := storage.Bulk{Message: p.ev.Message, Field: strings.ToLower(words[0]), Value: strings.Join(words[1:], " ")}
	change, err := p.bulkChange(b)
	if err != nil {
		p.say(err.Error())
		return
	}
	var sample storage.Contact
	asked := 0
	for i, c := range p.contactsOf(pass.ID) {
		if i+1 < first || last != 0 && i+1 > last || c.State == storage.Dropped {
			continue
		}
		if fresh, does := change(c); does {
			b.Contacts = append(b.Contacts, storage.ContactRef{ID: c.ID, Version: c.Version})
			sample = fresh
			if fresh.State == storage.Doubtful && c.State != storage.Doubtful {
				asked++
			}
		}
	}
	p.offerBulk(b, pass, sample, asked)
}

func (p *plan) offerBulk(b storage.Bulk, pass storage.Pass, sample storage.Contact, asked int) {
	if len(b.Contacts) == 0 {
		p.say(say.NothingToCorrect(planned(pass)))
		return
	}
	p.op.Bulk = &b
	p.say(say.Correct(correctionView(b), planned(pass), contactView(sample), asked), []storage.Button{
		{Label: say.ChangeLabel(len(b.Contacts)), Data: fmt.Sprintf("%s:%d:1", tapBulk, b.Message)},
		{Label: say.LabelLeave, Data: fmt.Sprintf("%s:%d:0", tapBulk, b.Message)},
	})
}

// A change is what becomes of a contact, and whether that is another.
type change func(storage.Contact) (storage.Contact, bool)

// bulkChange is what a bulk change does to a contact. Its error is a sentence
// for the operator.
func (p *plan) bulkChange(b storage.Bulk) (change, error) {
	switch b.Field {
	case "bird":
		return p.bulkBird(b.Value)
	case "call":
		call, err := parse.ParseCallsign(b.Value)
		if err != nil {
			return nil, sayable(say.BadCall(b.Value, err))
		}
		return func(c storage.Contact) (storage.Contact, bool) {
			was := c.OwnCall
			c.OwnCall = call
			return c, was != call
		}, nil
	case "grid", "grids":
		grids, err := gridsIn(b.Value)
		if err != nil {
			return nil, err
		}
		return func(c storage.Contact) (storage.Contact, bool) {
			was := c.OwnGrids
			c.OwnGrids = grids
			return c, !slices.Equal(was, grids)
		}, nil
	case "date":
		return p.bulkDate(b.Value)
	case "slate":
		return p.bulkSlate(b.Value)
	}
	return nil, sayable(say.CorrectHow)
}

func (p *plan) bulkBird(name string) (change, error) {
	bird, ok := p.sky.Bird(name)
	if !ok {
		return nil, sayable(say.UnknownBird(name, p.sky.names()))
	}
	return func(c storage.Contact) (storage.Contact, bool) {
		if c.Bird.Catalog == bird.Catalog {
			return c, false
		}
		return p.underBird(c, bird), true
	}, nil
}

// underBird is a contact under the pass of another bird that is nearest to its
// time, or under the bird alone where no pass is near.
func (p *plan) underBird(c storage.Contact, bird predict.Bird) storage.Contact {
	near := only(p.passesIn(c.Time.Add(-lookBack), c.Time.Add(lookBack)), func(pass storage.Pass) bool {
		return pass.Bird.Catalog == bird.Catalog
	})
	f := filing{bird: bird, named: true}
	if len(near) > 0 {
		f = p.under(slices.MinFunc(near, func(a, b storage.Pass) int { return cmp.Compare(apart(a, c.Time), apart(b, c.Time)) }))
		f.named = true
	}
	if c.TimeSource == storage.FromPass && f.pass.ID != "" {
		c.Time = f.pass.TCA
	}
	c.Why = p.whyUnder(c, f.pass)
	before := c.Pass
	p.freeze(&c, f)
	return rejudge(p.movedUnder(c, f, before))
}

// whyUnder is the doubt that a contact has under another pass: a time off it.
func (p *plan) whyUnder(c storage.Contact, pass storage.Pass) string {
	switch {
	case c.Why != "" && c.Why != whyPass && c.Why != whyTime:
		return c.Why
	case pass.ID != "" && c.TimeSource != storage.FromPass && !fitting(pass, c.Time):
		return whyTime
	}
	return ""
}

// rejudge is judge for a contact that may only have been heard, or withdrawn.
func rejudge(c storage.Contact) storage.Contact {
	if c.State == storage.Heard || c.State == storage.Dropped {
		return c
	}
	return judge(c)
}

func (p *plan) bulkDate(value string) (change, error) {
	date, err := time.Parse(time.DateOnly, value)
	if err != nil || date.After(p.ev.At) {
		return nil, sayable(say.BadDate(value))
	}
	return func(c storage.Contact) (storage.Contact, bool) {
		shift := date.Sub(c.Time.UTC().Truncate(day))
		if shift == 0 {
			return c, false
		}
		c.Time = c.Time.Add(shift)
		if c.Mark != nil && !c.Mark.Slate.IsZero() {
			mark := *c.Mark
			mark.Slate = mark.Slate.Add(shift)
			c.Mark = &mark
		}
		before := c.Pass
		c.Pass = p.passOfBird(c)
		f := p.filingOfContact(c)
		c.Why = p.whyUnder(c, f.pass)
		return rejudge(p.movedUnder(c, f, before)), true
	}, nil
}

// passOfBird is the pass of a contact's bird at its time, "" if none is known.
func (p *plan) passOfBird(c storage.Contact) storage.PassID {
	for _, pass := range p.passesIn(c.Time.Add(-clockSlack), c.Time.Add(clockSlack)) {
		if pass.Bird.Catalog == c.Bird.Catalog {
			return pass.ID
		}
	}
	return ""
}

func (p *plan) bulkSlate(value string) (change, error) {
	told := slateIn("slate " + value)
	if !told.isSet() {
		return nil, sayable(say.SlateHow)
	}
	return func(c storage.Contact) (storage.Contact, bool) {
		if c.Mark == nil {
			return c, false
		}
		pass, _ := p.pass(c.Pass)
		mark := *c.Mark
		mark.Slate = told.near(pass, p.ev.At)
		if mark.Slate.Equal(c.Mark.Slate) {
			return c, false
		}
		c.Mark = &mark
		return rejudge(timed(c, pass)), true
	}, nil
}

// tapBulkDone does what was shown, or leaves all as it is.
func (p *plan) tapBulkDone(rest string) {
	message, yes, ok := twoNumbers(rest)
	b := p.op.Bulk
	if !ok || b == nil || b.Message != message {
		p.say(say.OldButton)
		return
	}
	p.op.Bulk = nil
	if yes == 0 {
		p.editTapped(say.LeftAsItIs)
		return
	}
	change, err := p.bulkChange(*b)
	if err != nil {
		p.editTapped(err.Error())
		return
	}
	for _, ref := range b.Contacts {
		if c, ok := p.contact(ref.ID); !ok || c.Version != ref.Version {
			p.editTapped(say.ChangedSince)
			return
		}
	}
	cause := storage.Cause{Kind: "bulk", Message: b.Message}
	for _, ref := range b.Contacts {
		c, _ := p.contact(ref.ID)
		if fresh, does := change(c); does {
			fresh.Cause = cause
			p.add(fresh)
		}
	}
	p.step = say.CorrectionStep(correctionView(*b))
	p.editTapped(say.Corrected(correctionView(*b)))
	p.slateOfPass(*b)
	p.refreshAcks(0)
	p.refreshSummaries()
}

// slateOfPass lets a slate corrected in bulk hold for offsets to come.
func (p *plan) slateOfPass(b storage.Bulk) {
	if b.Field != "slate" || len(b.Contacts) == 0 {
		return
	}
	c, _ := p.contact(b.Contacts[0].ID)
	if pass, ok := p.pass(c.Pass); ok && c.Mark != nil && c.Mark.Voice == 0 {
		pass.Slate = c.Mark.Slate
		p.passes[pass.ID] = pass
	}
}

// logCommand shows the pass at hand, or the history of one contact.
func (p *plan) logCommand(word string) {
	if word == "" && (p.ev.ReplyTo == 0 || len(p.repliedContacts()) != 1) {
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
		all := p.contactsOf(pass.ID)
		if n, err := strconv.Atoi(word); err == nil && n >= 1 && n <= len(all) {
			found = all[n-1 : n]
		} else if call, err := parse.ParseCallsign(word); err == nil {
			found = only(all, func(c storage.Contact) bool { return c.Call == call })
		}
	}
	if len(found) == 0 {
		p.say(say.NoSuchContact)
		return
	}
	c := found[len(found)-1]
	versions := list(p, func() ([]storage.Contact, error) { return p.view.History(p.op.ID, c.ID) })
	views := contactViews(versions)
	views[len(views)-1].Number = p.ordinal(c)
	p.say(say.History(views))
	p.posts[len(p.posts)-1].About = []uint64{c.ID}
}
