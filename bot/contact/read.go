package contact

import (
	"cmp"
	"regexp"
	"slices"
	"time"

	"skyslate/bot/filing"
	"skyslate/bot/idiom"
	"skyslate/bot/lists"
	"skyslate/bot/timing"
	"skyslate/parse"
	"skyslate/parse/slip"
	"skyslate/predict"
	"skyslate/storage"
)

// read reads a line with all that is known of its pass.
func (d *derivation) read(l *filing.Line) parse.Line {
	text, corrects := d.starred(l)
	return d.readText(l, text, corrects || len(l.About) > 0)
}

// timeless reports whether a contact is told with no time, and nothing that is asked.
func timeless(c parse.Contact) bool {
	return c.Comment == "" && !c.Clock.IsSet() && !c.Offset.IsSet()
}

// readText reads what a line says, be it that it corrects a contact.
func (d *derivation) readText(l *filing.Line, text string, corrects bool) parse.Line {
	text, same := idiom.WithoutSame(text)
	text = idiom.WithClocks(idiom.WithoutHalves(text), l.At(), func(c parse.Clock) bool { return timing.Within(c, l.Match.Pass) })
	line := d.Read(text, d.known(l))[0]
	if same {
		d.fillSame(l, &line)
	}
	if minutes := idiom.Minutes(text); minutes != "" && len(line.Contacts) == 1 && timeless(line.Contacts[0]) {
		line.Contacts = slices.Clone(line.Contacts) // the memo's
		line.Contacts[0].Comment = minutes
	}
	line.Number, line.Text = l.Row, l.Text
	line.Denies, line.Withdraws = line.Denies && l.Look.Denies, line.Withdraws && !idiom.Inquires(l.Text)
	line.Affirms = line.Affirms && !idiom.Inquires(l.Text)
	if corrects {
		line.Contacts = slices.Clone(line.Contacts) // the memo's
		for i := range line.Contacts {
			line.Contacts[i].Corrects = true
		}
	}
	return line
}

// fillSame gives the contacts of a line the grid that their station gave before in this
// sitting; of several it is asked. What other sittings have is offered as for any call
// without a grid: it may have changed since, and an edit there would change it here.
func (d *derivation) fillSame(l *filing.Line, read *parse.Line) {
	read.Contacts = slices.Clone(read.Contacts) // the memo's
	for i := range read.Contacts {
		c := &read.Contacts[i]
		if !c.Call.IsValid() || len(c.Grids) > 0 || c.Why != parse.NoGrid && c.Verdict != parse.Log {
			continue
		}
		switch given := d.givenBy(c.Call, l); len(given) {
		case 0:
		case 1:
			c.Grids, c.Candidates, c.Why, c.Verdict = given[0], nil, "", parse.Log
		default:
			c.Candidates, c.Why, c.Verdict = nil, parse.Ambiguous, parse.Ask
			for _, grids := range given {
				c.Candidates = append(c.Candidates, parse.Candidate{Call: c.Call, Grids: grids})
			}
		}
	}
}

// givenBy are the grids that a station gave before a line, those given together as
// such, the latest first.
func (d *derivation) givenBy(call parse.Callsign, l *filing.Line) [][]parse.Grid {
	var all [][]parse.Grid
	for _, c := range slices.Backward(d.contacts) {
		told := func(grids []parse.Grid) bool { return slices.Equal(grids, c.Grids) }
		if c.Call == call && c.line != l && c.stands() && c.Why == "" && len(c.Grids) > 0 && !slices.ContainsFunc(all, told) {
			all = append(all, c.Grids)
		}
	}
	return all
}

// known is what reading a line can lean on.
func (d *derivation) known(l *filing.Line) parse.Known {
	m, at := l.Match, l.At()
	own := d.OwnAt(at, l.Message.Said, m.Pass)
	k := parse.Known{
		Own: own.Call, OwnGrids: own.Grids, Birds: d.Names,
		Linear: m.Bird.Name != "" && m.Bird.Main().Kind == predict.Linear,
		Worked: d.Worked, Confirmed: d.isConfirmed, Suffix: d.Endings, Prefix: d.Heads, Under: l.Under,
	}
	if l.Theirs || l.Behind {
		k.Under.Why = cmp.Or(k.Under.Why, parse.Doubted)
	}
	k.Date = parse.DateOf(at)
	if m.Pass.ID != "" {
		k.Date = parse.DateOf(m.Pass.TCA)
		k.Expected = d.Expected(m.Pass.ID)
		if _, known := d.Reached(m.Pass, parse.GridAt(0, 0, 4), m.Pass.AOS, m.Pass.LOS); known {
			k.Reachable = func(g parse.Grid) bool {
				reached, _ := d.Reached(m.Pass, g.Square(), m.Pass.AOS, m.Pass.LOS)
				return reached
			}
		}
	}
	k.Heard = d.heardOn(m, at)
	if m.Pass.ID != "" && d.Peers != nil {
		d.addPeers(&k, m.Pass, l.Message.Said.At)
	}
	return k
}

// addPeers puts stations that may be on a pass before those of earlier ones.
func (d *derivation) addPeers(k *parse.Known, pass storage.Pass, at time.Time) {
	calls := func(part string, ends bool, earlier []parse.Callsign) (all []parse.Callsign) {
		for _, s := range d.Peers(pass, at, part, ends) {
			all = append(all, s.Call)
		}
		return append(all, lists.Filter(earlier, func(c parse.Callsign) bool { return !slices.Contains(all, c) })...)
	}
	k.Suffix = func(tail string) []parse.Callsign { return calls(tail, true, d.Endings(tail)) }
	k.Prefix = func(head string) []parse.Callsign { return calls(head, false, d.Heads(head)) }
	k.Worked = func(call parse.Callsign) []parse.Grid {
		var grids []parse.Grid
		for _, s := range d.Peers(pass, at, call.Base(), false) {
			if s.Call.Base() == call.Base() {
				grids = append(grids, s.Grids...)
			}
		}
		return append(grids, lists.Filter(d.Worked(call), func(g parse.Grid) bool { return !slices.Contains(grids, g) })...)
	}
}

// star is an asterisk before a word, or behind a grid, that is all of a line.
var star = regexp.MustCompile(`^\s*(?:\*\s*([A-Za-z0-9/]+)|([A-Za-z]{2}[0-9]{2})\s*\*)\s*$`)

// starred is a line without the asterisk that says that it corrects what was told
// before: "*JO44", or a call that differs from the last contact's in a character or two.
// Else the asterisk may stand for what was not heard.
func (b *book) starred(l *filing.Line) (text string, corrects bool) {
	m := star.FindStringSubmatch(l.Text)
	if m == nil {
		return l.Text, false
	}
	word := m[1] + m[2]
	if grid, err := parse.ParseGrid(word); err == nil && grid.Chars() >= 4 {
		return word, true
	}
	call, err := parse.ParseCallsign(word)
	last := b.lastPeer(l.Match, l.At())
	if err != nil || last == nil {
		return l.Text, false
	}
	said, was := call.String(), last.Call.String()
	if len(said) != len(was) || slip.Slips(said, was) > 2 {
		return l.Text, false
	}
	return word, true
}

// takesBack withdraws the contact that the line before told: "scratch that". Where
// that line did something else, whether the last one was worked is asked.
func (d *derivation) takesBack(l *filing.Line) {
	last := d.lastPeer(l.Match, l.At())
	switch {
	case last == nil:
	case l.FromPhoneOf(last.key.Message) && last == lastOf(d.contacts, (*contact).stands) && last.line == d.Last && len(last.by) == 1 && len(last.line.Came) == 1:
		last.State, last.retracted = storage.Dropped, true
		d.touch(last, l)
	case last.plain():
		d.doubtLast(l)
	}
}
