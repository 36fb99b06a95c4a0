package contact

import (
	"slices"
	"strings"
	"time"

	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

// A message is what was sent, as it stands after its edits.
type message struct {
	said     *storage.Evidence
	lineage  lineage
	lines    []*line
	delivery *delivery
}

// A line is one line of a message. look is its first reading, with nothing known
// but names: enough to say which pass it belongs to.
type line struct {
	message *message
	number  int
	row     int // from 1, as the message stands
	text    string
	look    parse.Line
	slate   spokenTime

	bird  *predict.Bird // named on the line, or alone above it in the delivery
	alone bool          // the line is the bird's name and nothing else
	part  int           // after how many lines that name its bird alone
	clock parse.Clock   // on the line, or alone above it in the delivery
	clear bool          // a slate or a name ends what was told before the delivery
	order int           // among the evidence
	came  []storage.ContactKey
	match Match
}

func (l *line) at() time.Time { return l.message.said.At }

// own reports whether the line says by itself which pass or time is meant.
func (l *line) own() bool { return l.bird != nil || l.clock.IsSet() || l.slate.isSet() }

// inline is the first time told beside a contact of the line.
func (l *line) inline() parse.Clock {
	for _, c := range l.look.Contacts {
		if c.Clock.IsSet() {
			return c.Clock
		}
	}
	return parse.Clock{}
}

// A delivery is the messages that came in together, seconds apart.
type delivery struct {
	began, silent time.Time
	lines         []*line
	contacts      int
	held          bool           // by the phone: the stamps say nothing
	rivals        []storage.Pass // it can belong to, if held
	pulled        map[*line]storage.PassID
	answers       []storage.PassID
	inOrder       bool         // the answer that each part is one pass's
	rested        bool         // left is known
	left          storage.Pass // of the silence, for what names neither bird nor time
}

// collect takes the evidence as it stands: messages after their edits, without
// what was taken back, and the deliveries they came in.
func (d *derivation) collect(evidence []storage.Evidence) {
	d.messages = map[int64]*message{}
	for i := range evidence {
		ev := &evidence[i]
		switch {
		case ev.Undone:
		case ev.Kind == storage.EvSaid:
			m := &message{said: ev}
			m.lineage.say(ev.Text)
			d.messages[ev.Message] = m
		case ev.Kind == storage.EvEdited:
			if m := d.messages[ev.Message]; m != nil {
				m.lineage.say(ev.Text)
			}
		}
	}
	for i := range evidence {
		m := d.messages[evidence[i].Message]
		if m == nil || m.said != &evidence[i] {
			continue
		}
		m.delivery = d.deliveryOf(m.said)
		for row, n := range m.lineage.now {
			l := &line{message: m, number: n.number, row: row + 1, text: n.text, order: i}
			d.look(l)
			m.lines = append(m.lines, l)
			m.delivery.lines = append(m.delivery.lines, l)
			m.delivery.contacts += len(l.look.Contacts)
		}
	}
	for _, v := range d.deliveries {
		v.scope(&d.Facts)
	}
}

func (d *derivation) deliveryOf(ev *storage.Evidence) *delivery {
	if n := len(d.deliveries); n > 0 && d.deliveries[n-1].began.Equal(ev.Began) {
		return d.deliveries[n-1]
	}
	began := ev.Began
	if began.IsZero() {
		began = ev.At
	}
	v := &delivery{began: began, silent: ev.Silent}
	d.deliveries = append(d.deliveries, v)
	return v
}

// look reads a line for what says which pass it belongs to.
func (d *derivation) look(l *line) {
	if strings.TrimSpace(l.text) == "" {
		l.look = parse.Line{Text: l.text}
		return
	}
	own := d.ownAt(l.at(), l.message.said, storage.Pass{})
	l.look = parse.Read(l.text, parse.Known{Own: own.Call, OwnGrids: own.Grids, Birds: d.Names})[0]
	if l.slate = slateIn(l.text); l.slate.isSet() {
		l.look.Contacts, l.look.Clock = nil, parse.Clock{}
	}
}

// scope says how far names and times on lines of their own reach: to the end of
// the delivery. A name beside a contact is for its line alone.
func (v *delivery) scope(f *Facts) {
	var above *predict.Bird
	var clock parse.Clock
	clear := false
	parts := map[int]int{}
	for _, l := range v.lines {
		bird, named := f.Bird(l.look.Bird)
		named = named && l.look.Bird != ""
		switch {
		case l.slate.isSet():
			clock, clear = parse.Clock{}, true
			if named {
				above = &bird
			}
		case named && len(l.look.Contacts) == 0:
			l.alone, above, clear = true, &bird, true
			parts[bird.Catalog]++
		}
		if l.look.Clock.IsSet() {
			clock = l.look.Clock
		}
		l.bird, l.clock, l.clear = above, clock, clear
		if named {
			l.bird = &bird
		}
		if l.bird != nil {
			l.part = parts[l.bird.Catalog]
		}
	}
}

// holds reports whether a pass is among some.
func holds(passes []storage.Pass, id storage.PassID) bool {
	return slices.ContainsFunc(passes, func(p storage.Pass) bool { return p.ID == id })
}

// filter returns the elements that satisfy keep, in order.
func filter[T any](all []T, keep func(T) bool) []T {
	var some []T
	for _, v := range all {
		if keep(v) {
			some = append(some, v)
		}
	}
	return some
}
