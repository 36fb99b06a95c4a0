package peers

import (
	"slices"
	"strings"
	"time"

	"skyslate/bot/agree"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/say"
	"skyslate/bot/shown"
	"skyslate/bot/timing"
	"skyslate/bot/tx"
	"skyslate/parse"
	"skyslate/storage"
)

// The kinds of moment: an hour of the log is compared; somebody else goes by the same
// call.
const (
	MomentCompare = "compare"
	MomentTwin    = "twin"
)

// TapTake is the verb of the button that takes over what the other says of itself, with
// the consent under which it was told and the number of the difference.
const TapTake = "theirs"

// TapBird is the verb of the button that says that the other has the right bird, with the same
// and the catalog number of that.
const TapBird = "theirbird"

const (
	quarter = 15 * time.Minute
	// settling is how long after a contact it is compared at the soonest: a pass is over
	// by then, and what was typed behind it.
	settling = 30 * time.Minute
	// lately is how long after a contact a change of it is still compared.
	lately = 3 * tx.Day
	// mostTold is how many differences are told of a day.
	mostTold = 8

	hourStamp = "20060102T15"
)

// nextQuarter is the first full quarter-hour at or after a moment.
func nextQuarter(t time.Time) time.Time {
	if full := t.Truncate(quarter); !full.Before(t) {
		return full
	}
	return t.Truncate(quarter).Add(quarter)
}

// Note puts on the agenda, of the operator and of those whom it may name, that contacts
// that the event changed are compared, as they are and as they were. Another call ends
// the consent.
func (p Peers) Note() {
	if p.compares() && p.Op.Call.Base() != p.Op.Agreeing.Call.Base() {
		p.Say(say.AgreeingEnded(p.Op.Agreeing.Call))
		p.end()
	}
	if !p.compares() {
		return
	}
	for _, d := range p.Op.Differed {
		if _, offers := p.offered(d); !offers {
			p.unbutton(d)
		}
	}
	put := map[string]bool{}
	for _, now := range p.Touched() {
		old, _ := p.StoredContact(now.ID)
		for _, c := range []storage.Contact{old, now} {
			if !p.Op.Agreeing.Shares(c) || c.Time.Before(p.Event.Now.Add(-lately)) {
				continue
			}
			when, hour := nextQuarter(timing.Later(p.Event.Now, c.Time.Add(settling))), c.Time.UTC().Format(hourStamp)
			for _, id := range append(p.named(c), p.Op.ID) {
				item := tx.Item(id, MomentCompare, when, storage.PassID(hour), p.Event.ID)
				if !put[item.Key] {
					p.Agenda = append(p.Agenda, item)
				}
				put[item.Key] = true
			}
		}
	}
}

// Compare tells what differs in an hour of the log, and what was told of it as it is now;
// passes are those of the hour's contacts.
func (p Peers) Compare(hour string) (passes []storage.PassID) {
	at, err := time.Parse(hourStamp, hour)
	if err != nil || !p.compares() {
		return nil
	}
	now := p.Now()
	working := func(pass storage.Pass) bool { return pass.Up(now) && p.WorkedOn(pass) }
	if slices.ContainsFunc(p.StoredIn(now, now.Add(time.Second)), working) {
		p.At(MomentCompare, nextQuarter(now.Add(time.Second)), storage.PassID(hour))
		return nil
	}
	from, to := at.Add(-settling), at.Add(time.Hour+settling) // a contact of the hour may be one of the next
	all := p.compare(from, to)
	p.inherit(all)
	p.close(all, from, to)
	var soon time.Time
	for _, f := range all {
		switch due := f.about.Time.Add(settling); {
		case due.After(now):
			soon = timing.Later(soon, due)
		case f.Tells():
			p.tell(f)
		}
	}
	if !soon.IsZero() {
		p.At(MomentCompare, nextQuarter(soon), storage.PassID(hour))
	}
	for _, c := range p.ContactsIn(from, to) {
		if !slices.Contains(passes, c.Pass) {
			passes = append(passes, c.Pass)
		}
	}
	return passes
}

// inherit lets what differs on a pass take the place of what differed there with the same
// station and does no more: a contact that was dropped and told again is the same.
func (p Peers) inherit(all []found) {
	for i := range p.Op.Differed {
		d := &p.Op.Differed[i]
		if slices.ContainsFunc(all, func(f found) bool { return f.is(*d) }) {
			continue
		}
		for _, f := range all {
			told := slices.ContainsFunc(p.Op.Differed, f.is)
			if f.Tells() && !told && f.other.Call.Base() == d.Call.Base() && f.about.Bird.Catalog == d.Bird && f.about.Time.Sub(d.At).Abs() <= settling {
				d.Mine, d.Theirs, d.At = f.Mine.ID, f.Theirs.ID, f.about.Time
				break
			}
		}
	}
}

// close says of what was told of a span of time, and differs no more, what it is now, and
// forgets what is long ago. Of somebody who isn't compared with any more it isn't known:
// what was told stays told.
func (p Peers) close(all []found, from, to time.Time) {
	p.Op.Differed = lists.Filter(p.Op.Differed, func(d storage.Differ) bool { return d.At.After(p.Now().Add(-lately - tx.Day)) })
	for _, d := range p.Op.Differed {
		still := func(f found) bool { return f.is(d) && f.Tells() }
		if d.At.Before(from) || !d.At.Before(to) || !p.comparesWith(d.Call.Base()) || slices.ContainsFunc(all, still) {
			continue
		}
		text := say.DiffersNoMore(d.Call)
		if slices.ContainsFunc(all, func(f found) bool { return f.Kind == agree.Agreed && f.is(d) }) {
			text = say.AgreesNow(d.Call)
		}
		p.Put(storage.Post{Name: p.postOf(d), Text: text})
	}
}

// is reports whether a verdict is about what was told: the same contact of either side.
func (f found) is(d storage.Differ) bool {
	mine, theirs := f.Mine.ID != 0 && f.Mine.ID == d.Mine, f.Theirs.ID != 0 && f.Theirs.ID == d.Theirs
	return f.other.Call.Base() == d.Call.Base() && (mine || theirs)
}

// postOf names the post that tells a difference, since the present consent.
func (p Peers) postOf(d storage.Differ) string {
	return p.Name("differ", p.Op.Agreeing.Since.Unix(), d.Number)
}

// toldToday counts what was told within a day.
func (p Peers) toldToday() int {
	return len(lists.Filter(p.Op.Differed, func(d storage.Differ) bool { return d.Told.After(p.Now().Add(-tx.Day)) }))
}

// tell tells a difference once, and later edits the post that did.
func (p Peers) tell(f found) {
	d := storage.Differ{At: f.about.Time, Told: p.Now(), Mine: f.Mine.ID, Theirs: f.Theirs.ID, Bird: f.about.Bird.Catalog, Call: f.other.Call}
	if f.Theirs.OwnCall.IsValid() {
		d.Call, d.Grids = f.Theirs.OwnCall, parse.Squares(f.Theirs.OwnGrids)
	}
	if i := slices.IndexFunc(p.Op.Differed, f.is); i >= 0 {
		d.Number, d.Told = p.Op.Differed[i].Number, p.Op.Differed[i].Told
		p.Op.Differed[i] = d
	} else {
		if p.toldToday() >= mostTold {
			return
		}
		for _, told := range p.Op.Differed { // by a program that didn't count them
			p.Op.Differs = max(p.Op.Differs, told.Number)
		}
		p.Op.Differs++
		d.Number = p.Op.Differs
		p.Op.Differed = append(p.Op.Differed, d)
	}
	post := storage.Post{
		Name: p.postOf(d), Class: storage.ClassQuestion, Text: say.Differs(say.Difference{
			Call: d.Call, Grids: d.Grids, Mine: shown.Contact(f.Mine), Theirs: shown.Contact(f.Theirs),
			Missing: f.Kind == agree.Missing, Lacking: f.Kind == agree.Lacking,
			TheirCall: f.TheirCall, TheirGrid: f.TheirGrid, MyCall: f.MyCall, MyGrid: f.MyGrid, OtherBird: f.Bird, OtherTime: f.Time,
		}),
	}
	if f.Mine.ID != 0 {
		post.About, post.Pass = []uint64{f.Mine.ID}, f.Mine.Pass
	}
	if f.TheirCall || f.TheirGrid {
		post.Buttons = [][]storage.Button{{tx.Button(say.TakeLabel(d.Call, d.Grids), TapTake, p.Op.Agreeing.Since.Unix(), d.Number)}}
	}
	if f.Bird {
		post.Buttons = append(post.Buttons, []storage.Button{tx.Button(say.OtherBirdLabel(f.Theirs.Bird.Name), TapBird, p.Op.Agreeing.Since.Unix(), d.Number, f.Theirs.Bird.Catalog)})
	}
	p.Put(post)
}

// OtherBird is the contact for which a tap takes over the bird, and the catalog number of that;
// false of one that has gone out of the log since, or was by another bird by now.
func (p Peers) OtherBird(tap tx.Tap) (c storage.Contact, catalog int, ok bool) {
	n, ok := tap.Numbers(3)
	i := slices.IndexFunc(p.Op.Differed, func(d storage.Differ) bool { return ok && int64(d.Number) == n[1] })
	if i < 0 || n[0] != p.Op.Agreeing.Since.Unix() {
		return c, 0, false
	}
	c, ok = p.Contact(p.Op.Differed[i].Mine)
	return c, int(n[2]), ok && c.Exported() && c.Bird.Catalog == p.Op.Differed[i].Bird
}

// SaysBird is the tap that words stand for which name the bird on which somebody else has a
// contact, of the buttons that offer it: in a reply, or in words that tell how it was.
func (p Peers) SaysBird(text string, buttons []storage.Button) (data string, ok bool) {
	i := slices.IndexFunc(buttons, func(b storage.Button) bool { return tx.ReadTap(b.Data).Verb == TapBird })
	if i < 0 || p.Event.ReplyTo == 0 && idiom.WithoutIs(text) == text {
		return "", false
	}
	_, catalog, ok := p.OtherBird(tx.ReadTap(buttons[i].Data))
	return buttons[i].Data, ok && slices.ContainsFunc(strings.Fields(strings.Trim(text, " .!")), func(word string) bool {
		bird, known := p.Sky.Bird(word)
		return known && bird.Catalog == catalog && idiom.NamesAlone(text, word)
	})
}

// Offered is what a tap takes over, and the contact that it is for; false of one that has
// gone out of the log since, or that says so by now.
func (p Peers) Offered(tap tx.Tap) (d storage.Differ, c storage.Contact, ok bool) {
	n, ok := tap.Numbers(2)
	i := slices.IndexFunc(p.Op.Differed, func(d storage.Differ) bool { return ok && int64(d.Number) == n[1] })
	if i < 0 || n[0] != p.Op.Agreeing.Since.Unix() {
		return d, c, false
	}
	d = p.Op.Differed[i]
	c, ok = p.offered(d)
	return d, c, ok
}

// offered is the contact that has what the other says of itself otherwise.
func (p Peers) offered(d storage.Differ) (storage.Contact, bool) {
	c, ok := p.Contact(d.Mine)
	return c, ok && c.Exported() && (c.Call.Base() != d.Call.Base() || GridsOff(c, d))
}

// unbutton takes the button from below what was told where it takes over nothing any more.
func (p Peers) unbutton(d storage.Differ) {
	post, ok := p.StoredPost(p.postOf(d))
	edited := func(o storage.Post) bool { return o.Name == post.Name || o.Target == post.Name }
	left := tx.Without(post.Buttons, TapTake)
	if c, known := p.Contact(d.Mine); !known || !c.Exported() || c.Bird.Catalog != d.Bird {
		left = nil
	}
	if !ok || len(post.Buttons) == len(left) || slices.ContainsFunc(p.Posts, edited) {
		return
	}
	if post.Buttons = left; len(left) == 0 {
		post.NotAfter, post.Class = time.Time{}, storage.ClassAnswer
	}
	p.Put(post)
}

// GridsOff reports whether a contact has no grid, or another than its station stood in.
func GridsOff(c storage.Contact, d storage.Differ) bool {
	return len(d.Grids) > 0 && (len(c.Grids) == 0 || !agree.StoodIn(c.Grids, d.Grids))
}
