package contact

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"skyslate/bot/idiom"
	"skyslate/bot/lineage"
	"skyslate/bot/question"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
	"skyslate/storage/phones"
)

// A message is what was sent, as it stands after its edits.
type message struct {
	said     *storage.Evidence
	lineage  lineage.Lineage
	lines    []*line
	delivery *delivery
	means    storage.ContactKey // the contact that it was said to mean, where that was asked

	outcome Message // what became of it beside its lines
}

// A line is one line of a message. look is its first reading, with nothing known
// but names: enough to say which pass it belongs to.
type line struct {
	message *message
	number  int
	row     int // from 1, as the message stands
	text    string
	theirs  bool // somebody else wrote it: it is quoted, or was forwarded
	behind  bool // it stands right below what is quoted, and may belong to that
	look    parse.Line
	under   parse.Header // what the lines above it say
	slate   idiom.Slate
	names   *idiom.Naming      // it may be about a contact by its call
	named   bool               // and it is
	about   []int              // the numbers of the contacts that it is about
	where   string             // the words for their pass
	asks    *question.Question // it asks something of the bot, and nothing else

	bird  *predict.Bird // named on the line, or alone above it in the delivery
	alone bool          // the line is the bird's name and nothing else
	part  int           // after how many lines that name its bird alone
	clock parse.Clock   // on the line, or alone above it in the delivery
	clear bool          // a slate or a name ends what was told before the delivery
	order int           // among the evidence

	bunched bool // it came too fast for its stamp to say more than the pass

	match Match
	came  []storage.ContactKey // the contacts that it made or changed
}

func (l *line) at() time.Time { return l.message.said.At }

// own reports whether the line says by itself which pass or time is meant.
func (l *line) own() bool { return l.bird != nil || l.clock.IsSet() || l.slate.Set }

// tells reports whether contacts stand on the line.
func (l *line) tells() bool { return len(l.look.Contacts) > 0 }

// contacts is how many contacts a line may make.
func (l *line) contacts() int {
	if l.names != nil && !l.names.Open || l.message.answersContact() {
		return 0
	}
	return len(l.look.Contacts)
}

// count adds the stations that a line may tell as new contacts. A grid alone is none.
func (l *line) count(stations map[string]bool) {
	if l.contacts() == 0 {
		return
	}
	for i, c := range l.look.Contacts {
		switch {
		case c.Corrects:
		case c.Call.IsValid():
			stations[c.Call.Base()] = true
		case c.Why != parse.NoCall:
			stations[fmt.Sprint(l.message.said.Message, l.row, i)] = true
		}
	}
}

// inline is the first time told beside a contact of the line.
func (l *line) inline() parse.Clock {
	for _, c := range l.look.Contacts {
		if c.Clock.IsSet() {
			return c.Clock
		}
	}
	return parse.Clock{}
}

// answers reports whether the line is about a contact told before.
func (l *line) answers() bool { return l.message.said.Reply != nil || len(l.about) > 0 || l.named }

// answersContact reports whether a message answers contacts: what it says holds for
// those alone.
func (m *message) answersContact() bool {
	r := m.said.Reply
	return r != nil && (len(r.Contacts) > 0 || r.Message != 0)
}

// voice is the voice message that a line answers, 0 if none.
func (l *line) voice() int64 {
	if r := l.message.said.Reply; r != nil {
		return r.Voice
	}
	return 0
}

// phone is the phone that a message was written on.
func (m *message) phone() int64 { return phones.Of(m.said.Message) }

// fromPhoneOf reports whether a line was written on the phone that sent a message.
func (l *line) fromPhoneOf(message int64) bool { return l.message.phone() == phones.Of(message) }

// A delivery is the messages that came in together from one phone, seconds apart.
type delivery struct {
	phone         int64
	began, silent time.Time
	lines         []*line // but for those that somebody else wrote
	contacts      int
	weighing

	answers []storage.PassID
	inOrder bool // the answer that each part is one pass's
}

// A correspondence is the evidence as it stands: messages after their edits, without
// what was taken back, and the deliveries they came in.
type correspondence struct {
	messages   map[int64]*message
	order      []*message // as they were sent
	deliveries []*delivery
}

func collect(f *Facts, evidence []storage.Evidence) *correspondence {
	t := &correspondence{messages: map[int64]*message{}}
	for i := range evidence {
		ev := &evidence[i]
		switch m := t.messages[ev.Message]; {
		case ev.Undone:
		case ev.Kind == storage.EvSaid:
			m = &message{said: ev}
			m.lineage.Say(ev.Text)
			t.messages[ev.Message] = m
		case ev.Kind == storage.EvEdited && m != nil:
			m.lineage.Say(ev.Text)
		case ev.Kind == storage.EvMeans && m != nil:
			m.means = ev.Contact
		}
	}
	for i := range evidence {
		m := t.messages[evidence[i].Message]
		if m == nil || m.said != &evidence[i] {
			continue
		}
		t.order = append(t.order, m)
		m.delivery = t.deliveryOf(m.said)
		f.cut(m, i)
		f.look(m)
		var apart []*line // what they say reaches to the end of their message
		for _, l := range m.lines {
			if l.theirs || m.answersContact() {
				apart = append(apart, l)
			}
			if !l.theirs {
				m.delivery.lines = append(m.delivery.lines, l)
				m.delivery.contacts += l.contacts()
			}
		}
		f.scope(apart)
	}
	for _, v := range t.deliveries {
		f.scope(filter(v.lines, func(l *line) bool { return !l.message.answersContact() }))
	}
	return t
}

// cut makes the lines of a message, which has its place among the evidence. Of a line
// that says something of a contact its text is that.
func (f *Facts) cut(m *message, order int) {
	quoted := false // up to a blank line
	for row, n := range m.lineage.Lines {
		l := &line{
			message: m, number: n.Number, row: row + 1, text: n.Text, order: order,
			theirs: m.said.Forwarded || parse.IsQuoted(n.Text), behind: quoted,
		}
		quoted = parse.IsQuoted(n.Text) || quoted && strings.TrimSpace(n.Text) != ""
		m.lines = append(m.lines, l)
		if m.answersContact() {
			l.text = idiom.WithoutIs(l.text)
		}
		if l.theirs {
			continue
		}
		if named, ok := idiom.Named(n.Text, f.isBird); ok {
			l.names = &named
		}
		if n, ok := idiom.Numbered(n.Text); ok {
			l.about, l.text, l.where = n.All, n.Says, n.Words
		}
		if idiom.HasLocal(l.text) {
			l.text = idiom.InUTC(l.text, m.said.At, f.Zone(f.ownAt(m.said.At, m.said, storage.Pass{})))
		}
	}
}

func (f *Facts) isBird(name string) bool { _, known := f.Bird(name); return known }

// deliveryOf is the delivery that a message came in: its phone's last one so far, or a
// new one.
func (t *correspondence) deliveryOf(said *storage.Evidence) *delivery {
	v := &delivery{phone: phones.Of(said.Message), began: cmp.Or(said.Began, said.At), silent: said.Silent}
	if last := t.before(v, len(t.deliveries)); last != nil && last.began.Equal(said.Began) {
		return last
	}
	t.deliveries = append(t.deliveries, v)
	return v
}

// before is the last of the first n deliveries that came from the same phone as another.
func (t *correspondence) before(v *delivery, n int) *delivery {
	for _, o := range slices.Backward(t.deliveries[:n]) {
		if o.phone == v.phone {
			return o
		}
	}
	return nil
}

// look reads a message for what says which pass its lines belong to, and what lines
// say of those below them.
func (f *Facts) look(m *message) {
	texts := make([]string, len(m.lines))
	for i, l := range m.lines {
		texts[i] = l.text
	}
	own := f.ownAt(m.said.At, m.said, storage.Pass{})
	birds := question.Birds{Is: f.isBird, Names: f.Names}
	var under parse.Header
	for i, look := range f.Read(strings.Join(texts, "\n"), parse.Known{Own: own.Call, OwnGrids: own.Grids, Birds: f.Names}) {
		l := m.lines[i]
		l.look, l.under = look, under
		if len(l.about) > 0 { // it says nothing of its pass
			l.look = parse.Line{Denies: look.Denies}
			continue
		}
		if !slices.ContainsFunc(look.Contacts, func(c parse.Contact) bool { return c.Call.IsValid() }) {
			q, ok := question.Read(l.text, birds)
			isPlace := q.Grids != "" // one's own, not somebody's
			if ok && (isPlace || !slices.ContainsFunc(look.Contacts, isSome)) &&
				!((q.Doubtful() || len(m.lines) > 1) && !idiom.IsAsked(l.text) && (look.Denies || look.Withdraws)) {
				l.asks, l.look = &q, parse.Line{}
				continue
			}
		}
		if look.Bird != "" && !l.tells() && !look.Clock.IsSet() { // "WICKET-1 07:16"
			words := strings.Fields(l.text)
			l.look.Clock, _ = idiom.ClockIn(words[len(words)-1])
		}
		_, answers := idiom.YesOrNo(l.text) // nothing, where nothing asked it
		if answers && len(m.lines) == 1 && m.said.Reply == nil || idiom.IsAsked(l.text) && !slices.ContainsFunc(look.Contacts, isSome) {
			l.look.Denies, l.look.Withdraws, l.look.Affirms = false, false, false
		}
		under = look.Below(under)
		if l.slate = idiom.SlateIn(l.text); l.slate.Set {
			l.look.Contacts, l.look.Clock = nil, parse.Clock{}
		}
	}
}

// isSome reports whether a reading holds anything of a contact.
func isSome(c parse.Contact) bool {
	return c.Call.IsValid() || len(candidates(c)) > 0 || len(c.Grids) > 0 || c.Why == parse.Partial
}

// scope says how far names and times on lines of their own reach: to the end of
// the delivery; of those that somebody else wrote, or that answer contacts, to the end
// of their message. A name beside a contact is for its line alone; in what is only said
// about a bird its name chooses nothing.
func (f *Facts) scope(lines []*line) {
	var above *predict.Bird
	var clock parse.Clock
	clear := false
	parts := map[int]int{}
	for _, l := range lines {
		bird, named := f.Bird(l.look.Bird)
		named = named && l.look.Bird != "" && (l.tells() || l.slate.Set || idiom.NamesAlone(l.text, l.look.Bird))
		switch {
		case l.slate.Set:
			clock, clear = parse.Clock{}, true
			if named {
				above = &bird
			}
		case named && !l.tells():
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

// Message is what became of a message: the contacts that its lines made or changed,
// and the pass of the last line.
type Message struct {
	ID       int64
	Contacts []storage.ContactKey
	Pass     storage.PassID
	// Told are the recordings whose slate it tells, with what that was before.
	Told []Told
	// Alone is set where the message does nothing but name a bird, or a time.
	Alone bool
	// NotUp is a bird that it names and that had no pass.
	NotUp string
	// Unheld is a time told on a line of its own that holds for nothing: none of the
	// birds was up then, or another pass has begun since.
	Unheld Unheld
	// Asks are the stations, or grids alone, that it asks about: were they worked?
	Asks []Inquiry
	// Questions are what it asks beside that.
	Questions []question.Question
	// Ignored says that the message answers a contact and says nothing of it. Which are
	// the contacts that it could mean.
	Ignored Ignored
	Which   []storage.ContactKey
}

// Speaks reports whether a message speaks of the log: what it says is no note, and no
// question.
func (m Message) Speaks() bool {
	return len(m.Contacts) > 0 || len(m.Told) > 0 || m.Alone || m.NotUp != "" || m.Unheld.Clock.IsSet() || m.Ignored != ""
}

// An Inquiry asks whether a station, or grids alone, were worked: with a bird, if one is
// named.
type Inquiry struct {
	parse.Station
	Bird storage.BirdRef
}

// Ignored says why an answer to a contact changed nothing.
type Ignored string

// Why an answer changed nothing.
const (
	WhichOne  Ignored = "which"      // it could mean several contacts
	NoRewrite Ignored = "no rewrite" // a word that could be a name or a suffix
	NoNumber  Ignored = "no number"  // no such contact stands under the pass
	NoCall    Ignored = "no call"    // no contact with a call that it names
	NoneGiven Ignored = "none given" // "same grid" of a station that gave none
)

// Told is a slate that was told.
type Told struct {
	Of     storage.Recording
	Slate  time.Time
	Before time.Time // the one told before; zero: none
}

// told is what became of a message.
func (m *message) told() Message {
	out := m.outcome
	out.ID, out.Alone = m.said.Message, true
	for _, l := range m.lines {
		out.Contacts = append(out.Contacts, l.came...)
		out.Pass = cmp.Or(l.match.Pass.ID, out.Pass)
		out.Alone = out.Alone && (l.alone || l.look.Clock.IsSet() || strings.TrimSpace(l.text) == "")
	}
	return out
}

// Unheld is a time on a line of its own that doesn't hold, and for which pass it was
// told; no pass: no bird was up then.
type Unheld struct {
	Clock parse.Clock
	Pass  storage.PassID
}

// candidates are those of a reading that could be logged.
func candidates(c parse.Contact) []storage.Candidate {
	var all []storage.Candidate
	for _, cand := range c.Candidates {
		if cand.Call.IsValid() {
			all = append(all, storage.Candidate{Call: cand.Call, Grids: cand.Grids})
		}
	}
	return all
}
