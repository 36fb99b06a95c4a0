package contact

import (
	"cmp"
	"regexp"
	"slices"

	"skyslate/bot/idiom"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// read reads a line with all that is known of its pass.
func (d *derivation) read(l *line) parse.Line {
	text, corrects := d.starred(l)
	text, same := idiom.WithoutSame(text)
	line := d.Read(text, d.known(l))[0]
	if same {
		d.fillSame(l, &line)
	}
	line.Number, line.Text, line.Denies = l.row, l.text, line.Denies && l.look.Denies
	if corrects {
		line.Contacts = slices.Clone(line.Contacts)
		for i := range line.Contacts {
			line.Contacts[i].Corrects = true
		}
	}
	return line
}

// known is what reading a line can lean on.
func (d *derivation) known(l *line) parse.Known {
	m, at := l.match, l.at()
	own := d.ownAt(at, l.message.said, m.Pass)
	k := parse.Known{
		Own: own.Call, OwnGrids: own.Grids, Birds: d.Names,
		Linear: m.Bird.Name != "" && m.Bird.Main().Kind == predict.Linear,
		Worked: d.Worked, Confirmed: d.isConfirmed, Suffix: d.Endings, Prefix: d.Heads, Under: l.under,
	}
	if l.theirs {
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
	return k
}

// star is an asterisk before a word, or behind a grid, that is all of a line.
var star = regexp.MustCompile(`^\s*(?:\*\s*([A-Za-z0-9/]+)|([A-Za-z]{2}[0-9]{2})\s*\*)\s*$`)

// starred is a line without the asterisk that says that it corrects what was told
// before: "*JO44".
func (b *book) starred(l *line) (text string, corrects bool) {
	if m := star.FindStringSubmatch(l.text); m != nil && b.replaces(l, m[1]+m[2]) {
		return m[1] + m[2], true
	}
	return l.text, false
}

// replaces reports whether a word beside an asterisk is what the last contact
// should have said: a grid, or a call that differs in a character or two. Else the
// asterisk may stand for what was not heard.
func (b *book) replaces(l *line, word string) bool {
	if grid, err := parse.ParseGrid(word); err == nil && len(grid.String()) >= 4 {
		return true
	}
	call, err := parse.ParseCallsign(word)
	last := b.lastPeer(l.match, l.at())
	if err != nil || last == nil {
		return false
	}
	said, was := call.String(), last.Call.String()
	return len(said) == len(was) && distance(said, was) <= 2
}

// takesBack withdraws the contact that the line before told: "scratch that". Where
// that line did something else, whether the last one was worked is asked.
func (d *derivation) takesBack(l *line) {
	last := d.lastPeer(l.match, l.at())
	switch {
	case last == nil:
	case last.line == d.last && len(last.by) == 1 && len(last.line.came) == 1:
		last.State, last.retracted = storage.Dropped, true
		d.touch(last, l)
	case last.plain():
		d.doubtLast(l)
	}
}
